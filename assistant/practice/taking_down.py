"""The exercises *listen* and *dictate*: take a round down, then say what is out of tolerance."""

from __future__ import annotations

from pathlib import Path

from assistant.audio.utterance import Utterance
from assistant.practice.asked_for import Asking
from assistant.practice.compare import match
from assistant.practice.exercise import Exercise, sound_path
from assistant.practice.play import Done, Shown, reply_lines
from assistant.practice.scene_drawing import scene_lines
from assistant.practice.scene_picture import scene_svg
from assistant.practice.score_record import out_of_tolerance, score_record
from assistant.practice.wanted import Wanted, wanted_readings
from assistant.profile.schema import Profile
from assistant.report.entry_words import entry_words
from assistant.session import Assistant
from assistant.speaking.label import context_words, shown_label, spoken_label
from assistant.turn import Turn
from assistant.wording.statement import CommandSaid

ON = ("", "next", "done")
TELLING = ("next_check", "causes", "why", "compare")
"""Commands whose answer would tell the verdict that is asked for at the end."""
CLOSE = "close"


class TakingDown:
    def __init__(self, exercise: Exercise, folder: Path, profile: Profile, bench: Assistant):
        self.exercise = exercise
        self.done: Done | None = None
        self._profile = profile
        self._bench = bench
        self._asking = Asking(profile)
        self._wanted: tuple[Wanted, ...] = wanted_readings(exercise, folder, profile)
        self._sound = sound_path(exercise.sound, folder) if exercise.sound else None
        self._scene = 0
        self._judging = False

    @property
    def prompt(self) -> str:
        if self._judging:
            return "What is out of tolerance? Labels, or none"
        last = self._scene + 1 >= len(self.exercise.scene)
        return "Say it (done when all is said)" if last else "Say it (next for the next picture)"

    def begin(self) -> Shown:
        if self._sound is None:
            told = [
                "Dictate what the display shows, as you would say it at the "
                f"{self._profile.profile.machine}, and what you see of how it stands."
            ]
            shown = self._picture()
            return Shown((*told, "", *shown.lines), shown.picture)
        told = ["Listen, and take down what should be in the record. It can be heard again: again."]
        return Shown((*told, f"Recording: {self._sound}"), sound=self._sound)

    def type(self, line: str) -> Shown:
        words = line.strip().lower()
        if self._judging:
            return self._judge(words)
        if words in ON:
            return self._on()
        if words == "again" and self._sound is not None:
            return Shown((f"Recording: {self._sound}",), sound=self._sound)
        return self._show(self._bench.type(line))

    def hear(self, utterance: Utterance) -> Shown:
        return self._show(self._bench.hear(utterance))

    def close(self) -> None:
        self._bench.close()

    def _show(self, turn: Turn) -> Shown:
        """What is said back, less what would tell the verdict."""
        flagged = sum(finding.flagged for finding in turn.findings)
        replies = turn.replies[: len(turn.replies) - flagged]
        said = [s.statement for s in turn.settled if isinstance(s.statement, CommandSaid)]
        if any(command.command in TELLING for command in said):
            return Shown(("  That is for you to say at the end of this exercise.",))
        lines = reply_lines(replies)
        if any(command.command == CLOSE for command in said):
            on = self._on()
            return Shown((*lines, *on.lines), on.picture, heard_all=self._judging)
        return Shown(lines)

    def _on(self) -> Shown:
        self._scene += 1
        if self._scene < len(self.exercise.scene):
            return self._picture()
        self._judging = True
        return Shown(
            (
                "",
                "Now judge what was taken down: which values are out of tolerance, or do not "
                f'agree? Name them (as in "{self._some_label()}"), or say "none".',
            )
        )

    def _picture(self) -> Shown:
        scene = self.exercise.scene[self._scene]
        return Shown(scene_lines(scene, self._profile), scene_svg(scene, self._profile))

    def _judge(self, words: str) -> Shown:
        named = self._asking.read(words).labels
        if not named and words not in ("none", "nothing", "all fine"):
            return Shown((f'Name labels, as in "{self._some_label()}", or say "none".',))
        readings = self._bench.session.readings if self._bench.jobs else ()
        score = score_record(self._wanted, readings, named, self._profile)
        matched, _ = match(self._wanted, readings, self._profile)
        pairs = tuple(
            (self._label(m.wanted), m.wanted.value, m.got.value)
            for m in matched
            if m.got is not None and m.got.value is not None and m.wanted.value is not None
        )
        self.done = Done(score, self._answer(), readings=readings, pairs=pairs)
        return Shown()

    def _some_label(self) -> str:
        """The profile's first label as it is said, to show how; whether it is wrong here or not."""
        first = next(q for q in self._profile.quantity if not q.members)
        return spoken_label(self._profile, first.id, next(iter(first.positions), None))

    def _label(self, wanted: Wanted) -> str:
        name = shown_label(self._profile, *wanted.label)
        where = context_words(self._profile, wanted.context, wanted.context)
        return ", ".join([name, *where])

    def _answer(self) -> tuple[str, ...]:
        stood = [entry_words(w.reading("", self._profile), self._profile) for w in self._wanted]
        values = [f"{', '.join(filter(None, (s.label, s.context)))}: {s.value}" for s in stood]
        faults = list(out_of_tolerance(self._wanted, self._profile).values())
        return (*values, *(f"Out of tolerance: {f}" for f in faults or ["nothing"]))
