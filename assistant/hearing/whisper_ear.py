"""The open-vocabulary ear: Whisper tiny.en through faster-whisper, on one core.

After other ears it *weighs*: unprompted, it scores their phrases and what is easily taken for them
beside its own free words. That costs little, since it need not hear the usual thirty seconds, and
finds the trade's words where free dictation does not.

As the only ear it *hears*: led by a prompt made of the profile's labels, never of context words,
since a prompted Whisper invents what it was prompted with. It then always hears thirty seconds.

It gives no times for words; they are spread over the voiced part by their length.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.audio.utterance import RATE, Utterance
from assistant.errors import HearingError, ModelError
from assistant.hearing.heard import EarHearing, HeardWord, Hypothesis
from assistant.hearing.model_store import how_to_get
from assistant.hearing.proposals import Proposal
from assistant.hearing.sound import is_silent, loud_part, require_rate
from assistant.hearing.written import heard_words
from assistant.profile.schema import Profile

BEAM = 3
ALTERNATIVES = 3
LONGEST_ANSWER = 100
"""Tokens; no utterance says more, and a model that runs in circles is stopped."""
NO_SPEECH = 0.6
LEAST_LOG_PROBABILITY = -1.0
"""Beyond both of which Whisper's authors call a segment silent."""
WINDOW = 12.0
MARGIN = 4.0
"""Seconds that are heard when weighing: at least so long, and so much silence behind the speech.
Measured on 60 recordings, clean and noisy: 51 phrases told rightly with 30 s, 53 with 12 s, at a
fifth of the time."""
BEHIND = 1.0
"""Seconds behind the speech that the words are weighed against."""
TOKENS_A_SECOND = 8
FRAMES = 50
"""Of encoded sound, a second."""

Encoded = NDArray[np.float32]


class WhisperEar:
    """``model`` is a folder in CTranslate2 form (see model_store)."""

    name = "whisper"

    def __init__(self, model: Path, prompt: str) -> None:
        from faster_whisper import WhisperModel
        from faster_whisper.tokenizer import Tokenizer
        from faster_whisper.transcribe import get_suppressed_tokens

        try:
            self._whisper = WhisperModel(
                str(model), device="cpu", compute_type="int8", cpu_threads=1, local_files_only=True
            )
        except (RuntimeError, ValueError, OSError) as error:
            raise ModelError(
                f"The Whisper model in {model} can't be loaded ({error}). Get it again: "
                f"{how_to_get('whisper')}"
            ) from error
        self._tokenizer = Tokenizer(self._whisper.hf_tokenizer, multilingual=False)
        before = self._tokenizer.encode(" " + prompt) if prompt else []
        self._prompt = self._whisper.get_prompt(self._tokenizer, before, without_timestamps=True)
        self._suppressed = list(get_suppressed_tokens(self._tokenizer, [-1]))
        self._prompted = frozenset(heard_words(prompt))

    def hear(self, utterance: Utterance) -> EarHearing:
        """Raises HearingError for an utterance longer than Whisper's thirty seconds."""
        if not _has_sound(utterance):
            return self._heard((), self._prompted)
        result = self._generated(self._encoded(utterance, 30.0), self._prompt, LONGEST_ANSWER)
        if _is_silence(result):
            return self._heard((), self._prompted)
        found: dict[tuple[str, ...], float] = {}
        for tokens, mean in zip(result.sequences_ids, result.scores, strict=True):
            found.setdefault(heard_words(self._text(tokens)), mean * len(tokens))
        return self._heard(_shared(found, utterance), self._prompted)

    def weigh(self, utterance: Utterance, proposals: Sequence[Proposal]) -> EarHearing:
        """The proposals and its own free words, likeliest first, each with its share of the
        probability of all of them. Raises HearingError as ``hear``."""
        if not _has_sound(utterance):
            return self._heard(())
        seconds = len(utterance.samples) / RATE
        encoded = self._encoded(utterance, max(WINDOW, seconds + MARGIN))
        before = [self._tokenizer.sot, self._tokenizer.no_timestamps]
        longest = min(LONGEST_ANSWER, 12 + int(TOKENS_A_SECOND * seconds))
        result = self._generated(encoded, before, longest)
        if _is_silence(result):
            return self._heard(())
        forms = [(heard_words(text), text) for text in map(self._text, result.sequences_ids)]
        forms += [(one.words, text) for one in proposals for text in one.written]
        forms = [(words, text) for words, text in dict.fromkeys(forms) if words]
        spoken = np.ascontiguousarray(encoded[: int((seconds + BEHIND) * FRAMES)])
        found: dict[tuple[str, ...], float] = {}
        for (words, _), score in zip(
            forms, self._scores(spoken, [text for _, text in forms]), strict=True
        ):
            found[words] = max(score, found.get(words, -math.inf))
        return self._heard(_shared(found, utterance))

    def close(self) -> None:
        """Nothing is held open."""

    def _heard(
        self, hypotheses: tuple[Hypothesis, ...], prompted: frozenset[str] = frozenset()
    ) -> EarHearing:
        return EarHearing(self.name, hypotheses, prompted, open_vocabulary=True, shares=True)

    def _text(self, tokens: Sequence[int]) -> str:
        return str(self._tokenizer.decode(tokens)).strip()

    def _encoded(self, utterance: Utterance, seconds: float) -> Encoded:
        """Encoded sound [frames, width] of a window of at most thirty seconds."""
        from faster_whisper.audio import pad_or_trim

        features = self._whisper.feature_extractor(utterance.samples)
        window = min(3000, round(100 * seconds))
        (encoded,) = np.asarray(self._whisper.encode(pad_or_trim(features, window)), np.float32)
        return np.asarray(encoded)

    def _generated(self, encoded: Encoded, before: Sequence[int], longest: int) -> Any:
        return self._whisper.model.generate(
            _stored(encoded, 1),
            [list(before)],
            beam_size=BEAM,
            num_hypotheses=ALTERNATIVES,
            max_length=len(before) + longest,
            return_scores=True,
            return_no_speech_prob=True,
            suppress_tokens=self._suppressed,
        )[0]

    def _scores(self, encoded: Encoded, texts: Sequence[str]) -> list[float]:
        """Log probability of each text, given the sound."""
        tokens = [self._tokenizer.encode(f" {text}") for text in texts]
        frames = 2 * len(encoded)
        aligned = self._whisper.model.align(
            _stored(encoded, len(texts)), [self._tokenizer.sot], tokens, [frames] * len(texts)
        )
        return [sum(math.log(max(p, 1e-9)) for p in one.text_token_probs) for one in aligned]


def whisper_prompt(profile: Profile) -> str:
    """The profile's labels as they will be said, with figures as they should be written; without
    the words of contexts that aren't labels too."""
    labels = {label for quantity in profile.quantity for label in quantity.spoken}
    contexts = {
        word for c in profile.context for v in c.value for said in v.spoken for word in said.split()
    } - {word for label in labels for word in label.split()}
    examples: list[str] = []
    for quantity in profile.quantity:
        positions = [p.spoken[0] for p in profile.position if p.id in quantity.positions]
        figures = "20.4" if quantity.decimals else "102"
        unit = quantity.unit_spoken[0] if quantity.unit_spoken else ""
        example = " ".join([quantity.spoken[0], *positions[:1], figures, unit]).strip()
        if contexts.isdisjoint(example.split()):
            examples.append(example)
    return ", ".join(examples)


def _has_sound(utterance: Utterance) -> bool:
    """Raises HearingError where this ear can't hear it at all."""
    require_rate(utterance, WhisperEar.name)
    if len(utterance.samples) > 30 * RATE:
        raise HearingError("Whisper hears at most 30 seconds at once: pause between readings.")
    return not is_silent(utterance.samples)


def _is_silence(result: Any) -> bool:
    return bool(result.no_speech_prob > NO_SPEECH and result.scores[0] < LEAST_LOG_PROBABILITY)


def _stored(encoded: Encoded, times: int) -> Any:
    from ctranslate2 import StorageView

    return StorageView.from_array(np.ascontiguousarray(np.repeat(encoded[None], times, axis=0)))


def _shared(scores: dict[tuple[str, ...], float], utterance: Utterance) -> tuple[Hypothesis, ...]:
    """Hypotheses from log probabilities, likeliest first."""
    ranked = sorted(((score, words) for words, score in scores.items() if words), reverse=True)
    if not ranked:
        return ()
    weights = [math.exp(score - ranked[0][0]) for score, _ in ranked]
    shares = [weight / sum(weights) for weight in weights]
    return tuple(
        Hypothesis(_spread(words, share, utterance), share)
        for share, (_, words) in zip(shares, ranked, strict=True)
    )


def _spread(
    words: tuple[str, ...], confidence: float, utterance: Utterance
) -> tuple[HeardWord, ...]:
    first, last = loud_part(utterance.samples)
    start, seconds = utterance.start + first / RATE, (last - first) / RATE
    lengths = [len(word) for word in words]
    ends = [seconds * sum(lengths[: place + 1]) / sum(lengths) for place in range(len(words))]
    return tuple(
        HeardWord(word, start + begin, start + end, confidence)
        for word, begin, end in zip(words, [0.0, *ends], ends, strict=False)
    )
