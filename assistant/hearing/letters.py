"""The own ear's twin: it writes letters instead of phones, and so errs elsewhere.

Two ears that fail alike prove nothing by agreeing. This model has another build and another seed,
heard other speech, and takes a word for its spelling. What it was made from, and how often the two
agree, stands in models/README.md.
"""

from __future__ import annotations

from collections.abc import Mapping

from assistant.hearing.ctc import Writing
from assistant.hearing.own import CtcEar
from assistant.hearing.spelling import Speller

SHA256 = "e1648d25aff08d4dae242913c24096631b5aa1db93bf29500da5617dc3775e25"
"""Of the shipped models/letters.onnx, as models/train/export.py printed it."""


class LettersEar(CtcEar):
    """Writes letters. Pronunciations only tell it which of two like words to prefer."""

    name = "letters"
    file = "letters.onnx"
    sha256 = SHA256

    def _writing(self, _pronunciations: Mapping[str, str]) -> Writing:
        return Speller()
