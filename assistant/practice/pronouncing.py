"""How a speaker says the words that our own ear mishears, in phones, and whether writing that into
the profile would help.

The sound of a phrase whose words are known is laid along those words; what phones the model hears
in the stretch of a word, asked of no grammar, is how the speaker says it. A pronunciation is only
suggested when the phrases it was learnt from are then understood better, and none of them worse.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.errors import HearingError
from assistant.hearing.acceptor import Acceptor
from assistant.hearing.ctc import Decoder
from assistant.hearing.kept_acceptor import kept_acceptor
from assistant.hearing.model_store import find_model, how_to_get
from assistant.hearing.own import AcousticModel
from assistant.hearing.phones import PHONES, Pronouncer
from assistant.practice.voice_check import HeardPhrase, taken_for, understood
from assistant.profile.sayable import word_graph
from assistant.profile.schema import Profile, SpokenWords
from assistant.wording.parser import Parser

OWN = "own"
FRAMES = 50
"""Rows of the model a second."""
LEAST_PHONES = 2
MOST_WORDS, MOST_WAYS = 6, 4
"""Misheard words that are looked into, the most frequent first, and ways tried for each."""
Scores = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Hearing:
    """The phrases that were understood, and how many words in all were taken for others."""

    understood: frozenset[str]
    misheard: int

    def betters(self, other: Hearing) -> bool:
        """Nothing is lost, and more is understood or fewer words are misheard."""
        mine, theirs = len(self.understood), len(other.understood)
        return self.understood >= other.understood and (
            mine > theirs or self.misheard < other.misheard
        )


@dataclass(frozen=True, slots=True)
class Said:
    """A pronunciation to be tried, with the phrases it was learnt from before and after."""

    word: str
    phones: str
    before: Hearing
    after: Hearing


class Pronouncing:
    """Holds the scores of every phrase, so that a pronunciation is tried without hearing again.

    Raises ModelError where the own ear's model is missing, HearingError for a phrase too long.
    """

    def __init__(
        self, phrases: Sequence[HeardPhrase], profile: Profile, spoken: SpokenWords
    ) -> None:
        found = find_model(OWN)
        if found is None:
            raise HearingError(f"The ear {OWN} is not here. {how_to_get(OWN)}")
        model = AcousticModel(found.path, found.sha256)
        self._scores = {phrase.said: model.scores(phrase.sound.samples) for phrase in phrases}
        model.close()
        graph = word_graph(profile, spoken)
        self._acceptor = kept_acceptor(graph)
        self._known = {**spoken.pronunciations, **profile.profile.pronunciations}
        self._words = graph.words
        self._parser = Parser(profile, spoken)

    def hear(self, phrases: Sequence[str], more: Mapping[str, str]) -> Hearing:
        """The phrases heard again with ``more`` pronunciations, word to phones."""
        said = {**self._known, **more}
        order = sorted(sorted(self._words, reverse=True), key=lambda w: (w in said, -len(w)))
        decoder = Decoder(self._acceptor, Pronouncer(said), order)
        right, misheard = set(), 0
        for phrase in phrases:
            hypotheses, _ = decoder.decode(self._scores[phrase], 1)
            heard = hypotheses[0].text if hypotheses else ""
            if understood(phrase, heard, self._parser):
                right.add(phrase)
            else:
                misheard += sum(len(words.split()) or 1 for words, _ in taken_for(phrase, heard))
        return Hearing(frozenset(right), misheard)

    def suggestions(self, phrases: Sequence[HeardPhrase]) -> tuple[Said, ...]:
        """The best pronunciation of each misheard word that helps on ``phrases`` (those learnt
        from), one after the other, each with those before it in force."""
        names = [phrase.said for phrase in phrases]
        taken: dict[str, str] = {}
        found = []
        now = self.hear(names, taken)
        for word, ways in self._ways(phrases).items():
            best, best_phones = now, ""
            for phones in ways:
                tried = self.hear(names, {**taken, word: phones})
                if tried.betters(best):
                    best, best_phones = tried, phones
            if best_phones:
                found.append(Said(word, best_phones, now, best))
                now, taken[word] = best, best_phones
        return tuple(found)

    def _ways(self, phrases: Sequence[HeardPhrase]) -> dict[str, list[str]]:
        """The misheard words with each way in which this speaker said them."""
        ways: dict[str, list[str]] = {}
        misheard: Counter[str] = Counter()
        for phrase in phrases:
            heard = phrase.heard.get(OWN, "")
            if understood(phrase.said, heard, self._parser):
                continue
            here = {w for said, _ in taken_for(phrase.said, heard) for w in said.split()}
            misheard.update(here)
            for word, phones in self.phones_of(phrase.said):
                kept = ways.setdefault(word, []) if word in here else []
                usual = {" ".join(way) for way in Pronouncer(self._known).pronounce(word)}
                if len(phones.split()) >= LEAST_PHONES and phones not in {*kept, *usual}:
                    kept.append(phones)
        often = sorted(misheard.items(), key=lambda item: -item[1])
        words = [word for word, _ in often if ways.get(word)][:MOST_WORDS]
        return {word: ways[word][:MOST_WAYS] for word in words}

    def phones_of(self, said: str) -> list[tuple[str, str]]:
        """Each word of a phrase with the phones heard in its stretch of the sound."""
        words = said.split()
        line = Acceptor(
            (*({word: place + 1} for place, word in enumerate(words)), {}),
            frozenset({len(words)}),
        )
        scores = self._scores[said]
        hypotheses, _ = Decoder(line, Pronouncer(self._known), words).decode(scores, 1)
        if not hypotheses:
            return []
        return [
            (word.text, _free_phones(scores[int(word.start * FRAMES) : int(word.end * FRAMES) + 1]))
            for word in hypotheses[0].words
        ]


def _free_phones(scores: Scores) -> str:
    """The likeliest class of each frame, repeats and what is no phone left out."""
    classes = scores.argmax(axis=1)
    changes = [c for n, c in enumerate(classes) if n == 0 or c != classes[n - 1]]
    return " ".join(PHONES[c - 1] for c in changes if 0 < c <= len(PHONES))
