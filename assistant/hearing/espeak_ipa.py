"""eSpeak NG's IPA of words: ``python -m assistant.hearing.espeak_ipa WORD…``, one line a word.

eSpeak NG is under the GPL, so the assistant runs this in a process of its own.
"""

from __future__ import annotations

import ctypes
import sys
from functools import cache
from typing import Any

SYNCHRONOUS = 2  # AUDIO_OUTPUT_SYNCHRONOUS: no sound card is opened
DONT_EXIT = 0x8000  # espeakINITIALIZE_DONT_EXIT


def ipa(text: str, voice: str = "en-us") -> str:
    """IPA of one clause in an English accent of eSpeak NG; '' where it knows none."""
    library = _library()
    library.espeak_SetVoiceByName(voice.encode())
    pointer = ctypes.c_char_p(text.encode())
    found = library.espeak_TextToPhonemes(ctypes.byref(pointer), 1, 0x02)  # UTF-8 in, IPA out
    return (found or b"").decode()


@cache
def _library() -> Any:
    import espeakng_loader

    library = ctypes.CDLL(espeakng_loader.get_library_path())
    folder = str(espeakng_loader.get_data_path()).encode()
    library.espeak_Initialize(SYNCHRONOUS, 0, folder, DONT_EXIT)
    library.espeak_TextToPhonemes.restype = ctypes.c_char_p
    return library


if __name__ == "__main__":
    for word in sys.argv[1:]:
        print(ipa(word))
