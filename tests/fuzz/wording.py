"""The parser, with every shipped profile: it never raises, invents no number, loses no word."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

from assistant.hearing.heard import HeardWord
from assistant.profile import load_profile, load_spoken
from assistant.profile.load import profile_ids
from assistant.wording.parser import Parser
from assistant.wording.statement import ContextSaid, ReadingSaid, Statement

from .bytes_of_chance import Chance

_FIGURES = (
    "one=1 wun=1 two=2 too=2 three=3 tree=3 four=4 fower=4 five=5 fife=5 six=6 seven=7 eight=8"
    " ait=8 nine=9 niner=9 ten=1 eleven=11 twelve=12 thirteen=13 fourteen=14 fifteen=15 sixteen=16"
    " seventeen=17 eighteen=18 nineteen=19 twenty=2 thirty=3 forty=4 fifty=5 sixty=6 seventy=7"
    " eighty=8 ninety=9 half=5 quarter=25 hundred=1? thousand=1? tousand=1?"
)
DIGITS = dict(pair.split("=") for pair in _FIGURES.split())
"""The figures other than nought that a word puts into a number, written apart from the parser's
own tables; "1?" since "a hundred" has the one that "two hundred" lacks."""
ODD = ("-65", "12.5", ".5", "-.5", "+7", "1,000", "12.5V", "1e9", "007", "−3", "1.2.3", "٣", "½")
MENDS = frozenset({"correction", "disregard", "scratch", "strike", "again"})


@cache
def parsers() -> tuple[Parser, ...]:
    return tuple(Parser(load_profile(name), load_spoken()) for name in profile_ids())


@cache
def phrases() -> tuple[tuple[str, ...], ...]:
    """By parser: all that has a meaning of its own."""
    return tuple(
        tuple(
            sorted(
                {found.phrase for many in lexicon.phrases._by_first.values() for _, found in many}
            )
            + sorted({word for one in lexicon.choices.values() for word in one.vocabulary})
            + sorted(lexicon.rounds.vocabulary | lexicon.identifiers.vocabulary)
        )
        for lexicon in (parser._lexicon for parser in parsers())
    )


@cache
def number_words() -> tuple[str, ...]:
    return tuple(sorted(parsers()[0]._lexicon.numbers.vocabulary))


@cache
def fillers() -> frozenset[str]:
    spoken = load_spoken()
    machines = (load_profile(name).profile.machine for name in profile_ids())
    lead_ins = (said for machine in machines for said in spoken.before_context(machine))
    return frozenset(word for said in (*spoken.fillers, *lead_ins) for word in said.split())


def seeds() -> list[bytes]:
    return [bytes([which, *range(start, start + 40)]) for which in (0, 1) for start in range(99)]


def check(data: bytes) -> None:
    chance = Chance(data)
    which = chance.number(len(parsers()))
    words = said(chance, phrases()[which])
    parser = parsers()[which]
    statements = parser.parse(words)
    keeps_every_word(statements, words)
    for statement in statements:
        if isinstance(statement, ReadingSaid):
            is_as_said(statement)
            parser.may_go_on(statement, next(iter(parser._lexicon.quantities)))
    if len(data) % 4 == 0:
        written = as_written(words)
        assert measured(parser.parse(written)) == measured(statements), written
        assert parser.parse(words) == statements, "it remembers"


def said(chance: Chance, known: tuple[str, ...]) -> tuple[HeardWord, ...]:
    """Mostly what is known here; each word has a time of its own, by which it is known again."""
    texts: list[str] = []
    while chance:
        kind = chance.number(256)
        if kind < 100:
            texts += chance.one_of(known).split()
        elif kind < 245:
            texts.append(number_words()[kind % len(number_words())])
        elif kind < 250:
            texts.append(chance.one_of(ODD))
        else:
            texts.append(chance.text(24))
    return tuple(HeardWord(text, float(at), at + 0.5, 1.0) for at, text in enumerate(texts))


def as_written(words: tuple[HeardWord, ...]) -> tuple[HeardWord, ...]:
    """The same with "Sixty-five," for "sixty five", as some recognisers and people write."""
    numbers = load_spoken().numbers
    written: list[HeardWord] = []
    for word in words:
        before = written[-1].text.lower().rstrip(",") if written else ""
        if before in numbers.tens and word.text in numbers.digits:
            written[-1] = replace(written[-1], text=f"{before}-{word.text}")
        elif re.fullmatch("[a-z']+", word.text):
            written.append(replace(word, text=f"{word.text.capitalize()},"))
        else:
            written.append(word)
    return tuple(written)


def measured(statements: tuple[Statement, ...]) -> list[Statement]:
    """Readings and contexts, whatever words they were said in."""
    kept = (one for one in statements if isinstance(one, ReadingSaid | ContextSaid))
    return [replace(one, words=()) for one in kept]


def keeps_every_word(statements: tuple[Statement, ...], words: tuple[HeardWord, ...]) -> None:
    """Each word is in one statement (an event's in each context that it ends), or a filler."""
    held: dict[float, list[Statement]] = {}
    for statement in statements:
        assert list(statement.words) == sorted(statement.words, key=lambda word: word.start)
        for word in statement.words:
            assert words[int(word.start)] is word
            held.setdefault(word.start, []).append(statement)
    for word in words:
        in_them = held.get(word.start, [])
        if not in_them:
            left = re.split(r"[^a-z']+", word.text.lower())
            assert not set(left) - fillers() - {"", "'"} or not word.text.isascii(), (word, words)
        if len(in_them) > 1:
            assert all(isinstance(one, ContextSaid) and one.value is None for one in in_them)


def is_as_said(reading: ReadingSaid) -> None:
    """The figures of its number are those of its words, in their order; so are sign and point."""
    number = reading.value.number
    if number is None:
        assert reading.value.state != "value"
        return
    assert re.fullmatch(r"-?[0-9]{1,6}(\.[0-9]{1,6})?", number), number
    heard = reading.heard.lower().translate(str.maketrans("−–", "--"))
    words = [word for word in re.split(r"[\s,/\-]+", heard) if word]
    if number.startswith("-"):
        assert re.search(r"minus|negative|-[0-9.]", heard), (number, heard)
    if "." in number:
        assert re.search(r"point|decimal|half|quarter|\.[0-9]", heard), (number, heard)
    if MENDS & set(words):
        return
    figures = "".join(figures_in(words))
    found = re.sub(r"[^1-9]", "", number)
    assert re.fullmatch(rf"(?:{figures or '0{0}'})", found * repeats(figures, found)), (
        number,
        heard,
    )


def repeats(figures: str, found: str) -> int:
    """How often the same number was said: "minus five minus five" is one reading."""
    return max(1, len(figures.replace("1?", "")) // max(1, len(found)))


def figures_in(words: list[str]) -> list[str]:
    """A pattern of the figures that the words hold, labels and fillers left out."""
    found: list[str] = []
    times = 1
    for index, word in enumerate(words):
        if word in ("double", "triple"):
            times = 2 if word == "double" else 3
            continue
        if word == "three" and words[index + 1 : index + 2] == ["quarters"]:
            found.append("75")
        elif any(letter in "0123456789" for letter in word):
            found.append(re.sub(r"[^1-9]", "", word))
        elif word in DIGITS:
            found.append(DIGITS[word] * times)
        times = 1
    return found
