"""The ear that is always there: CMU pocketsphinx, its US English model inside its wheel.

It is bound to the profile's word graph. A second search over free phones runs on the same
acoustic scores; how much better it explains the sound is the measure of speech off the grammar,
and word by word the measure of confidence.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from pocketsphinx import Decoder, get_model_path

from assistant.audio.utterance import Utterance
from assistant.errors import HearingError
from assistant.hearing.acceptor import Acceptor, Arc
from assistant.hearing.denoise import denoise
from assistant.hearing.heard import EarHearing, HeardWord, Hypothesis
from assistant.hearing.kept_acceptor import kept_acceptor
from assistant.hearing.phones import Pronouncer
from assistant.hearing.shared_arcs import share_arcs
from assistant.hearing.sound import is_silent, pcm16, require_rate
from assistant.profile.word_graph import WordGraph

FRAMES_A_SECOND = 100
_SILENCE = 0.1
"""Chance of a pause between words. At the library's 0.005 words swallow the pauses."""
_NATS = 1024
"""A score is exp of log base 1.0001 of a likelihood, shifted right by ten bits: so many nats lie
in one unit of its natural logarithm."""
_GAUSSIANS = 2
"""Of each mixture so many count. The library's 4 take a quarter longer and hear no more."""
_WORD_INSERTION = 0.1
"""Penalty that keeps "two" from being heard as "two two" (the library's own 0.65 does not)."""
_FEWEST_PHONES = 2
_HALF_SURE, _STEEPNESS = 2.0, 0.5
"""Nats a frame by which free phones win where a word is as likely wrong as right, and how fast
that changes. A score to compare words by, not a probability: nothing is accepted on it."""


@dataclass(frozen=True, slots=True)
class _Segment:
    """A word or phone; frames count from the beginning of the utterance, end exclusive."""

    text: str
    first: int
    end: int
    nats: float

    @property
    def is_word(self) -> bool:
        return self.text[0] not in "<(["

    @property
    def is_phone(self) -> bool:
        """Of speech: not a pause (SIL) and not a noise (+NSN+)."""
        return self.text != "SIL" and self.text[0] != "+"

    def shared(self, other: _Segment) -> int:
        """Frames that both have."""
        return max(0, min(self.end, other.end) - max(self.first, other.first))


class PocketsphinxEar:
    """Hears what the graph can say.

    Words that its dictionary lacks are pronounced as for our own ear: the profile's way first.
    ``left_out`` are the words that nobody can pronounce: they are never heard, nor is any phrase
    that needs one, until the profile spells them under [profile.pronunciations].
    """

    name = "pocketsphinx"

    def __init__(self, graph: WordGraph, pronunciations: Mapping[str, str]) -> None:
        model = Path(get_model_path()) / "en-us"
        self._decoder = Decoder(
            hmm=str(model / "en-us"),
            dict=str(model / "cmudict-en-us.dict"),
            lm=None,
            loglevel="FATAL",
            bestpath=False,
            compallsen=True,
            wip=_WORD_INSERTION,
            silprob=_SILENCE,
            topn=_GAUSSIANS,
        )
        self.left_out = self._supply(graph.words, Pronouncer(pronunciations))
        self._acceptor = kept_acceptor(graph, self.left_out)
        order = {word: place for place, (_, word, _) in reversed([*enumerate(graph.arcs)])}
        arcs = _one_spelling(self._acceptor.arcs, self._decoder, order)
        self._decoder.add_fsg("grammar", _grammar(self._decoder, self._acceptor, arcs))
        self._decoder.add_allphone_file("phones", str(model / "en-us-phone.lm.bin"))
        self._unheard = self._decoder.get_cmn(False)

    def begin(self) -> None:
        """Hears on as if nothing had been heard yet: the decoder carries the mean of the sound's
        spectrum, and the Gaussians that fitted last, from one utterance to the next."""
        self._decoder.reinit_feat()
        self._decoder.set_cmn(self._unheard)

    def hear(self, utterance: Utterance) -> EarHearing:
        require_rate(utterance, self.name)
        if is_silent(utterance.samples):
            return EarHearing(self.name, ())
        sound = pcm16(denoise(utterance))
        best = self._hear_grammar(sound)
        if not best:
            return EarHearing(self.name, ())
        free = self._hear_phones(sound)
        if not _is_speech(best, free):
            return EarHearing(self.name, ())
        words = tuple(_heard(segment, free, utterance.start) for segment in best)
        confidence = min(word.confidence for word in words)
        return EarHearing(self.name, (Hypothesis(words, confidence),), off_grammar=_gap(best, free))

    def close(self) -> None:
        """Nothing is held open."""

    def _hear_grammar(self, sound: bytes) -> list[_Segment]:
        """The words of the best phrase; none where it stops short of a phrase's end."""
        self._decoder.activate_search("grammar")
        if not self._decode(sound):
            return []
        words = [segment for segment in self._segments() if segment.is_word]
        return words if self._acceptor.accepts([word.text for word in words]) else []

    def _supply(self, words: Iterable[str], pronouncer: Pronouncer) -> tuple[str, ...]:
        """Adds what the dictionary lacks; returns the words that nobody can pronounce."""
        left_out: list[str] = []
        for word in sorted(words):
            if self._decoder.lookup_word(word) is not None:
                continue
            try:
                phones = pronouncer.pronounce(word)[0]
            except HearingError:
                left_out.append(word)
            else:
                self._decoder.add_word(word, " ".join(phones), False)
        return tuple(left_out)

    def _hear_phones(self, sound: bytes) -> list[_Segment]:
        self._decoder.activate_search("phones")
        return list(self._segments()) if self._decode(sound) else []

    def _decode(self, sound: bytes) -> bool:
        """Whether anything was found."""
        try:
            self._decoder.start_utt()
            self._decoder.process_raw(sound, full_utt=True)
            self._decoder.end_utt()
        except RuntimeError as error:
            raise HearingError(f"pocketsphinx failed on this ({error}). Say it again.") from error
        return self._decoder.hyp() is not None

    def _segments(self) -> Iterator[_Segment]:
        for part in self._decoder.seg():
            text = part.word.split("(")[0] or part.word
            yield _Segment(text, part.start_frame, part.end_frame + 1, _nats(part.ascore))


def _one_spelling(arcs: Iterable[Arc], decoder: Decoder, order: Mapping[str, int]) -> list[Arc]:
    """Of words that sound alike between the same states the first in the graph: "two", not "too";
    the decoder could only pick between them by chance."""
    kept: dict[tuple[int, int, str], Arc] = {}
    for arc in sorted(arcs, key=lambda arc: order[arc[1]]):
        source, word, target = arc
        kept.setdefault((source, target, decoder.lookup_word(word)), arc)
    return list(kept.values())


def _grammar(decoder: Decoder, words: Acceptor, arcs: Iterable[Arc]) -> object:
    """The acceptor as the library's finite-state grammar, with one final state of its own."""
    end = len(words.steps)
    shared = share_arcs(arcs)
    steps: list[tuple[int, int, float] | tuple[int, int, float, str]]
    steps = [(source, target, chance, word) for source, word, target, chance in shared.spoken]
    steps += shared.silent
    steps += [(final, end, 1.0) for final in words.finals]
    return decoder.create_fsg("grammar", 0, end, steps)


def _nats(score: float) -> float:
    return _NATS * math.log(score) if score > 0 else -math.inf


def _excess(part: Iterable[_Segment], free: list[_Segment]) -> tuple[float, int]:
    """How many nats better the free phones explain the frames of ``part``, and how many frames."""
    gap, frames = 0.0, 0
    for segment in part:
        gap -= segment.nats
        frames += segment.end - segment.first
        for phone in free:
            gap += phone.nats * segment.shared(phone) / (phone.end - phone.first)
    return gap, frames


def _is_speech(best: list[_Segment], free: list[_Segment]) -> bool:
    """Whether free phones hear enough phones where the words are: at least two, one for each word
    and two a second. Hiss, hum and knocks are one long phone or none."""
    whole = _Segment("", best[0].first, best[-1].end, 0.0)
    phones = sum(1 for segment in free if segment.is_phone and segment.shared(whole) > 0)
    seconds = sum(word.end - word.first for word in best) / FRAMES_A_SECOND
    return phones >= max(_FEWEST_PHONES, len(best), _FEWEST_PHONES * seconds)


def _gap(best: list[_Segment], free: list[_Segment]) -> float:
    gap, frames = _excess(best, free)
    return gap * FRAMES_A_SECOND / frames


def _heard(segment: _Segment, free: list[_Segment], start: float) -> HeardWord:
    gap, frames = _excess([segment], free)
    return HeardWord(
        segment.text,
        start + segment.first / FRAMES_A_SECOND,
        start + segment.end / FRAMES_A_SECOND,
        1 / (1 + math.exp((gap / frames - _HALF_SURE) / _STEEPNESS)),
    )
