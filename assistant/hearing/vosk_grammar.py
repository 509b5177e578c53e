"""The acceptor as Vosk's grammar: its pairs of neighbouring words.

Vosk makes a bigram model of the phrases that it is given, so pairs say all that it can take in;
what it hears is held against the acceptor afterwards. Words that a model lacks are given as words
that sound the same: in American spelling ("labor") or in parts ("un docked").
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

from assistant.hearing.acceptor import Acceptor

UNKNOWN = ("[unk]", "<unk>", "<UNK>")
"""How models name the word for speech that no other word fits: one of these, or none."""
Parts = tuple[str, ...]
_WORD = re.compile(r"[^\W\d_]+(?:['-][^\W\d_]+)*")
_AMERICAN = (("our", "or"), ("tres", "ters"), ("tre", "ter"), ("ise", "ize"), ("ll", "l"))
_PREFIXES = {"un": ("un", "on")}
"""Never "and": "one oh two and docked" must not come back as "undocked"."""
_SHORTEST_PART = 3


@dataclass(frozen=True, slots=True)
class VoskGrammar:
    """``phrases`` is what Vosk is given; ``instead`` the parts given for a word that the model
    lacks; ``left_out`` the words for which there are none."""

    phrases: tuple[str, ...]
    instead: dict[str, Parts]
    left_out: tuple[str, ...]


def candidates(words: Iterable[str]) -> frozenset[str]:
    """Every word whose presence in a model is of interest for these."""
    return frozenset(part for word in words for way in ways(word) for part in way)


def ways(word: str) -> Iterator[Parts]:
    """The word itself, then what sounds like it, the likest first."""
    yield (word,)
    for british, american in _AMERICAN:
        if british in word:
            yield (word.replace(british, american),)
    for prefix, heard in _PREFIXES.items():
        if word.startswith(prefix) and len(word) > len(prefix) + 1:
            yield from ((first, word.removeprefix(prefix)) for first in heard)
    for cut in range(len(word) - _SHORTEST_PART, _SHORTEST_PART - 1, -1):
        yield word[:cut], word[cut:]


def stand_ins(words: Iterable[str], missing: Collection[str]) -> dict[str, Parts]:
    """For each word the first of its ways that the model has whole; none for words without."""
    found: dict[str, Parts] = {}
    for word in words:
        whole = (way for way in ways(word) if not any(part in missing for part in way))
        if (way := next(whole, None)) is not None:
            found[word] = way
    return found


def vosk_grammar(
    acceptor: Acceptor, given: dict[str, Parts], left_out: Iterable[str], unknown: Sequence[str]
) -> VoskGrammar:
    """``acceptor`` without the words ``left_out``; ``unknown`` is those of UNKNOWN that the model
    has.

    Raises ValueError where nothing is left to say, or a word is none that Vosk can take: either
    would end its process.
    """
    pairs: set[Parts] = set()
    for step in acceptor.steps:
        for word, target in step.items():
            after = acceptor.steps[target]
            pairs |= {(*given[word], *given[next_]) for next_ in after}
            if target in acceptor.finals:
                pairs.add(given[word])
    for part in {part for pair in pairs for part in pair}:
        if not _WORD.fullmatch(part) or part != part.lower():
            raise ValueError(f"{part!r} is no word for a grammar")
    if not pairs:
        raise ValueError("the model has none of the words that the grammar needs")
    phrases = sorted(" ".join(pair) for pair in pairs) + list(unknown)
    instead = {
        word: way for word, way in given.items() if len(way) > 1 or way[0] not in acceptor.words
    }
    return VoskGrammar(tuple(phrases), instead, tuple(sorted(left_out)))


def joined(parts: Sequence[str], instead: dict[str, Parts]) -> list[tuple[str, int, int]]:
    """Heard parts as the grammar's words: (word, first part, end part)."""
    given_for = {way: word for word, way in instead.items()}
    longest = max(map(len, given_for), default=1)
    found: list[tuple[str, int, int]] = []
    place = 0
    while place < len(parts):
        for length in range(min(longest, len(parts) - place), 0, -1):
            word = given_for.get(tuple(parts[place : place + length]))
            if word is not None:
                break
        else:
            word, length = parts[place], 1
        found.append((word, place, place + length))
        place += length
    return found
