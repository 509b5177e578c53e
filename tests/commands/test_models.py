"""`benchcall models` shows what is here, fetches what is not, and counts before it trusts."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import typer
from typer.testing import CliRunner

from assistant.commands.models import models
from assistant.errors import ModelError
from assistant.hearing import download, ears, model_store
from assistant.hearing.model_store import EARS
from assistant.hearing.verified import NEEDED, load_verified
from assistant.record.session import Reading
from assistant.truth import Compared, Outcome
from assistant.verify_ears import PairResult

app = typer.Typer()
app.command()(models)


@pytest.fixture(autouse=True)
def user(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Without any model of their own."""
    for name in ("BENCHCALL_MODEL", "BENCHCALL_WHISPER", "VOSK_MODEL_PATH"):
        monkeypatch.delenv(name, raising=False)
    for name in ("HOME", "USERPROFILE", "BENCHCALL_HOME"):
        monkeypatch.setenv(name, str(tmp_path))
    return tmp_path


def lines(*arguments: str) -> list[dict[str, Any]]:
    result = CliRunner().invoke(app, [*arguments, "--json"], catch_exceptions=False)
    assert result.exit_code == 0
    return [json.loads(line) for line in result.stdout.splitlines()]


def test_every_recogniser_is_listed_with_its_model_or_how_to_get_it() -> None:
    rows = {row["ear"]: row for row in lines()}
    assert tuple(rows) == EARS
    here = rows["pocketsphinx"]
    assert here["here"]
    assert len(here["sha256"]) == 64
    assert Path(here["path"]).exists()
    assert not rows["vosk"]["here"]
    assert "benchcall models --get" in rows["vosk"]["get"]


def test_the_table_says_the_same_in_words() -> None:
    told = CliRunner().invoke(app, [], catch_exceptions=False)
    row = next(line for line in told.stdout.splitlines() if line.startswith("pocketsphinx"))
    sha256 = next(row["sha256"] for row in lines() if row["ear"] == "pocketsphinx")
    assert "yes" in row
    assert sha256[:12] in row
    assert "vosk: benchcall models --get" in told.stdout


def test_an_unusable_model_is_listed_with_its_trouble(
    user: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BENCHCALL_MODEL", str(user / "nowhere"))
    [row] = [row for row in lines() if row["ear"] == "vosk"]
    assert not row["here"]
    assert "BENCHCALL_MODEL names" in row["trouble"]
    told = CliRunner().invoke(app, [], catch_exceptions=False).stdout
    assert "unusable" in told
    assert "unset BENCHCALL_MODEL" in " ".join(told.split())


def test_get_fetches_the_model_into_the_users_folder(
    user: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    name = "vosk-model-small-en-us-0.15"

    def fetch(folder: Path, progress: download.Progress) -> Path:
        for file in ("am/final.mdl", "graph/HCLG.fst"):
            path = folder / name / file
            path.parent.mkdir(parents=True)
            path.write_bytes(b"x")
            progress(1, 2)
        return folder / name

    monkeypatch.setattr(download, "fetch_vosk", fetch)
    [row] = [row for row in lines("--get") if row["ear"] == "vosk"]
    assert row["here"]
    assert row["path"] == str(user / "models" / name)

    def again(folder: Path, progress: download.Progress) -> Path:
        raise AssertionError("what is here is not fetched again")

    monkeypatch.setattr(download, "fetch_vosk", again)
    assert [row for row in lines("--get") if row["ear"] == "vosk"] == [row]


def result(right: int, asked: int, wrong: int) -> PairResult:
    said = {"quantity": "guide_signal", "position": "front", "value": "102"}
    got = Reading(
        id="7",
        at="",
        quantity="guide_signal",
        position="front",
        value="120",
        state="value",
        unit="1",
        context={"station": "docked"},
        missing=(),
        status="accepted",
    )
    words = "guide front one oh two"
    return PairResult(
        ("pocketsphinx", "own"),
        (
            *(Compared(Outcome.RIGHT, words, said, got),) * right,
            *(Compared(Outcome.ASKED, words, said, got),) * asked,
            *(Compared(Outcome.WRONG, words, said, got),) * wrong,
        ),
    )


@pytest.fixture
def two_ears(monkeypatch: pytest.MonkeyPatch) -> list[PairResult]:
    """Two ears that are here, and what playing the recordings through them gives."""
    sums = {"pocketsphinx": "aa", "own": "bb"}
    results: list[PairResult] = []

    @contextmanager
    def opened(*_: object) -> Iterator[object]:
        yield SimpleNamespace(names=tuple(sums), models=sums)

    def find(ear: str) -> model_store.FoundModel | None:
        return model_store.FoundModel(ear, Path(ear), sums[ear], "made") if ear in sums else None

    monkeypatch.setattr(ears, "open_ears", opened)
    monkeypatch.setattr(model_store, "find_model", find)
    monkeypatch.setattr("assistant.verify_ears.verify_ears", lambda *_: tuple(results))
    return results


def test_verify_shows_what_became_of_the_values_and_remembers_it(
    two_ears: list[PairResult], user: Path
) -> None:
    two_ears[:] = [result(NEEDED, 7, 0)]
    *rows, pair = lines("--verify")
    assert (pair["right"], pair["asked"], pair["wrong"]) == (NEEDED, 7, 0)
    assert {row["ear"]: row["verified_with"] for row in rows if row["here"]} == {
        "own": ["pocketsphinx"],
        "pocketsphinx": ["own"],
    }
    known = load_verified({"pocketsphinx": "aa", "own": "bb"}, user)
    assert known.is_verified("own", "pocketsphinx")
    told = CliRunner().invoke(app, ["--verify"], catch_exceptions=False).stdout
    assert "wrong in less than 6.0 %" in " ".join(told.split())


@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [(NEEDED - 1, 0, f"{NEEDED - 1} right of {NEEDED} needed"), (500, 1, "asks: it was wrong")],
)
def test_a_pair_that_has_not_earned_it_goes_on_asking(
    right: int, wrong: int, said: str, two_ears: list[PairResult]
) -> None:
    two_ears[:] = [result(right, 0, wrong)]
    told = CliRunner().invoke(app, ["--verify"], catch_exceptions=False).stdout
    assert said in " ".join(told.split())
    false = "“guide front one oh two” was said, guide_signal front 120 taken down (station docked)"
    assert (false in " ".join(told.split())) == bool(wrong)
    assert all(row["verified_with"] == [] for row in lines())


def test_one_ear_alone_has_nothing_to_verify(monkeypatch: pytest.MonkeyPatch) -> None:
    @contextmanager
    def opened(*_: object) -> Iterator[object]:
        yield SimpleNamespace(names=("pocketsphinx",), models={"pocketsphinx": "aa"})

    monkeypatch.setattr(ears, "open_ears", opened)
    with pytest.raises(ModelError, match="Only pocketsphinx is here, and it takes two"):
        CliRunner().invoke(app, ["--verify"], catch_exceptions=False)
