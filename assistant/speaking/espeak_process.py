"""eSpeak NG in a process of its own; run as a script, never imported for its function.

The library is under the GPL and is C code that may crash; here it shares no memory with the
assistant. One request a line on standard input, JSON ``{"text", "voice", "words_per_minute",
"word_gap"}``, the gap in units of 10 ms.
The answer on standard output is a header of two little-endian unsigned 32-bit integers, sample
rate in Hz and length in bytes, then that many bytes of 16-bit little-endian mono samples. A
length of 0 means that the request could not be said.
"""

from __future__ import annotations

import ctypes
import json
import struct
import sys
from typing import IO, Any

HEADER = struct.Struct("<II")

# From eSpeak NG's speak_lib.h.
_AUDIO_OUTPUT_SYNCHRONOUS = 2
_INITIALIZE_DONT_EXIT = 0x8000
_CHARS_UTF8 = 1
_POS_CHARACTER = 1
_PARAMETER_RATE = 1
_PARAMETER_WORDGAP = 7
_CALLBACK = ctypes.CFUNCTYPE(
    ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p
)


class _Espeak:
    def __init__(self) -> None:
        import espeakng_loader

        self._library = ctypes.CDLL(espeakng_loader.get_library_path())
        self.rate: int = self._library.espeak_Initialize(
            _AUDIO_OUTPUT_SYNCHRONOUS,
            0,
            espeakng_loader.get_data_path().encode(),
            _INITIALIZE_DONT_EXIT,
        )
        if self.rate <= 0:
            raise SystemExit("eSpeak NG could not be started: its data folder was not found.")
        self._samples = bytearray()
        self._callback = _CALLBACK(self._take)  # kept: the library calls it later
        self._library.espeak_SetSynthCallback(self._callback)

    def _take(self, wav: Any, count: int, _events: Any) -> int:
        if wav and count > 0:
            self._samples += ctypes.string_at(wav, 2 * count)
        return 0

    def say(self, text: str, voice: str, words_per_minute: int, word_gap: int) -> bytes:
        self._samples.clear()
        library = self._library
        if library.espeak_SetVoiceByName(voice.encode()) != 0:
            return b""
        library.espeak_SetParameter(_PARAMETER_RATE, words_per_minute, 0)
        library.espeak_SetParameter(_PARAMETER_WORDGAP, word_gap, 0)
        encoded = text.replace("\0", " ").encode()
        library.espeak_Synth(
            encoded, len(encoded) + 1, 0, _POS_CHARACTER, 0, _CHARS_UTF8, None, None
        )
        library.espeak_Synchronize()
        return bytes(self._samples)


def serve(requests: IO[bytes], answers: IO[bytes]) -> None:
    """Answers requests until the other end closes its pipe."""
    espeak = _Espeak()
    for line in requests:
        pcm = espeak.say(**json.loads(line))
        answers.write(HEADER.pack(espeak.rate, len(pcm)) + pcm)
        answers.flush()


if __name__ == "__main__":
    serve(sys.stdin.buffer, sys.stdout.buffer)
