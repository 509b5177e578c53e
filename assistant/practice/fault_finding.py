"""The exercise *find the fault*: measure in a context of your choosing, then name the cause.

How the mower really stands is one thing, what the trainee says of it another: values come from
where it stands, the record from what was said. Minutes are those of the profile's checks, paid
once for all that a check takes; a value that no check takes costs one minute.
"""

from __future__ import annotations

import re

from assistant.audio.utterance import Utterance
from assistant.diagnosis.causes import NO_FAULT, fault_model
from assistant.errors import UnknownNameError
from assistant.practice.asked_for import AskedFor, Asking
from assistant.practice.best_policy import best_policy, chance_of, worth
from assistant.practice.exercise import Exercise
from assistant.practice.play import Done, Shown, reply_lines
from assistant.practice.prices import STATION, Prices, price
from assistant.practice.score_fault import FaultRecord, Taken, score_fault
from assistant.practice.station_drawing import drawn_lines
from assistant.practice.steady_mower import steady_mower
from assistant.profile.schema import Check, Profile
from assistant.record.session import Session
from assistant.session import Assistant
from assistant.speaking.advice import minutes
from assistant.speaking.label import shown_label
from assistant.turn import Turn
from assistant.wording.statement import CommandSaid, ContextSaid, NotUnderstood

HINTS = ("next_check", "causes", "why")
LOAD, SHIFT = "load", "wire_shift"
DRIVES = {"drive in": "docked", "drive out": "undocked"}
HELP = (
    "guide front          measure a label (any of the profile's), or look at something",
    "undocked             say how it stands, as in any session",
    "drive in, drive out  move the mower into the station or out of it",
    "checks, check 5      the usual checks with their minutes; carry one out as the mower stands",
    "causes, cause 3      the causes; name one to end, or two: cause 3 and 7",
    "what next            asks the assistant: that costs marks here",
)


class FaultFinding:
    def __init__(self, exercise: Exercise, profile: Profile, bench: Assistant) -> None:
        assert exercise.mower is not None
        self.exercise = exercise
        self.done: Done | None = None
        self._hidden = exercise.mower
        self._profile = profile
        self._bench = bench
        self._model = fault_model(profile)
        self._asking = Asking(profile)
        self._mower = steady_mower(exercise.mower)
        self._stands = exercise.mower.parked
        self._shift = 0.0
        self._prices = Prices(profile)
        self._taken: list[Taken] = []
        self._poor: list[str] = []
        self._hints = 0

    @property
    def prompt(self) -> str:
        return f"{self._prices.minutes:g} min"

    def begin(self) -> Shown:
        told = [self.exercise.story, "", "The customer tells:"]
        for item in self._prices.told():
            told += self._look(item)
        return Shown((*told, "", *drawn_lines({STATION: self._stands}), "", *HELP))

    def type(self, line: str) -> Shown:
        words = " ".join(line.strip().lower().split())
        if words in ("", "help", "?"):
            return Shown(HELP)
        if words in DRIVES:
            return self._drive(DRIVES[words])
        if words == "checks":
            return Shown(self._check_list())
        if words == "causes":
            return Shown(self._cause_list())
        if match := re.fullmatch(r"check (\w+)", words):
            return self._check(match[1])
        if match := re.fullmatch(r"cause[s]?:? (.+)", words):
            return self._name(match[1])
        return self._said(self._bench.type(line), line)

    def hear(self, utterance: Utterance) -> Shown:
        turn = self._bench.hear(utterance)
        heard = " ".join(s.statement.heard for s in turn.settled)
        return self._said(turn, heard)

    def close(self) -> None:
        self._bench.close()

    def _said(self, turn: Turn, line: str) -> Shown:
        """A line that the assistant took, unless it is a label without a number: then that is
        measured."""
        statements = [s.statement for s in turn.settled]
        asked = self._asking.read(line)
        bare = all(isinstance(s, ContextSaid) for s in statements)  # "guide" names the wire, too
        if asked.anything and (bare or any(isinstance(s, NotUnderstood) for s in statements)):
            return Shown(tuple(self._measure(asked)))
        told = any(isinstance(s, CommandSaid) and s.command in HINTS for s in statements)
        self._hints += told
        return Shown(reply_lines(turn.replies) + (("  (a hint: it costs marks)",) if told else ()))

    def _drive(self, where: str) -> Shown:
        if where == self._stands:
            return Shown(("  It stands there already.",))
        self._stands = where  # type: ignore[assignment]
        return Shown(drawn_lines({STATION: where}))

    def _measure(self, asked: AskedFor) -> list[str]:
        lines: list[str] = []
        for item in asked.items:
            lines += self._pay(self._prices.check_for(item, None, self._stands), item, None)
            lines += self._look(item)
        for quantity, position in asked.labels:
            lines += self._read(quantity, position)
        return lines

    def _check(self, name: str) -> Shown:
        """All that a check takes, as the mower stands; only open or loaded is said for you."""
        check = self._prices.find(name)
        if check is None:
            return Shown((f"  There is no check {name}; checks lists them.",))
        takes = self._prices.takes(check.id)
        lines: list[str] = []
        for item in takes.items:
            lines += self._pay(check, item, None)
            lines += self._look(item)
        survey = any(shift for *_, shift in takes.labels)
        at: float | None = None
        for quantity, position, context, shift in takes.labels:
            wanted = dict(context).get(LOAD)
            if wanted and wanted != self._bench.session.context.get(LOAD):
                lines += reply_lines(self._bench.type(self._context_word(LOAD, wanted)).replies)
            self._shift = shift
            if survey and shift != at:
                lines += self._read(SHIFT, None, check)
                at = shift
            lines += self._read(quantity, position, check)
        self._shift = 0.0
        return Shown(tuple(lines))

    def _read(self, quantity: str, position: str | None, check: Check | None = None) -> list[str]:
        """The display shows it; the record gets it under what was last said of the contexts."""
        label = shown_label(self._profile, quantity, position)
        load = self._bench.session.context.get(LOAD)
        row = next(q for q in self._profile.quantity if q.id == quantity)
        if LOAD in row.needs and load is None:
            return [f"  {label}: open or loaded? Say that first."]
        true = {STATION: self._stands} | ({LOAD: load} if load else {})
        if quantity == SHIFT:
            value = f"{self._shift:g}"
        else:
            try:
                shown = self._mower.read(quantity, position, true, self._shift)
            except UnknownNameError:
                return [f"  {label}: this mower's display shows none, and no meter is at hand."]
            value = shown.value or shown.state.replace("_", " ")
        check = check or self._prices.check_for(quantity, position, self._stands)
        lines = self._pay(check, quantity, position)
        words = [row.spoken[0]]
        words += [p.spoken[0] for p in self._profile.position if p.id == position]
        turn = self._bench.type(" ".join([*words, value]))
        for entry in turn.entries:
            if entry.kind == "reading" and STATION in row.needs:
                self._taken.append(Taken(entry.id, label, self._stands))
        return [*lines, *reply_lines(turn.replies)]

    def _look(self, item: str) -> list[str]:
        row = next(o for o in self._profile.observation if o.id == item)
        seen = self._mower.look(item)
        choice = next((c for c in row.choice if c.id == seen), None)
        if choice is None:
            return [f"  {row.title}: nothing to be seen."]
        return list(reply_lines(self._bench.type(f"{row.spoken[0]} {choice.spoken[0]}").replies))

    def _pay(self, check: Check | None, name: str, position: str | None) -> list[str]:
        """A check begun is paid, and held against the best one as things stood."""
        before = worth(self._session, self._profile, self._model)
        if not self._prices.pay(check, name, position) or check is None:
            return []
        gains = {c.check: c.gain_bits / c.minutes for c in before}
        best = max(gains.values(), default=0.0)
        if not before:
            self._poor.append(f"{check.title}: nothing was left that was worth its time")
        elif gains.get(check.id, 0.0) < best / 2:
            rather = before[0].title
            self._poor.append(f"{check.title}: more a minute was to be had from: {rather}")
        caution = [f"  Caution: {check.caution}"] if check.caution else []
        return [*caution, f"  {check.title}: {minutes(price(check))}"]

    def _name(self, words: str) -> Shown:
        """Ends the exercise."""
        numbered = [NO_FAULT, *(c.id for c in self._profile.cause)]
        titles = {c.title: c.id for c in self._profile.cause}
        named = []
        for part in re.split(r",|\band\b|\+", words):
            name = part.strip()
            if not name:
                continue
            found = titles.get(name) or (name if name in numbered else None)
            if name.isdigit() and int(name) < len(numbered):
                found = numbered[int(name)]
            if found is None:
                return Shown((f"  There is no cause “{name}”; causes lists them.",))
            named.append(found)
        causes = tuple(c for c in dict.fromkeys(named) if c != NO_FAULT)
        record = FaultRecord(
            causes,
            tuple(self._taken),
            tuple(self._poor),
            self._hints,
            self._prices.minutes,
            chance_of(causes, self._session, self._profile, self._model),
            self._prices.begun,
        )
        best = best_policy(self._hidden, self.exercise.profile)
        score = score_fault(record, self._hidden, best, self._session, self._profile)
        title = {c.id: c.title for c in self._profile.cause}
        checks = {c.id: c.title for c in self._profile.check}
        hidden = ", ".join(title[f] for f in self._hidden.fault) or "nothing is wrong"
        answer = [f"Hidden was: {hidden}", f"Best order of work, {best.minutes:g} minutes:"]
        answer += [f"  {checks[name]}" for name in best.checks]
        self.done = Done(
            score, tuple(answer), self._prices.minutes, best.minutes, self._session.readings
        )
        return Shown()

    @property
    def _session(self) -> Session:
        return self._bench.session

    def _check_list(self) -> tuple[str, ...]:
        return tuple(
            f"  {n:2} {c.title}: {price(c):g} min"
            + (" (done)" if c.id in self._prices.paid else "")
            for n, c in self._prices.numbered
        )

    def _cause_list(self) -> tuple[str, ...]:
        listed = [f"  {n:2} {c.title}" for n, c in enumerate(self._profile.cause, 1)]
        return ("   0 nothing is wrong", *listed)

    def _context_word(self, key: str, value: str) -> str:
        return next(
            v.spoken[0]
            for c in self._profile.context
            if c.id == key
            for v in c.value
            if v.id == value
        )
