"""The ears that ship with the assistant: small CTC models, decoded in the profile's grammar.

What the model was made from, its licence and its limits stand in models/README.md.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from pathlib import Path
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from assistant.audio.utterance import RATE, Utterance
from assistant.errors import HearingError, ModelError
from assistant.hearing.ctc import Decoder, Scores, Writing, free_score
from assistant.hearing.heard import EarHearing, HeardWord, Hypothesis
from assistant.hearing.kept_acceptor import kept_acceptor
from assistant.hearing.log_mel import log_mel
from assistant.hearing.phones import Pronouncer
from assistant.hearing.sound import require_rate
from assistant.profile.word_graph import WordGraph
from assistant.shipped import shipped

SHA256 = "190aad5092704ff6266f4b6b656985e59149c8a85388320ae5c5c076e09441b1"
"""Of the shipped models/own.onnx, as models/train/export.py printed it."""
LONGEST = 28.0
"""Seconds. The model knows positions up to 30 s; longer sound is refused."""
ALTERNATIVES = 12
"""Phrases that are given; some of them mean the same ("nine", "niner")."""
MARGIN = int(0.1 * RATE)
"""Samples of silence put before and after, so that no word stands at the very edge."""


class CtcEar:
    """A shipped model for one grammar; its kinds say how the model writes, and which file it is.

    ``model`` is where its file lies, the shipped place if not given. With ``other`` it may be any
    file of the same make, to compare models.
    """

    name: ClassVar[str]
    file: ClassVar[str]
    sha256: ClassVar[str]

    def __init__(
        self,
        graph: WordGraph,
        pronunciations: Mapping[str, str],
        model: Path | None = None,
        other: bool = False,
    ) -> None:
        # Of words that sound alike: no respelling of the profile's, the fuller ("oh", not "o").
        order = sorted(
            sorted(graph.words, reverse=True), key=lambda w: (w in pronunciations, -len(w))
        )
        self._decoder = Decoder(
            kept_acceptor(graph), self._writing(pronunciations), order, fillers=graph.fillers
        )
        place = model or shipped("models") / self.file
        self._model = AcousticModel(place, None if other else self.sha256, self.name)

    def _writing(self, pronunciations: Mapping[str, str]) -> Writing:
        """How the model writes words."""
        raise NotImplementedError

    def hear(self, utterance: Utterance) -> EarHearing:
        require_rate(utterance, self.name)
        scores = self._model.scores(utterance.samples)
        hypotheses, best = self._decoder.decode(scores, ALTERNATIVES)
        if not hypotheses:
            return EarHearing(self.name, ())
        words = hypotheses[0].words
        spoken = max(0.2, sum(word.end - word.start for word in words))
        gap = max(0.0, free_score(scores) - best) / spoken
        offset = utterance.start - MARGIN / RATE
        moved = tuple(_moved(each, offset) for each in hypotheses)
        return EarHearing(self.name, moved, off_grammar=gap, shares=True)

    def close(self) -> None:
        self._model.close()


class OwnEar(CtcEar):
    """Writes the 39 phones of CMUdict, so that a word is what its pronunciation says."""

    name = "own"
    file = "own.onnx"
    sha256 = SHA256

    def _writing(self, pronunciations: Mapping[str, str]) -> Writing:
        return Pronouncer(pronunciations)


class AcousticModel:
    """Sound to log probabilities of classes, 50 times a second; the file's hash is checked."""

    def __init__(self, path: Path, sha256: str | None, ear: str = "own") -> None:
        import onnxruntime

        data = verified(path, sha256, ear)
        self._ear = ear
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = options.inter_op_num_threads = 1
        # Weights lie in the file in 8 bits; this makes floats of them once, at loading.
        options.add_session_config_entry("session.disable_quant_qdq", "1")
        self._session = onnxruntime.InferenceSession(
            data, options, providers=["CPUExecutionProvider"]
        )

    def scores(self, samples: NDArray[np.float32]) -> Scores:
        """Log probabilities [frames, classes]; row i is about sample i · 320 − MARGIN."""
        if samples.size > LONGEST * RATE:
            raise HearingError(
                f"This stretch of speech lasts {samples.size / RATE:.0f} s, and the ear "
                f"{self._ear} takes {LONGEST:.0f} s at most. Pause between readings."
            )
        padded = np.pad(samples, (MARGIN, MARGIN + (-samples.size) % 320))
        (scores,) = self._session.run(None, {"mel": log_mel(padded)[None]})
        return np.asarray(scores, np.float32)

    def close(self) -> None:
        del self._session


def verified(path: Path, sha256: str | None, ear: str = "own") -> bytes:
    """The file's bytes; raises ModelError where it is missing or not the one expected."""
    if not path.is_file():
        raise ModelError(
            f"The model of the ear {ear} is not at {path}. Reinstall benchcall, or fetch the file "
            "again."
        )
    data = path.read_bytes()
    found = hashlib.sha256(data).hexdigest()
    if sha256 is not None and found != sha256:
        raise ModelError(
            f"The model of the ear {ear} at {path} is damaged or another (SHA-256 {found[:12]}…, "
            f"expected {sha256[:12]}…). Reinstall benchcall, or delete "
            "that file if you put it there."
        )
    return data


def _moved(hypothesis: Hypothesis, offset: float) -> Hypothesis:
    words = tuple(
        HeardWord(word.text, word.start + offset, word.end + offset, word.confidence)
        for word in hypothesis.words
    )
    return Hypothesis(words, hypothesis.confidence)
