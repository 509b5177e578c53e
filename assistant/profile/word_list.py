"""Everything that may be said with a profile, in lines to be read or hung on the wall."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from assistant.profile.schema import Profile, Quantity, SpokenWords


def word_list(profile: Profile, spoken: SpokenWords) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Headings, each with its lines. Of several ways to say one thing the first is how it is said
    back."""
    yield "Readings: label, number, and the unit if you like", tuple(_readings(profile))
    yield "Contexts: before, between or after the readings", tuple(_contexts(profile))
    yield "What you see or are told", tuple(_observations(profile))
    rounds = (" / ".join(round_.spoken) for round_ in profile.round)
    yield "Rounds, after “start round”", tuple(rounds)
    yield "Commands", tuple(command.help for command in spoken.command)
    yield "Small words that carry nothing", tuple(_small_words(profile, spoken))


def _readings(profile: Profile) -> Iterator[str]:
    positions = {position.id: position.spoken[0] for position in profile.position}
    for quantity in profile.quantity:
        where = ", ".join(positions[name] for name in quantity.positions)
        label = f"{_ways(quantity.spoken)}: {where}" if where else _ways(quantity.spoken)
        unit = f", in {quantity.unit_spoken[0]}" if quantity.unit_spoken else ""
        yield f"{label}{unit}{_needs(profile, quantity)}"


def _needs(profile: Profile, quantity: Quantity) -> str:
    names = [*quantity.needs, *([quantity.decided_by] if quantity.decided_by else ())]
    asks = (context.ask for name in names for context in profile.context if context.id == name)
    return "".join(f" ({ask})" for ask in asks)


def _contexts(profile: Profile) -> Iterator[str]:
    for context in profile.context:
        yield "; ".join(_ways(value.spoken) for value in context.value)
    titles = {context.id: context.title for context in profile.context}
    for event in profile.event:
        ends = ", ".join(titles[name] for name in event.ends)
        yield f"{_ways(event.spoken)}: then unknown: {ends}"


def _observations(profile: Profile) -> Iterator[str]:
    for seen in profile.observation:
        kinds = {"text": "and your own words", "identifier": "and letters and figures, one by one"}
        takes = ", ".join(_ways(choice.spoken) for choice in seen.choice) or kinds[seen.kind]
        yield f"{_ways(seen.spoken)}: {takes}"


def _small_words(profile: Profile, spoken: SpokenWords) -> Iterator[str]:
    yield f"before a label: {_ways(spoken.before_label)}"
    yield f"between a label and its number: {_ways(spoken.before_number)}"
    yield f"between a number and the label behind it: {_ways(spoken.value_first)}"
    if lead_ins := spoken.before_context(profile.profile.machine):
        yield f"before a context: {_ways(lead_ins)}"
    yield f"before how something is: {_ways(spoken.before_choice)}"


def _ways(phrases: Iterable[str]) -> str:
    return " / ".join(phrases)
