"""Whether all that can be said can be told apart: a phrase means one thing where it may stand."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.profile.problem import Problem
from assistant.profile.schema import Profile, SpokenWords
from assistant.profile.toml_lines import Place

Phrase = tuple[Place, str, str]
"""Place in the file, the words, and what they stand for ("the quantity guide_signal")."""


def phrase_problems(profile: Profile, spoken: SpokenWords) -> Iterator[Problem]:
    """Phrases said for two things that the parser can't tell apart, and labels made of numbers.

    A word that decides between the members of a quantity may also be the label of the member it
    leads to ("guide"): both mean the same. Choices and rounds are only heard after the label or
    the command before them, so they need to differ among themselves only.
    """
    taken = {
        phrase: f"the command {command.id}"
        for command in spoken.command
        for phrase in command.spoken
    }
    taken |= dict.fromkeys((*spoken.no_reading, *spoken.off_scale), "no reading or off scale")
    yield from _apart(_labels(profile), taken, _may_share(profile))
    yield from _apart(_under("round", profile.round), {}, set())
    for index, observation in enumerate(profile.observation):
        choices = _under("choice", observation.choice)
        yield from _apart(((("observation", index, *p), w, m) for p, w, m in choices), {}, set())
    yield from _numbers(profile, spoken)


def spoken_problems(spoken: SpokenWords) -> Iterator[Problem]:
    """The same for grammars/spoken.toml by itself."""
    taken = dict.fromkeys((*spoken.no_reading, *spoken.off_scale), "no reading or off scale")
    yield from _apart(_under("command", spoken.command), taken, set())
    numbers = spoken.numbers
    tables = ("digits", "teens", "tens", "scales", "repeat", "fractions", "minus", "point")
    words = ((("numbers", t, w), w, f"numbers.{t}") for t in tables for w in getattr(numbers, t))
    yield from _apart(words, {}, set())


def number_words(spoken: SpokenWords) -> frozenset[str]:
    """The words that a label must not hold: a number would begin or end in it."""
    numbers = spoken.numbers
    tables = (numbers.digits, numbers.teens, numbers.tens, numbers.scales, numbers.repeat)
    return frozenset(word for table in (*tables, numbers.minus, numbers.point) for word in table)


def _labels(profile: Profile) -> Iterator[Phrase]:
    """All that may begin a clause."""
    for table in ("position", "quantity", "observation", "event"):
        yield from _under(table, getattr(profile, table))
    for index, context in enumerate(profile.context):
        for place, words, meaning in _under("value", context.value):
            yield ("context", index, *place), words, meaning.replace("value", context.id)


def _under(table: str, rows: tuple[object, ...]) -> Iterator[Phrase]:
    for index, row in enumerate(rows):
        for n, words in enumerate(getattr(row, "spoken", ())):
            yield (table, index, "spoken", n), words, f"the {table} {getattr(row, 'id', '')}"


def _may_share(profile: Profile) -> set[tuple[str, str]]:
    return {
        (f"the quantity {member}", f"the {quantity.decided_by} {value}")
        for quantity in profile.quantity
        for value, member in quantity.members.items()
    }


def _apart(
    phrases: Iterator[Phrase], taken: dict[str, str], may_share: set[tuple[str, str]]
) -> Iterator[Problem]:
    for place, words, meaning in phrases:
        other = taken.setdefault(words, meaning)
        if other != meaning and (other, meaning) not in may_share:
            yield Problem(place, f"'{words}', which is {other} too", "words that nothing else has")


def _numbers(profile: Profile, spoken: SpokenWords) -> Iterator[Problem]:
    forbidden = number_words(spoken)
    for place, words, _ in _labels(profile):
        if found := forbidden.intersection(words.split()):
            allowed = "a label without number words, so that no figure is lost in it"
            yield Problem(place, f"'{sorted(found)[0]}' in '{words}'", allowed)
