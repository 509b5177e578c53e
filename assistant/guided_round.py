"""A round of the checklist under way: which step is asked now, and what its answer would be."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from assistant.hearing.heard import HeardWord
from assistant.profile.schema import Profile, Round, Step
from assistant.speaking.reply import Reply
from assistant.wording.statement import ObservationSaid, Statement


class GuidedRound:
    """Steps through a round. A step is done when its reading or observation was taken."""

    def __init__(self, round_: Round, profile: Profile) -> None:
        self.title = round_.title
        self._steps = round_.step
        self._quantities = {q.id for q in profile.quantity}
        self._observations = {o.id: o for o in profile.observation}
        self._at = 0
        self.skipped: list[Step] = []

    @property
    def step(self) -> Step | None:
        """The step that is open, None once all have been asked."""
        return self._steps[self._at] if self._at < len(self._steps) else None

    @property
    def expects(self) -> tuple[str, str | None] | None:
        """Quantity and position of a bare number, None where the step takes no number."""
        if self.step is None:
            return None
        name, _, position = self.step.take.partition("@")
        return (name, position or None) if name in self._quantities else None

    @property
    def label(self) -> str | None:
        """The spoken label of the observation that the step takes, so that "passes" alone will
        do; None where it takes a number."""
        seen = self._observations.get(self.step.take) if self.step is not None else None
        return seen.spoken[0] if seen else None

    def answer(
        self, words: Sequence[HeardWord], parse: Callable[[list[HeardWord]], tuple[Statement, ...]]
    ) -> tuple[Statement, ...]:
        """What the words say with the label of the open step before them, () where that is no
        observation either."""
        if self.label is None or not words:
            return ()
        label = [replace(words[0], text=word, confidence=1.0) for word in self.label.split()]
        said = parse([*label, *words])
        return said if all(isinstance(one, ObservationSaid) for one in said) else ()

    def took(
        self, name: str, position: str | None = None, context: Mapping[str, str] | None = None
    ) -> None:
        """Something was recorded; if it is what the open step takes, where it is to be taken, the
        next one opens."""
        if self.step is None or self.step.take not in (name, f"{name}@{position}"):
            return
        if not self.contradicted(context or {}):
            self._at += 1

    def contradicted(self, context: Mapping[str, str]) -> tuple[str, ...]:
        """The contexts in force that the open step denies: "now docked" after "undocked"."""
        when = self.step.when if self.step is not None else {}
        return tuple(key for key, value in when.items() if context.get(key, value) != value)

    def skip(self) -> None:
        """The open step stays untaken."""
        if self.step is not None:
            self.skipped.append(self.step)
            self._at += 1

    def ask(self) -> Reply:
        """The open step's question, its caution first; or that the round is done."""
        if self.step is None:
            left = "; ".join(map(self._named, self.skipped))
            text = f"{self.title} round done." + (f" Not taken: {left}." if left else "")
            return Reply(text, text, "accepted")
        words = [f"Caution: {self.step.caution}"] if self.step.caution else []
        text = " ".join([*words, self.step.say])
        return Reply(text, text, "asked")

    def _named(self, step: Step) -> str:
        """A step's question without the answers that it offers."""
        asked = step.say.rstrip("?")
        return asked.rpartition(":")[0] or asked if step.take in self._observations else asked
