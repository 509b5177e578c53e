"""Decoding of a CTC model: the likeliest phrases of a grammar, with times and posteriors.

A prefix beam search (Graves, Hannun): hypotheses are places in a tree of pronunciations that
hangs on every state of the acceptor, and the probability of all alignments of a prefix is summed.
Frames that are surely blank cost next to nothing, so the search is fast without any tricks.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from assistant.hearing.acceptor import Acceptor
from assistant.hearing.heard import HeardWord, Hypothesis

Scores = NDArray[np.float32]
BLANK = 0
"""The class of nothing new, in every model."""
NEVER = -math.inf
LEFT_OUT = 8.0
"""Nats by which a phrase without a filler is taken for likelier than one with it. Measured without
this, clean and amid noise: all 51 phrases that begin with "the" were 18 nats likelier to the own
ear than any without it; of 72 that begin with "docked" it held one in ten for "the"."""
FRAME = 0.02
"""Seconds from one row of scores to the next."""


class Writing(Protocol):
    """How a model writes words down, in phones or in letters."""

    @property
    def boundary(self) -> int:
        """The class that ends every word."""

    def classes(self, word: str) -> Sequence[tuple[int, ...]]:
        """All ways in which a word may be written, the boundary at the end of each."""


@dataclass(slots=True, eq=False)
class Node:
    """A place in the tree of pronunciations that hangs on one state of the acceptor."""

    last: int
    state: int | None = None
    """The acceptor's state at the root of its tree, None elsewhere."""
    next: dict[int, Node] = field(default_factory=dict)
    ends: list[tuple[str, int, float]] = field(default_factory=list)
    """Words that are complete here, each with the acceptor's next state and its cost in nats."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """A word of a hypothesis with the frames of its first and its last phone.

    The model says late that a word has ended, so its end is taken from its last phone.
    """

    text: str
    first: int
    last: int


@dataclass(slots=True, eq=False)
class _Path:
    """A prefix: the log probabilities of its alignments that end in blank, and in its last phone.

    ``words`` and the frames ``first`` and ``last`` of the open word's phones are those of the
    likeliest way here, whose probability is ``best``.
    """

    words: tuple[Spoken, ...] = ()
    first: int = 0
    last: int = 0
    blank: float = NEVER
    phone: float = NEVER
    best: float = NEVER

    def came(self, score: float, words: tuple[Spoken, ...], first: int, last: int) -> None:
        if score > self.best:
            self.best, self.words, self.first, self.last = score, words, first, last


_Key = tuple[Node, tuple[str, ...]]


class Decoder:
    """Made once from an acceptor; ``decode`` takes log probabilities [frames, classes].

    Of words that sound alike between the same states, only the first in ``order`` is ever given:
    "two", not "too". ``beam`` prefixes live on from frame to frame, none of them more than
    ``width`` nats behind the best; phones more than ``width`` nats behind the likeliest of a frame
    are not tried. ``fillers`` are words that cost something where they may be left out.
    """

    def __init__(
        self,
        acceptor: Acceptor,
        writing: Writing,
        order: Iterable[str],
        beam: int = 100,
        width: float = 25.0,
        fillers: Collection[str] = (),
    ) -> None:
        sayable = acceptor.words
        words = [word for word in dict.fromkeys(order) if word in sayable]
        self._sounds = {word: writing.classes(word) for word in words}
        self._boundary = writing.boundary
        self._steps, self._finals = acceptor.steps, acceptor.finals
        self._roots: dict[int, Node] = {}
        self._beam, self._width = beam, width
        self._fillers = frozenset(fillers)

    def decode(self, scores: Scores, count: int = 5) -> tuple[tuple[Hypothesis, ...], float]:
        """Up to ``count`` phrases, best first, and the log probability of the best.

        There are none where nothing fits, or where silence explains the sound best.

        Times are seconds from the first row. A phrase's confidence is its share of the
        probability of all that were found, silence among them; a word's confidence is the share
        of the phrases that have it in its place.
        """
        ended = [
            (_sum(path.blank, path.phone), path.words)
            for (node, words), path in self._search(scores).items()
            if node.state in self._finals or (node.state == 0 and not words)
        ]
        if not ended:
            return (), NEVER
        ended.sort(key=lambda item: -item[0])
        top = ended[0][0]
        whole = sum(math.exp(score - top) for score, _ in ended)
        shares = [(math.exp(score - top) / whole, words) for score, words in ended]
        if not shares[0][1]:
            return (), top
        phrases = tuple(
            Hypothesis(tuple(_heard(word, shares) for word in words), share)
            for share, words in shares[:count]
            if words
        )
        return phrases, top

    def _root(self, state: int) -> Node:
        """The tree of the words that may follow ``state``, made when it is first reached."""
        if state not in self._roots:
            step = self._steps[state]
            words = {word: sounds for word, sounds in self._sounds.items() if word in step}
            costs = {word: LEFT_OUT for word in self._fillers if self._may_be_left_out(word, step)}
            self._roots[state] = _tree(Node(self._boundary, state), step, words, costs)
        return self._roots[state]

    def _may_be_left_out(self, word: str, step: Mapping[str, int]) -> bool:
        """Whether all that may follow the word here could stand in its place."""
        return word in step and self._steps[step[word]].keys() - self._fillers <= step.keys()

    def _search(self, scores: Scores) -> dict[_Key, _Path]:
        paths: dict[_Key, _Path] = {(self._root(0), ()): _Path(blank=0.0, best=0.0)}
        for frame, row in enumerate(scores):
            likely = [int(c) for c in np.flatnonzero(row > row.max() - self._width) if c != BLANK]
            found: dict[_Key, _Path] = {}
            values = row.tolist()
            for (node, texts), path in paths.items():
                self._stay(found, (node, texts), path, values)
                for phone in likely:
                    if branch := node.next.get(phone):
                        self._go_on(found, (node, texts), path, branch, values[phone], frame)
            paths = self._pruned(found)
        return paths

    def _stay(self, found: dict[_Key, _Path], key: _Key, path: _Path, values: list[float]) -> None:
        """The same prefix one frame longer: a blank, or its last phone held on."""
        total = _sum(path.blank, path.phone)
        kept = found.setdefault(key, _Path())
        kept.blank = _sum(kept.blank, total + values[BLANK])
        kept.phone = _sum(kept.phone, path.phone + values[key[0].last])
        score = path.best + max(values[BLANK], values[key[0].last])
        kept.came(score, path.words, path.first, path.last)

    def _go_on(
        self,
        found: dict[_Key, _Path],
        key: _Key,
        path: _Path,
        branch: Node,
        value: float,
        frame: int,
    ) -> None:
        """One phone more; where it ends words, each of them in turn."""
        node, texts = key
        # Between two like phones a blank must stand, or they would be one phone held on.
        before = path.blank if branch.last == node.last else _sum(path.blank, path.phone)
        score = before + value
        if score == NEVER:
            return
        first = path.first if node.state is None else frame
        if branch.next:
            kept = found.setdefault((branch, texts), _Path())
            kept.phone = _sum(kept.phone, score)
            kept.came(path.best + value, path.words, first, frame)
        for word, state, cost in branch.ends:
            kept = found.setdefault((self._root(state), (*texts, word)), _Path())
            kept.phone = _sum(kept.phone, score - cost)
            said = (*path.words, Spoken(word, first, path.last))
            kept.came(path.best + value - cost, said, frame, frame)

    def _pruned(self, found: dict[_Key, _Path]) -> dict[_Key, _Path]:
        ranked = sorted(
            ((_sum(path.blank, path.phone), key) for key, path in found.items()),
            key=lambda item: -item[0],
        )
        floor = ranked[0][0] - self._width
        return {key: found[key] for score, key in ranked[: self._beam] if score > floor}


def free_score(scores: Scores) -> float:
    """Log probability of the likeliest row of classes, no grammar asked."""
    return float(scores.max(axis=1).sum())


def _tree(
    root: Node,
    step: Mapping[str, int],
    sounds: Mapping[str, Iterable[tuple[int, ...]]],
    costs: Mapping[str, float],
) -> Node:
    for word, pronunciations in sounds.items():
        for classes in pronunciations:
            node = root
            for phone in classes:
                node = node.next.setdefault(phone, Node(phone))
            # Of words that sound alike and lead to the same place one is enough.
            if step[word] not in [target for _, target, _ in node.ends]:
                node.ends.append((word, step[word], costs.get(word, 0.0)))
    return root


def _heard(word: Spoken, shares: list[tuple[float, tuple[Spoken, ...]]]) -> HeardWord:
    middle = (word.first + word.last) / 2
    confidence = sum(
        share
        for share, words in shares
        if any(w.text == word.text and w.first <= middle <= w.last for w in words)
    )
    return HeardWord(word.text, word.first * FRAME, (word.last + 1) * FRAME, min(1.0, confidence))


def _sum(a: float, b: float) -> float:
    """log(exp(a) + exp(b))."""
    if a < b:
        a, b = b, a
    return a if b == NEVER else a + math.log1p(math.exp(b - a))
