"""`benchcall models`: the recognisers' models, fetched, and proven before they may accept."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from assistant.commands.choices import AsJson

if TYPE_CHECKING:
    from rich.console import Console

    from assistant.hearing.verified import Verified
    from assistant.verify_ears import PairResult

Row = dict[str, Any]


def models(
    get: Annotated[
        bool, typer.Option("--get", help="Fetch the small US English Vosk model (40 MB).")
    ] = False,
    verify: Annotated[
        bool, typer.Option("--verify", help="Play the shipped recordings through every pair.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Show which recognisers are here, how to get the others, and which two may accept together.

    Example: benchcall models --get --verify
    """
    import json

    from assistant.hearing.verified import load_verified

    rows = _rows()
    results: list[Row] = []
    if get and not any(row["ear"] == "vosk" and row["here"] for row in rows):
        _get(as_json)
        rows = _rows()
    if verify:
        results = _verify(as_json)
    verified = load_verified({row["ear"]: row["sha256"] for row in rows if row["here"]})
    for row in rows:
        row["verified_with"] = _partners(row["ear"], rows, verified)
    if as_json:
        for line in [*rows, *results]:
            typer.echo(json.dumps(line))
    else:
        _show(rows, results)


def _rows() -> list[Row]:
    from assistant.errors import ModelError
    from assistant.hearing.model_store import EARS, find_model, how_to_get

    rows = []
    for ear in EARS:
        row: Row = {"kind": "recogniser", "ear": ear, "here": False, "get": how_to_get(ear)}
        try:
            if found := find_model(ear):
                row |= {"here": True, "path": str(found.path), "how": found.how}
                row |= {"sha256": found.sha256}
        except ModelError as error:
            row["trouble"] = str(error)
        rows.append(row)
    return rows


def _partners(ear: str, rows: list[Row], verified: Verified) -> list[str]:
    return [other["ear"] for other in rows if verified.is_verified(ear, other["ear"])]


def _get(as_json: bool) -> None:
    from rich.progress import BarColumn, DownloadColumn, Progress, TextColumn, TimeRemainingColumn

    from assistant.hearing.download import fetch_vosk
    from assistant.hearing.model_store import models_home

    columns = TextColumn("{task.description}"), BarColumn(), DownloadColumn(), TimeRemainingColumn()
    with Progress(*columns, disable=as_json) as progress:
        bar = progress.add_task("Vosk, small US English", total=None)
        fetch_vosk(
            models_home(),
            progress=lambda done, whole: progress.update(bar, completed=done, total=whole),
        )


def _verify(as_json: bool) -> list[Row]:
    """Counts, and keeps the counts."""
    import tempfile
    from datetime import UTC, datetime
    from pathlib import Path

    from assistant import __version__
    from assistant.errors import ModelError
    from assistant.hearing.ears import open_ears
    from assistant.hearing.verified import NEEDED, PairCount, remember_counts
    from assistant.profile import load_profile, load_spoken
    from assistant.shipped import shipped
    from assistant.truth import known_sessions
    from assistant.verify_ears import verify_ears

    profile = load_profile()
    sessions = known_sessions(shipped("demo_audio"))
    with open_ears(profile, load_spoken()) as ears, tempfile.TemporaryDirectory() as folder:
        names, sums = tuple(ears.names), dict(ears.models)
        if len(names) < 2:
            raise ModelError(
                f"Only {', '.join(names) or 'no recogniser'} is here, and it takes two to agree. "
                "Get another one: benchcall models shows how."
            )
        results = verify_ears(
            ears, names, sessions, profile, Path(folder), None if as_json else typer.echo
        )
    counts = [
        PairCount(
            ears=result.ears,
            right=result.right,
            asked=result.asked,
            wrong=result.wrong,
            on="the shipped recordings, on this machine",
            date=datetime.now(UTC).date(),
            models={ear: sums[ear] for ear in result.ears},
            software=__version__,
        )
        for result in results
    ]
    remember_counts(counts)
    return [
        {"kind": "pair", **count.model_dump(mode="json"), "needed": NEEDED, "false": _false(result)}
        for count, result in zip(counts, results, strict=True)
    ]


def _false(result: PairResult) -> list[Row]:
    """Each value that was accepted and false: what was said, and what was taken down."""
    from assistant.truth import Outcome

    return [
        {
            "said": one.words,
            "quantity": one.got.quantity,
            "position": one.got.position,
            "value": one.got.value,
            "context": dict(one.got.context),
        }
        for one in result.compared
        if one.outcome in (Outcome.WRONG, Outcome.INVENTED) and one.got is not None
    ]


def _show(rows: list[Row], results: list[Row]) -> None:
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    console = Console()
    table = Table(
        "recogniser", "here", "model", "from", "may accept with", box=None, pad_edge=False
    )
    for row in rows:
        here = "yes" if row["here"] else "unusable" if "trouble" in row else "missing"
        partners = ", ".join(row["verified_with"]) or ("none yet: asks" if row["here"] else "")
        table.add_row(
            row["ear"], here, row.get("sha256", "")[:12], Text(row.get("how", "")), partners
        )
    console.print(table)
    for row in rows:
        if not row["here"]:
            console.print(Text(f"{row['ear']}: {row.get('trouble') or row['get']}"))
    if results:
        _show_results(console, results)


def _show_results(console: Console, results: list[Row]) -> None:
    from rich.table import Table
    from rich.text import Text

    table = Table("pair", "right", "asked", "wrong", "", box=None, pad_edge=False)
    for result in results:
        right, wrong, needed = result["right"], result["wrong"], result["needed"]
        if wrong:
            verdict = "asks: it was wrong"
        elif right < needed:
            verdict = f"{right} right of {needed} needed"
        else:
            verdict = f"may accept: wrong in less than {300 / right:.1f} % (95 %)"
        pair = " + ".join(result["ears"])
        table.add_row(pair, str(right), str(result["asked"]), str(wrong), verdict)
    console.print()
    console.print(table)
    for result in results:
        for one in result["false"]:
            context = ", ".join(f"{key} {value}" for key, value in one["context"].items())
            label = " ".join(part for part in (one["quantity"], one["position"]) if part)
            said = f"“{one['said']}” was said" if one["said"] else "nothing was said"
            taken = f"{label} {one['value']} taken down ({context or 'no context'})"
            console.print(Text(f"{' + '.join(result['ears'])}: {said}, {taken}"))
