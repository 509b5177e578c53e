"""Shows a session as it goes: turn by turn on the terminal, or as JSON lines."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable

from assistant.diagnosis.finding import Diagnosis
from assistant.profile.schema import Profile
from assistant.record.body import reading_of
from assistant.record.session import Reading, Session
from assistant.report.lines import Line, diagnosis_lines, entry_lines
from assistant.report.printable import printable
from assistant.session import Assistant
from assistant.speaking.digits import figures
from assistant.speaking.label import context_words, spoken_label
from assistant.speaking.reply import Reply, Tone
from assistant.turn import Turn

READING = "reading"
MARKS: dict[Tone, str] = {"accepted": "✓", "asked": "?", "out": "!", "none": " "}
"""Told apart without colour: taken down, asked, out of tolerance."""


class Transcript:
    """Prints what ``Assistant`` gives; findings and what follows from them at the end of each
    job. ``quiet`` leaves the turns out. ``replies`` collects what was said back."""

    def __init__(self, assistant: Assistant, as_json: bool = False, quiet: bool = False) -> None:
        self._assistant = assistant
        self._as_json = as_json
        self._quiet = quiet
        self._entered: list[Reading] = []
        self.replies: list[Reply] = []

    def welcome(self) -> None:
        """For someone at the keyboard: what may be typed."""
        if not self._as_json and sys.stdin.isatty():
            example = _example(self._assistant.profile)
            print(
                f'Type what you would say, a line at a time: "{example}", "what next", "why", '
                '"close job". End with Ctrl-D. '
                "All that may be said: benchcall profiles NAME --words"
            )

    def tell(self, lines: Iterable[str]) -> None:
        """What the user must know beside the session: on the error stream, so that JSON stays
        JSON."""
        for line in lines:
            print(printable(line), file=sys.stderr)

    def source(self, name: str) -> None:
        """The recording that is heard now."""
        if not (self._as_json or self._quiet):
            print(f"\n{printable(name)}")

    def show(self, turn: Turn) -> None:
        self.replies += turn.replies
        self._entered += (reading_of(e.id, e.at, e.body) for e in turn.entries if e.kind == READING)
        if self._quiet:
            return
        if not self._as_json:
            for reply in turn.replies:
                print(f"  {MARKS[reply.tone]} {printable(reply.shown)}", flush=True)
            return
        session = self._assistant.session
        for entry in turn.entries:
            for line in entry_lines(entry, session):
                _print(line)

    def readings_from(self, source: str) -> list[Reading]:
        """The readings of one recording as they were first entered."""
        return [reading for reading in self._entered if reading.source == source]

    def end(self) -> tuple[tuple[Session, Diagnosis], ...]:
        """Each job's findings, causes and next checks; gives what was diagnosed."""
        from assistant.diagnosis.diagnose import diagnose
        from assistant.report.terminal import show_diagnosis

        profile = self._assistant.profile
        sessions = [job.record.session for job in self._assistant.jobs]
        diagnosed = tuple((session, diagnose(session, profile)) for session in sessions)
        for session, diagnosis in diagnosed:
            if self._as_json:
                for line in diagnosis_lines(diagnosis, session):
                    _print(line)
            else:
                show_diagnosis(session, diagnosis, profile)
        return diagnosed


def _example(profile: Profile) -> str:
    """A reading as it would be said: one that just keeps the profile's first limit, with what it
    hangs on; the profile's first label where there is no limit."""
    limit = next((t for t in profile.tolerance if t.low is not None), None)
    named = (q for q in profile.quantity if not q.members)
    quantity = next(q for q in named if limit is None or q.id == limit.quantity)
    position = (limit.position if limit else None) or next(iter(quantity.positions), None)
    where = dict(limit.when) if limit else {}
    value = figures(f"{limit.low if limit else 12:g}")
    label = f"{spoken_label(profile, quantity.id, position)} {value}"
    return ", ".join([label, *context_words(profile, where, where)])


def _print(line: Line) -> None:
    print(json.dumps(line), flush=True)
