"""A session as the technician lived it: one moment after the other, with its sound, what each ear
made of it, what it means, and what it replaced."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from assistant.diagnosis.finding import Finding, Verdict
from assistant.errors import RecordError
from assistant.profile.schema import Profile
from assistant.record.audio import AudioFolder
from assistant.record.journal import read_journal
from assistant.record.session import Observation, Reading, Session
from assistant.record.store import REVIEW
from assistant.report.contents import Report
from assistant.report.entry_words import entry_words
from assistant.report.verdicts import by_weight

Hand = tuple[str, str]
"""Who did it, and why; ("", "") for the technician."""


@dataclass(frozen=True, slots=True)
class Sound:
    """``gone`` says why it can't be heard, "" when it can."""

    hash: str
    gone: str


@dataclass(frozen=True, slots=True)
class Old:
    """What stood here before, struck."""

    text: str
    at: str


@dataclass(frozen=True, slots=True)
class Moment:
    """``at`` is when it was first said, ``put_right`` when a supervisor corrected it.
    ``verdict`` is None where no rule spoke, ``unjudged`` says why. ``seen``: it was seen or told,
    not measured. ``withdrawn`` says by whom and why, "" for what stands; a withdrawn
    moment has no value."""

    id: str
    kind: str
    at: str
    title: str
    value: str
    context: str = ""
    verdict: Verdict | None = None
    unjudged: str = ""
    seen: bool = False
    question: str = ""
    heard: str = ""
    ears: tuple[tuple[str, str], ...] = ()
    sound: Sound | None = None
    findings: tuple[Finding, ...] = ()
    struck: tuple[Old, ...] = ()
    by: str = ""
    reason: str = ""
    put_right: str = ""
    withdrawn: str = ""


def moments(report: Report, folder: Path) -> tuple[Moment, ...]:
    """Everything that was entered, in order; corrections stand where the first say stood."""
    session, profile = report.session, report.profile
    shown = {row.id: row for rows in report.groups.values() for row in rows}
    about: dict[str, list[Finding]] = {}
    for finding in report.diagnosis.findings:
        for name in finding.about:
            about.setdefault(name, []).append(finding)
    before = _before(session)
    audio = AudioFolder(folder / "audio")
    found: dict[str, Moment] = {}
    for reading in session.readings:
        row = shown[reading.id]
        found[_root(reading.id, session)] = Moment(
            reading.id,
            "reading",
            _first(reading, before),
            row.label,
            row.value,
            context=row.context,
            verdict=row.verdict,
            unjudged=row.unjudged,
            question=row.question.replace("?; ", "? "),
            heard=reading.heard,
            ears=tuple(reading.ears.items()),
            sound=sound_of(reading.audio, audio),
            findings=tuple(by_weight(about.get(reading.id, []))),
            struck=tuple(_struck(reading, before, profile)),
            by=reading.by,
            reason=reading.reason,
            put_right=reading.at if reading.by else "",
        )
    for item, seen in zip(session.observations, report.seen, strict=True):
        found[_root(item.id, session)] = Moment(
            item.id,
            "observation",
            _first(item, before),
            seen.title,
            seen.value,
            verdict=seen.verdict,
            seen=True,
            question="not heard for certain" if item.status == "asked" else "",
            heard=item.heard,
            findings=tuple(by_weight(about.get(item.id, []))),
            struck=tuple(_struck(item, before, profile)),
            by=item.by,
            reason=item.reason,
            put_right=item.at if item.by else "",
        )
    for note in session.notes:
        kind = "comment" if note.by else "note" if note.understood else "not understood"
        found[note.id] = Moment(note.id, kind, note.at, note.text, "", by=note.by)
    hands = _hands(folder)
    for old in _withdrawn(session):
        by, why = hands.get(session.replaced_by.get(old.id, ""), ("", ""))
        label, value, _ = entry_words(old, profile)
        found.setdefault(
            _root(old.id, session),
            Moment(
                old.id,
                "withdrawn",
                old.at,
                f"{label} {value}",
                "",
                heard=old.heard,
                sound=sound_of(old.audio, audio) if isinstance(old, Reading) else None,
                withdrawn=f"withdrawn by {by}: {why}" if by else "withdrawn by the technician",
            ),
        )
    return tuple(found[name] for name in sorted(found, key=_place))


def cautions(report: Report) -> tuple[str, ...]:
    """What to beware of: of what was seen and is wrong first, then of what comes next."""
    wrong = {f.rule for f in report.diagnosis.findings if f.flagged}
    seen = [o.caution for o in report.profile.observation if o.id in wrong]
    return tuple(dict.fromkeys(filter(None, (*seen, report.caution))))


def sound_of(name: str | None, audio: AudioFolder) -> Sound | None:
    """The sound behind an entry; None where readings only were recorded, or words were typed."""
    if name is None:
        return None
    if audio.path(name) is not None:
        return Sound(name, "")
    if audio.erased(name):
        rule = audio.why_erased(name)
        return Sound(name, f"erased ({rule})" if rule else "erased")
    return Sound(name, "missing: its file is not where it was kept")


def _place(name: str) -> tuple[bool, int]:
    """The order of entries: the technician's by number, then the supervisor's."""
    return name.startswith("r"), int(name.removeprefix("r"))


def _root(name: str, session: Session) -> str:
    """The first entry that this one took the place of."""
    olds = {new: old for old, new in session.replaced_by.items()}
    while name in olds:
        name = olds[name]
    return name


def _before(session: Session) -> Mapping[str, list[Reading | Observation]]:
    """What each entry replaced, oldest last; an entry that was only completed replaced itself."""
    found: dict[str, list[Reading | Observation]] = {}
    for old in session.superseded:
        found.setdefault(session.replaced_by.get(old.id, old.id), []).append(old)
        if old.id in session.replaced_by:
            found.setdefault(old.id, [])
    return found


def _first(item: Reading | Observation, before: Mapping[str, list[Reading | Observation]]) -> str:
    """When it, or the oldest of what it replaced, was said."""
    *_, oldest = (item, *_chain(item.id, before))
    return oldest.at


def _struck(
    item: Reading | Observation,
    before: Mapping[str, list[Reading | Observation]],
    profile: Profile,
) -> Iterator[Old]:
    last = entry_words(item, profile)
    for old in _chain(item.id, before):
        was = entry_words(old, profile)
        if was != last:
            yield Old(", ".join(filter(None, (f"{was.label} {was.value}", was.context))), old.at)
        last = was


def _chain(
    name: str, before: Mapping[str, list[Reading | Observation]]
) -> Iterator[Reading | Observation]:
    """All that stood in the place of ``name``, newest first."""
    olds = before.get(name, [])
    yield from reversed(olds)
    for earlier in {old.id for old in olds if old.id != name}:
        yield from _chain(earlier, before)


def _withdrawn(session: Session) -> Iterable[Reading | Observation]:
    """What was taken out and has nothing in its place."""
    standing = {item.id for item in session.standing}
    for old in session.superseded:
        if session.in_place_of(old.id) not in standing:
            yield old


def _hands(folder: Path) -> dict[str, Hand]:
    """Who made each entry of the review, and why."""
    try:
        entries = read_journal(folder / REVIEW)
    except RecordError:
        return {}
    return {
        f"r{e.seq}": (str(e.body.get("by", "")), str(e.body.get("reason", ""))) for e in entries
    }
