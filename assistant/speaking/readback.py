"""What is said back about a settled statement: one label and one value at a time.

Wording is written for a tired technician with both hands in the chassis: the label first, so
that the ear is ready, the value last, nothing in between that could be taken for a digit. What
was accepted is said as it was understood; what is in doubt is asked for again, and the doubt is
shown. Whatever is said is shown too; of what is shown, the words as they were heard and the reason
of a doubt are for the eye alone, never what to do about it.
"""

from __future__ import annotations

from collections.abc import Sequence

from assistant.profile.schema import Profile
from assistant.record.session import Reading
from assistant.settling.believed import TALK
from assistant.settling.settled import Doubt, Settled
from assistant.speaking import units
from assistant.speaking.digits import NO_READING, OFF_SCALE, spell, value_words
from assistant.speaking.label import context_words, quantity_of, shown_label, spoken_label
from assistant.speaking.reply import Reply
from assistant.wording.statement import (
    CommandSaid,
    ContextSaid,
    NoteSaid,
    NotUnderstood,
    ObservationSaid,
    ReadingSaid,
    Value,
)

WHY: dict[Doubt, str] = {
    "value": "the number was heard in two ways",
    "label": "which reading it is was heard in two ways",
    "context": "the context was not heard for certain",
    "start": "the start was cut off, a minus or a figure may be lost",
    "plausible": "it is outside what this reading can be",
    "one_ear": "only one recogniser heard it",
    "unverified": "these recognisers have not been verified on this machine",
    "alike": "it may be another number that sounds alike",
    "close": "it may as well have been something else",
}
"""Why a reading is asked about, as shown."""

DIGIT_BY_DIGIT: frozenset[Doubt] = frozenset({"alike", "close"})
"""Doubts that digits said one by one dispel."""

_CONFIRM: frozenset[Doubt] = frozenset({"one_ear", "unverified"})
"""With nothing but these against it the value is read out to be affirmed. With any other doubt
it is asked for again: a value that is read out first leads a tired listener to say yes."""


def reply_to(
    settled: Settled,
    profile: Profile,
    *,
    replaced: Reading | None = None,
    touched: Sequence[Reading] = (),
    terse: bool = False,
) -> Reply:
    """The read-back of one settled statement.

    ``replaced`` is the reading that a correction takes out of force, ``touched`` are the readings
    that a context completes or, as a correction, changes. Terse leaves out units, contexts and all
    words that an old hand does not need; label and value stay.
    """
    match settled.statement:
        case ReadingSaid() as said if _understood(settled):
            return _understood_reading(said, settled, profile, replaced, terse)
        case ReadingSaid() as said:
            return _asked(said, settled, profile)
        case ContextSaid() as said:
            return _context(said, settled, profile, touched)
        case ObservationSaid() as said:
            return _observation(said, settled, profile)
        case NoteSaid() as said:
            return Reply(f"note kept: {said.text}", "note kept", "accepted")
        case CommandSaid() as said:
            return _command(said, settled)
        case NotUnderstood() as said:
            return _not_understood(said)


def read_back(readings: Sequence[Reading], profile: Profile) -> tuple[Reply, ...]:
    """Every reading given, one reply each: the answer to "read back all"."""
    return tuple(_recorded(reading, profile) for reading in readings)


def _understood(settled: Settled) -> bool:
    """The words are certain; only something unsaid may still be asked for."""
    return settled.status == "accepted" or bool(settled.missing and not settled.doubts)


def _understood_reading(
    said: ReadingSaid, settled: Settled, profile: Profile, replaced: Reading | None, terse: bool
) -> Reply:
    shown = _shown(said, profile)
    spoken = _spoken(said, profile, terse)
    if replaced is not None:
        shown = f"{shown} (was {_recorded_value(replaced)})"
        old = Value(replaced.state, replaced.value)
        label = spoken_label(profile, said.quantity, said.position, terse)
        spoken = f"correction, {label}, was {value_words(old)}, now {_value(said, profile, terse)}"
    context = context_words(profile, settled.context, _telling(said, settled, profile))
    if context:
        shown = ", ".join([shown, *context])
    if context and not terse:
        spoken = ", ".join([spoken, *context])
    questions = _questions(settled.missing, profile)
    if questions:
        return Reply(f"{shown}: {' '.join(questions)}", f"{spoken}. {' '.join(questions)}", "asked")
    return Reply(shown, spoken, "accepted")


def _asked(said: ReadingSaid, settled: Settled, profile: Profile) -> Reply:
    label = spoken_label(profile, said.quantity, said.position)
    doubts = set(settled.doubts)
    before = after = ""
    if doubts and doubts <= _CONFIRM:
        before, wish = f"{_spoken(said, profile, terse=False)}? ", "affirm, or say again"
    elif doubts == {"context"}:
        quantity = quantity_of(profile, said.quantity)
        needed = quantity.needs if quantity else ()
        asks = _questions([key for key, _ in said.context] or needed, profile)
        before, wish = f"{_spoken(said, profile, terse=False)}. ", " ".join(asks) or "say again"
    elif "label" in doubts or not label:
        wish = "say again, label and value"
    elif "start" in doubts:
        wish = f"say again {label}, wait one breath first"
    elif doubts & DIGIT_BY_DIGIT:
        wish = f"say again {label}, digit by digit"
    elif "plausible" in doubts:
        wish, after = f"say again {label}", f", I heard {_value(said, profile, terse=False)}"
    else:
        wish = f"say again {label}"
    shown = f"{_shown(said, profile)}? {wish} ({_why(settled)})"
    return Reply(shown, f"{before}{wish}{after}", "asked")


def _why(settled: Settled) -> str:
    return "; ".join(WHY[doubt] for doubt in settled.doubts) or "not heard for certain"


def _context(
    said: ContextSaid, settled: Settled, profile: Profile, touched: Sequence[Reading]
) -> Reply:
    context = next((c for c in profile.context if c.id == said.key), None)
    if settled.status != "accepted":
        ask = context.ask if context else "say again"
        return Reply(f"{said.heard}? ({_why(settled)}) {ask}", ask, "asked")
    if said.value is None:
        name = context.title if context else said.key
        text = f"no longer known: {name}"
        return Reply(text, text, "accepted")
    words = " ".join(context_words(profile, {said.key: said.value}, [said.key])) or said.value
    shown, spoken = (
        (f"correction: {words}", f"correction, {words}") if said.corrects else (words,) * 2
    )
    if touched:
        shown += ", for " + "; ".join(_recorded(r, profile).shown for r in touched)
        labels = ", ".join(spoken_label(profile, r.quantity, r.position) for r in touched)
        spoken += f", for {labels}"
    about = tuple(r.id for r in touched)
    missing = dict.fromkeys(key for r in touched for key in r.missing)
    if questions := " ".join(_questions(list(missing), profile)):
        return Reply(f"{shown}: {questions}", f"{spoken}. {questions}", "asked", about)
    return Reply(shown, spoken, "accepted", about)


def _observation(said: ObservationSaid, settled: Settled, profile: Profile) -> Reply:
    item = next((o for o in profile.observation if o.id == said.item), None)
    title = item.title if item else said.item.replace("_", " ")
    shown = spoken = said.value
    if item is not None and item.kind == "choice":
        words = [choice.spoken[0] for choice in item.choice if choice.id == said.value]
        shown = spoken = words[0] if words else said.value
    elif item is not None and item.kind == "identifier":
        spoken = spell(said.value)
    if settled.status != "accepted":
        return Reply(f"{title}: {shown}? say again {title}", f"say again {title}", "asked")
    return Reply(f"{title}: {shown}", f"{title}, {spoken}", "accepted")


def _command(said: CommandSaid, settled: Settled) -> Reply:
    """What a command brings about is said by what does it (assistant/obey.py)."""
    if settled.status == "accepted":
        return Reply(said.heard, "")
    return Reply(f"{said.heard}? say again ({_why(settled)})", "say again", "asked")


def _not_understood(said: NotUnderstood) -> Reply:
    """Nothing is said where no words were heard, nor about talk: a noise, or people beside the
    bench, must not make the assistant talk. What the reason bids to do is said; "say again" where
    it bids nothing."""
    if not said.words:
        return Reply("", "")
    if said.reason == TALK:
        return Reply(f"taken for talk: “{said.heard}”", "")
    why, _, bids = said.reason.rpartition(": ")
    wish = bids if why else "say again"
    shown = f"not understood: “{said.heard}” ({said.reason})"
    return Reply(shown if why else f"{shown}: {wish}", wish, "asked")


def _recorded(reading: Reading, profile: Profile) -> Reply:
    quantity = quantity_of(profile, reading.quantity)
    value = value_words(Value(reading.state, reading.value), units.said(reading.unit, quantity))
    context = context_words(profile, reading.context, reading.context)
    shown = f"{shown_label(profile, reading.quantity, reading.position)} {_recorded_value(reading)}"
    spoken = f"{spoken_label(profile, reading.quantity, reading.position)} {value}"
    return Reply(", ".join([shown, *context]), ", ".join([spoken, *context]), about=(reading.id,))


def _recorded_value(reading: Reading) -> str:
    return shown_value(reading.state, reading.value, reading.unit)


def shown_value(state: str, number: str | None, unit: str) -> str:
    """``12.50 V``, ``no reading`` or ``off scale``."""
    if number is not None:
        return units.written(number, unit)
    return NO_READING if state == "no_reading" else OFF_SCALE


def _shown(said: ReadingSaid, profile: Profile) -> str:
    value = shown_value(said.value.state, said.value.number, _unit(said, profile))
    return f"{shown_label(profile, said.quantity, said.position)} {value}".strip()


def _spoken(said: ReadingSaid, profile: Profile, terse: bool) -> str:
    label = spoken_label(profile, said.quantity, said.position, terse)
    return f"{label} {_value(said, profile, terse)}".strip()


def _value(said: ReadingSaid, profile: Profile, terse: bool) -> str:
    quantity = quantity_of(profile, said.quantity)
    word = "" if terse else units.said(_unit(said, profile), quantity)
    return value_words(said.value, word)


def _unit(said: ReadingSaid, profile: Profile) -> str:
    quantity = quantity_of(profile, said.quantity)
    return said.unit or (quantity.unit if quantity else "1")


def _telling(said: ReadingSaid, settled: Settled, profile: Profile) -> set[str]:
    """The contexts worth saying: those just said and those the value can't be judged without,
    less the one that is heard in the label already (which wire)."""
    quantity = quantity_of(profile, said.quantity)
    deciding = {q.decided_by for q in profile.quantity}
    needs = set(quantity.needs) if quantity else set()
    return ({key for key, _ in said.context} | needs) - deciding - set(settled.missing)


def _questions(keys: Sequence[str], profile: Profile) -> list[str]:
    return [context.ask for key in keys for context in profile.context if context.id == key]
