"""The ear of Vosk: one model heard twice, bound to the profile's grammar and with open words.

The bound hearing gives the readings, the open one the notes and a measure of how much better free
words explain the sound. It runs in a process of its own (vosk_process), which is started again
for the next utterance where it crashed or hung.
"""

from __future__ import annotations

import logging
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from assistant.audio.utterance import RATE, Utterance
from assistant.errors import HearingError, ModelError
from assistant.hearing.heard import EarHearing, HeardWord, Hypothesis
from assistant.hearing.kept_acceptor import kept_acceptor
from assistant.hearing.sound import is_silent, pcm16, require_rate
from assistant.hearing.vosk_client import COMMAND, VoskClient, VoskStoppedError
from assistant.hearing.vosk_grammar import (
    UNKNOWN,
    candidates,
    joined,
    stand_ins,
    vosk_grammar,
)
from assistant.profile.word_graph import WordGraph

PATIENCE = 20.0
PATIENCE_A_SECOND = 5.0
"""Seconds to wait for an answer, whatever the sound, and for each second of it."""

_log = logging.getLogger(__name__)
Answer = TypeVar("Answer")


class VoskEar:
    """``model`` is a folder, never a name: by a name Vosk would download and unpack unchecked.

    ``left_out`` are the graph's words that the model lacks and that nothing stands in for: no
    phrase that needs one is heard. ``bound`` is False for a model that takes no grammar; its open
    words are then all there is. Raises ModelError for a model that can't be used.
    """

    name = "vosk"

    def __init__(self, graph: WordGraph, model: Path, command: tuple[str, ...] = COMMAND) -> None:
        self._model, self._command = model, command
        self._client: VoskClient | None = VoskClient(model, command)
        try:
            self._prepare(graph, self._client)
        except BaseException:
            self.close()
            raise

    def hear(self, utterance: Utterance) -> EarHearing:
        """Raises HearingError where the process crashed or gave no answer in time."""
        require_rate(utterance, self.name)
        if is_silent(utterance.samples):
            return EarHearing(self.name, ())
        sound, patience = pcm16(utterance.samples), _patience(utterance.samples)
        answer = self._ask(lambda client: client.hear(sound, patience))
        return self._hearing(answer, utterance.start)

    def partials(self, pieces: Iterable[NDArray[np.float32]]) -> Iterator[str]:
        """The words so far after each piece of an utterance at 16 kHz, for a screen to show: they
        may yet change, and need not be a phrase of the graph. Raises HearingError as ``hear``."""
        for count, samples in enumerate(pieces):
            words = self._ask(partial(_so_far, samples, count == 0))
            shown = [word for word, _, _ in joined(words, self._grammar.instead)]
            yield " ".join(word for word in shown if word not in UNKNOWN)

    def close(self) -> None:
        if self._client is not None:
            self._client.close()
            self._client = None

    def _prepare(self, graph: WordGraph, client: VoskClient) -> None:
        missing = client.missing(sorted({*candidates(graph.words), *UNKNOWN}))
        given = stand_ins(graph.words, missing)
        left_out = graph.words - given.keys()
        self._acceptor = kept_acceptor(graph, left_out)
        try:
            self._grammar = vosk_grammar(
                self._acceptor, given, left_out, [word for word in UNKNOWN if word not in missing]
            )
        except ValueError as error:
            raise ModelError(
                f"The Vosk model in {self._model} can't be bound to this profile: {error}. Is it "
                "an English model?"
            ) from error
        self.left_out = self._grammar.left_out
        self.bound = not any(
            (self._model / place / "HCLG.fst").is_file() for place in (".", "graph")
        )
        if not self.bound:
            _log.warning("The Vosk model in %s ignores a grammar; take a small one.", self._model)
        try:
            client.bind(list(self._grammar.phrases))
        except VoskStoppedError as error:
            raise ModelError(
                f"Vosk broke off on the grammar with the model in {self._model}. Delete that "
                "folder and fetch it again (benchcall models --get)."
            ) from error

    def _ask(self, ask: Callable[[VoskClient], Answer]) -> Answer:
        """Asks the process; one that stopped is started again first."""
        try:
            if self._client is None:
                client = VoskClient(self._model, self._command)
                client.bind(list(self._grammar.phrases))
                self._client = client
            return ask(self._client)
        except VoskStoppedError:
            self._client = None
            raise
        except ModelError as error:  # it was there when the ear was made
            raise HearingError(str(error)) from error

    def _hearing(self, answer: dict[str, Any], start: float) -> EarHearing:
        shift = start - answer["since"]
        best = self._words(answer["words"].get("result", ()), shift)
        if not best:
            return EarHearing(self.name, ())
        sure = min(word.confidence for word in best)
        others = answer["alternatives"]["alternatives"]
        opened = answer["open"]["alternatives"][0]
        spoken = max(0.2, best[-1].end - best[0].start)
        gap = (opened["confidence"] - others[0]["confidence"]) / spoken
        found = [Hypothesis(best, sure), *self._alternatives(others, shift, sure)]
        if self._sayable(found[0]):
            whole = [hypothesis for hypothesis in found if self._sayable(hypothesis)]
        else:
            free = _plain(opened.get("result", ()), shift, sure)
            known = tuple(word for word in free if word.text not in UNKNOWN)
            whole = [Hypothesis(known, sure)]
        return EarHearing(self.name, _each_once(whole), off_grammar=gap)

    def _sayable(self, hypothesis: Hypothesis) -> bool:
        return self._acceptor.accepts([word.text for word in hypothesis.words])

    def _alternatives(
        self, others: Sequence[dict[str, Any]], shift: float, sure: float
    ) -> Iterator[Hypothesis]:
        """Vosk scores alternatives in nats: each is as sure as its share of the first's chance."""
        for other in others:
            share = sure * math.exp(min(0.0, other["confidence"] - others[0]["confidence"]))
            words = self._words(other.get("result", ()), shift, share)
            if words:
                yield Hypothesis(words, share)

    def _words(
        self, result: Sequence[dict[str, Any]], shift: float, sure: float = 1.0
    ) -> tuple[HeardWord, ...]:
        """Words that the model has as they are, where they are a phrase so; else stand-ins are
        turned back."""
        parts = _plain(result, shift, sure)
        if self._acceptor.accepts([part.text for part in parts]):
            return parts
        return tuple(
            HeardWord(
                word,
                parts[first].start,
                parts[end - 1].end,
                min(part.confidence for part in parts[first:end]),
            )
            for word, first, end in joined([p.text for p in parts], self._grammar.instead)
        )


def _patience(samples: NDArray[np.float32]) -> float:
    return PATIENCE + PATIENCE_A_SECOND * len(samples) / RATE


def _so_far(samples: NDArray[np.float32], fresh: bool, client: VoskClient) -> list[str]:
    return client.so_far(pcm16(samples), fresh, _patience(samples))


def _plain(result: Sequence[dict[str, Any]], shift: float, sure: float) -> tuple[HeardWord, ...]:
    return tuple(
        HeardWord(part["word"], part["start"] + shift, part["end"] + shift, part.get("conf", sure))
        for part in result
    )


def _each_once(hypotheses: Iterable[Hypothesis]) -> tuple[Hypothesis, ...]:
    found: dict[str, Hypothesis] = {}
    for hypothesis in hypotheses:
        if hypothesis.words:
            found.setdefault(hypothesis.text, hypothesis)
    return tuple(found.values())
