"""Vosk in a process of its own: ``python -P vosk_process.py MODEL_FOLDER``.

libvosk ends the whole process on a grammar or a model that it can't use, so it never runs inside
the assistant. Requests are JSON lines on standard input, a sound's bytes behind its line; answers
are JSON lines on standard output. This file needs nothing of the assistant.

    {"find": [WORD…]}        → {"missing": [WORD…]}
    {"grammar": [PHRASE…]}   → {"ready": true}
    {"bytes": N} N bytes     → {"since": S, "words": {…}, "alternatives": {…}, "open": {…}}
    {"bytes": N, "fresh": B} → {"so far": TEXT}, of an utterance that is still being said

"words", "alternatives" and "open" are Vosk's own results for 16-bit sound at 16 kHz: bound to the
grammar with word confidences, bound with alternatives (Vosk gives one or the other), and open.
Their times count from when the recogniser was made; S is that time (s) at the beginning of this
sound.
"""

from __future__ import annotations

import json
import os
import sys
from typing import IO, Any

RATE = 16_000
ALTERNATIVES = 4


class _Hearing:
    def __init__(self, folder: str) -> None:
        import vosk

        vosk.SetLogLevel(-1)
        self._vosk = vosk
        self._model = vosk.Model(model_path=folder)
        self._recognisers: dict[str, Any] = {}
        self._sent = 0
        self._partial: Any = None
        self._said: list[str] = []

    def missing(self, words: list[str]) -> list[str]:
        return [word for word in words if self._model.vosk_model_find_word(word) < 0]

    def bind(self, phrases: list[str]) -> None:
        grammar = json.dumps(phrases, ensure_ascii=False)
        make = self._vosk.KaldiRecognizer
        words, alternatives, partial = (make(self._model, RATE, grammar) for _ in range(3))
        opened = make(self._model, RATE)
        for recogniser in (words, alternatives, opened):
            recogniser.SetWords(True)
        alternatives.SetMaxAlternatives(ALTERNATIVES)
        opened.SetMaxAlternatives(1)
        self._partial = partial
        self._recognisers = {"words": words, "alternatives": alternatives, "open": opened}
        self._sent = 0
        self.hear(bytes(RATE))  # the graphs are read from disk now, not when somebody speaks

    def hear(self, sound: bytes) -> dict[str, Any]:
        answer: dict[str, Any] = {"since": self._sent / RATE}
        for name, recogniser in self._recognisers.items():
            recogniser.AcceptWaveform(sound)
            answer[name] = json.loads(recogniser.FinalResult())
        self._sent += len(sound) // 2
        return answer

    def so_far(self, sound: bytes, fresh: bool) -> str:
        """The words of one utterance that comes in pieces, ``fresh`` at its first. Vosk takes a
        pause for an end; the words before it are kept."""
        if fresh:
            self._partial.FinalResult()
            self._said = []
        if self._partial.AcceptWaveform(sound):
            self._said += json.loads(self._partial.Result())["text"].split()
            return " ".join(self._said)
        now = json.loads(self._partial.PartialResult())["partial"].split()
        return " ".join(self._said + now)


def serve(folder: str, requests: IO[bytes], answers: IO[bytes]) -> None:
    def answer(content: dict[str, Any]) -> None:
        answers.write(json.dumps(content).encode() + b"\n")
        answers.flush()

    try:
        hearing = _Hearing(folder)
    except Exception as error:  # the library raises nothing narrower
        answer({"error": str(error)})
        return
    answer({"ready": True})
    for line in requests:
        request = json.loads(line)
        if "find" in request:
            answer({"missing": hearing.missing(request["find"])})
        elif "grammar" in request:
            hearing.bind(request["grammar"])
            answer({"ready": True})
        else:
            sound = requests.read(request["bytes"])
            if "fresh" in request:
                answer({"so far": hearing.so_far(sound, request["fresh"])})
            else:
                answer(hearing.hear(sound))


if __name__ == "__main__":
    # What the library prints must not get between the answers.
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    serve(sys.argv[1], sys.stdin.buffer, answers)
