"""What kaldi-decoder makes of a model's scores, in the same form as the plain search's answers.

For decoders.py alone.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby, pairwise

import kaldi_decoder
import kaldifst
import numpy as np

from assistant.hearing.ctc import BLANK, NEVER, Scores, Spoken, _heard, _sum
from assistant.hearing.heard import Hypothesis

Decoded = tuple[tuple[Hypothesis, ...], float]
MOST = 100
"""Ways through a lattice that live on from frame to frame, as many as in the plain search."""


@dataclass(frozen=True, slots=True)
class OneBest:
    """The likeliest single alignment (Viterbi). No alternatives, so no posteriors."""

    graph: kaldifst.StdConstFst
    words: list[str]
    beam: float
    simple: bool = False

    def decode(self, scores: Scores, _count: int = 1) -> Decoded:
        if self.simple:
            decoder = kaldi_decoder.SimpleDecoder(self.graph, self.beam)
        else:
            options = kaldi_decoder.FasterDecoderOptions(beam=self.beam)
            decoder = kaldi_decoder.FasterDecoder(self.graph, options)
        decoder.decode(kaldi_decoder.DecodableCtc(scores))
        if not decoder.reached_final():
            return (), NEVER
        _, lattice = decoder.get_best_path()
        _, labels, olabels, _ = kaldifst.get_linear_symbol_sequence(lattice)
        classes = np.array(labels) - 1
        best = float(scores[np.arange(len(classes)), classes].sum())
        said = _spoken(classes.tolist(), [self.words[label] for label in olabels])
        if not said:
            return (), best
        return (Hypothesis(tuple(_heard(word, [(1.0, said)]) for word in said), 1.0),), best


@dataclass(slots=True)
class _Way:
    """What leads to a state of the lattice with the same words: its sum, and its likeliest way."""

    total: float = NEVER
    best: float = NEVER
    said: tuple[Spoken, ...] = ()
    first: int = -1
    last: int = -1


_Ways = dict[int, dict[tuple[str, ...], _Way]]


@dataclass(frozen=True, slots=True)
class Lattice:
    """All alignments within ``lattice_beam`` nats of the likeliest, summed by phrase.

    ``summed=False`` takes the likeliest alignment of each phrase instead.
    """

    graph: kaldifst.StdConstFst
    words: list[str]
    beam: float
    lattice_beam: float
    summed: bool = True

    def decode(self, scores: Scores, count: int = 5) -> Decoded:
        config = kaldi_decoder.LatticeSimpleDecoderConfig(self.beam, self.lattice_beam)
        decoder = kaldi_decoder.LatticeSimpleDecoder(self.graph, config)
        decoder.decode(kaldi_decoder.DecodableCtc(scores))
        if decoder.final_relative_cost() == -NEVER:
            return (), NEVER
        _, lattice = decoder.get_raw_lattice()
        ended = self._phrases(lattice.to_str(), scores.tolist())
        if not ended:
            return (), NEVER
        top = ended[0].total
        whole = sum(math.exp(way.total - top) for way in ended)
        shares = [(math.exp(way.total - top) / whole, way.said) for way in ended]
        if not shares[0][1]:
            return (), top
        phrases = tuple(
            Hypothesis(tuple(_heard(word, shares) for word in said), share)
            for share, said in shares[:count]
            if said
        )
        return phrases, top

    def _phrases(self, lattice: str, scores: list[list[float]]) -> list[_Way]:
        """Likeliest first. Every arc is a frame, and states stand in the order of their frames.

        kaldifst's determinize_star(use_log=True) would sum too, but on these lattices its sums
        came out above one.
        """
        steps, finals = _steps(lattice, scores)
        ahead = defaultdict(lambda: NEVER, dict.fromkeys(finals, 0.0))
        for step in reversed(steps):
            ahead[step.source] = max(ahead[step.source], step.value + ahead[step.target])
        floor = ahead[0] - self.lattice_beam
        here: _Ways = {0: {(): _Way(0.0, 0.0)}}
        for _, frame in groupby(steps, key=lambda step: step.frame):
            here = self._next(here, frame, ahead, floor)
        ended: dict[tuple[str, ...], _Way] = {}
        for state in finals:
            for texts, way in here.get(state, {}).items():
                kept = ended.setdefault(texts, _Way())
                if self._join(kept, way, 0.0):
                    kept.said = way.said
        return sorted(ended.values(), key=lambda way: -way.total)

    def _next(
        self, here: _Ways, frame: Iterable[_Step], ahead: dict[int, float], floor: float
    ) -> _Ways:
        """One frame on. Only MOST ways live on, or speech off the grammar would fill the memory."""
        there: _Ways = {}
        for step in frame:
            for texts, way in here.get(step.source, {}).items():
                if way.total + step.value + ahead[step.target] < floor:
                    continue
                key, said, first, last = texts, way.said, way.first, way.last
                if step.label:
                    key = (*texts, self.words[step.label])
                    said, first = (*said, Spoken(key[-1], first, last)), -1
                elif step.new:
                    first, last = step.frame if first < 0 else first, step.frame
                kept = there.setdefault(step.target, {}).setdefault(key, _Way())
                if self._join(kept, way, step.value):
                    kept.said, kept.first, kept.last = said, first, last
        promise = [
            (way.total + ahead[state], state, texts)
            for state, ways in there.items()
            for texts, way in ways.items()
        ]
        for _, state, texts in sorted(promise, reverse=True)[MOST:]:
            del there[state][texts]
        return there

    def _join(self, kept: _Way, way: _Way, value: float) -> bool:
        """Whether this is the likeliest way so far."""
        total, best = way.total + value, way.best + value
        kept.total = _sum(kept.total, total) if self.summed else max(kept.total, total)
        better = best > kept.best
        kept.best = max(kept.best, best)
        return better


@dataclass(frozen=True, slots=True)
class _Step:
    """An arc of a lattice; ``new`` where a class begins, ``label`` where a word has ended."""

    source: int
    target: int
    frame: int
    value: float
    label: int
    new: bool


def _steps(lattice: str, scores: list[list[float]]) -> tuple[list[_Step], list[int]]:
    """The arcs of a lattice in text form, and its final states."""
    seen: dict[int, tuple[int, int]] = {0: (0, BLANK)}  # state: its frame, its last class
    steps: list[_Step] = []
    finals: list[int] = []
    for fields in map(str.split, lattice.splitlines()):
        if len(fields) < 4:
            finals += map(int, fields[:1])
            continue
        source, target, label, word = map(int, fields[:4])
        frame, last = seen[source]
        seen[target] = frame + 1, label - 1
        value = scores[frame][label - 1]
        steps.append(_Step(source, target, frame, value, word, label - 1 not in (BLANK, last)))
    return steps, finals


def _spoken(classes: list[int], words: list[str]) -> tuple[Spoken, ...]:
    """The words of one alignment with the frames of their first and their last phone."""
    onsets = [
        (frame, new)
        for frame, (last, new) in enumerate(pairwise([BLANK, *classes]))
        if new not in (BLANK, last)
    ]
    boundary = onsets[-1][1] if onsets else BLANK
    said: list[Spoken] = []
    frames: list[int] = []
    for frame, phone in onsets:
        if phone != boundary:
            frames.append(frame)
        else:
            said.append(Spoken(words[len(said)], frames[0], frames[-1]))
            frames = []
    return tuple(said)
