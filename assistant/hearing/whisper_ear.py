"""The open-vocabulary ear: Whisper tiny.en through faster-whisper, on one core, greedy at heart.

It is led by a prompt made of the profile's labels, never of context words: a prompted Whisper
invents what it was prompted with. It gives no times for words; they are spread over the voiced
part of the utterance by their length. It costs the same for a word as for half a minute, since it
always hears thirty seconds.
"""

from __future__ import annotations

import math
from pathlib import Path

from assistant.audio.utterance import RATE, Utterance
from assistant.errors import HearingError, ModelError
from assistant.hearing.heard import EarHearing, HeardWord, Hypothesis
from assistant.hearing.sound import is_silent, loud_part
from assistant.hearing.written import heard_words
from assistant.profile.schema import Profile

BEAM = 3
ALTERNATIVES = 3
LONGEST_ANSWER = 100
"""Tokens; no utterance says more, and a model that runs in circles is stopped."""
NO_SPEECH = 0.6
LEAST_LOG_PROBABILITY = -1.0
"""Beyond both of which Whisper's authors call a segment silent."""


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
                f"The Whisper model in {model} can't be loaded ({error}). Fetch it again."
            ) from error
        self._tokenizer = Tokenizer(self._whisper.hf_tokenizer, multilingual=False)
        before = self._tokenizer.encode(" " + prompt) if prompt else []
        self._prompt = self._whisper.get_prompt(self._tokenizer, before, without_timestamps=True)
        self._suppressed = list(get_suppressed_tokens(self._tokenizer, [-1]))
        self._prompted = frozenset(heard_words(prompt))

    def hear(self, utterance: Utterance) -> EarHearing:
        """Raises HearingError for an utterance longer than Whisper's thirty seconds."""
        if utterance.rate != RATE:
            raise HearingError(
                f"Whisper needs sound at {RATE} Hz, got {utterance.rate} Hz: read the file "
                "through assistant.audio, which resamples."
            )
        if len(utterance.samples) > 30 * RATE:
            raise HearingError("Whisper hears at most 30 seconds at once: pause between readings.")
        if is_silent(utterance.samples):
            return EarHearing(self.name, (), self._prompted, open_vocabulary=True)
        hypotheses = self._hypotheses(utterance)
        return EarHearing(self.name, hypotheses, self._prompted, open_vocabulary=True)

    def close(self) -> None:
        """Nothing is held open."""

    def _hypotheses(self, utterance: Utterance) -> tuple[Hypothesis, ...]:
        from faster_whisper.audio import pad_or_trim

        features = pad_or_trim(self._whisper.feature_extractor(utterance.samples))
        result = self._whisper.model.generate(
            self._whisper.encode(features),
            [self._prompt],
            beam_size=BEAM,
            num_hypotheses=ALTERNATIVES,
            max_length=len(self._prompt) + LONGEST_ANSWER,
            return_scores=True,
            return_no_speech_prob=True,
            suppress_tokens=self._suppressed,
        )[0]
        if result.no_speech_prob > NO_SPEECH and result.scores[0] < LEAST_LOG_PROBABILITY:
            return ()
        found: dict[tuple[str, ...], float] = {}
        for tokens, score in zip(result.sequences_ids, result.scores, strict=True):
            found.setdefault(heard_words(self._tokenizer.decode(tokens)), math.exp(score))
        return tuple(
            Hypothesis(_spread(words, confidence, utterance), confidence)
            for words, confidence in found.items()
            if words
        )


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
