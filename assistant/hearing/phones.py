"""How words sound: the 39 phones of CMUdict for any word a profile may hold.

A profile's own pronunciations come first, then CMUdict as the pocketsphinx wheel carries it, then
eSpeak NG's phonemes turned into CMUdict's. So a label needs no training to be heard.
"""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Mapping
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from assistant.errors import HearingError

# The phone set of CMUdict without stress marks, as its own documentation lists it.
PHONES = (
    *("AA", "AE", "AH", "AO", "AW", "AY", "B", "CH", "D", "DH", "EH", "ER", "EY"),
    *("F", "G", "HH", "IH", "IY", "JH", "K", "L", "M", "N", "NG", "OW", "OY"),
    *("P", "R", "S", "SH", "T", "TH", "UH", "UW", "V", "W", "Y", "Z", "ZH"),
)
BOUNDARY = len(PHONES) + 1
CLASSES = len(PHONES) + 2
"""The model's classes: blank, the phones in their order, the end of a word."""

Pronunciation = tuple[str, ...]

# IPA as eSpeak NG writes English, longest first, to CMUdict's phones ("" is dropped).
_IPA = {
    "tʃ": "CH", "dʒ": "JH", "aɪə": "AY ER", "aʊə": "AW ER", "eɪ": "EY", "aɪ": "AY", "ɔɪ": "OY",
    "aʊ": "AW", "oʊ": "OW", "əʊ": "OW", "iə": "IY AH", "ɪə": "IH R", "eə": "EH R", "ʊə": "UH R",
    "əl": "AH L", "ən": "AH N", "ɜː": "ER", "ɝ": "ER", "ɚ": "ER", "iː": "IY", "uː": "UW",
    "ɔːɹ": "AO R", "oːɹ": "AO R", "ɑːɹ": "AA R", "ɔː": "AO", "oː": "AO", "ɑː": "AA", "ɐ": "AH",
    "æ": "AE", "a": "AE", "ʌ": "AH", "ə": "AH", "ɛ": "EH", "e": "EH", "ɪ": "IH", "i": "IY",
    "ᵻ": "IH", "ɒ": "AA", "ɑ": "AA", "ɔ": "AO", "o": "OW", "ʊ": "UH", "u": "UW", "ɾ": "T",
    "b": "B", "d": "D", "ð": "DH", "f": "F", "ɡ": "G", "h": "HH", "j": "Y", "k": "K", "x": "K",
    "l": "L", "m": "M", "n": "N", "ŋ": "NG", "p": "P", "ɹ": "R", "r": "R", "s": "S", "ʃ": "SH",
    "t": "T", "θ": "TH", "v": "V", "w": "W", "z": "Z", "ʒ": "ZH", "ʔ": "T", "ɫ": "L", "ɬ": "L",
}  # fmt: skip
_IPA_PIECES = re.compile("|".join(sorted(map(re.escape, _IPA), key=len, reverse=True)))


class Pronouncer:
    """Looks words up. ``own`` maps a word to one pronunciation, phones with spaces between."""

    def __init__(self, own: Mapping[str, str] | None = None) -> None:
        self._own = {word.lower(): _checked(word, text) for word, text in (own or {}).items()}

    @property
    def boundary(self) -> int:
        return BOUNDARY

    def classes(self, word: str) -> tuple[tuple[int, ...], ...]:
        """The model's classes of each pronunciation."""
        return tuple(classes_of(phones) for phones in self.pronounce(word))

    def pronounce(self, word: str) -> tuple[Pronunciation, ...]:
        """All known pronunciations, the likeliest first; raises HearingError if there are none."""
        word = word.lower()
        if word in self._own:
            return (self._own[word],)
        if known := _in_cmudict(word):
            return known
        phones = phones_of_ipa(_espeak_ipa(word))
        if not phones:
            raise HearingError(
                f"Nobody knows how '{word}' is said. Write it into the profile under "
                '[profile.pronunciations], in the phones of CMUdict, as in amps = "AE M P S"; or '
                "choose another word."
            )
        return (phones,)


def phones_of_ipa(ipa: str) -> Pronunciation:
    """Phones of one word in eSpeak NG's IPA; stress marks and what has no phone are dropped."""
    pieces = _IPA_PIECES.findall(ipa.replace("\u0361", "").replace("ˈ", "").replace("ˌ", ""))
    return tuple(phone for piece in pieces for phone in _IPA[piece].split())


def classes_of(phones: Pronunciation) -> tuple[int, ...]:
    """The model's classes of one word, its boundary at the end."""
    return (*(PHONES.index(phone) + 1 for phone in phones), BOUNDARY)


def _checked(word: str, text: str) -> Pronunciation:
    phones = tuple(text.upper().split())
    strange = [phone for phone in phones if phone not in PHONES]
    if strange or not phones:
        raise HearingError(
            f"The profile's pronunciation of '{word}' is {text!r}, and {strange or 'nothing'} is "
            f"no phone of CMUdict. The phones are: {' '.join(PHONES)}."
        )
    return phones


def _in_cmudict(word: str) -> tuple[Pronunciation, ...]:
    lines = (word, *(f"{word}({number})" for number in range(2, 10)))
    return tuple(tuple(cmudict()[line].split()) for line in lines if line in cmudict())


@cache
def cmudict() -> dict[str, str]:
    """The lines of the CMUdict in the pocketsphinx wheel: words with their phones in a row, further
    pronunciations of a word as word(2) and so on."""
    spec = find_spec("pocketsphinx")
    if spec is None or spec.origin is None:
        return {}
    path = Path(spec.origin).parent / "model" / "en-us" / "cmudict-en-us.dict"
    lines = path.read_text(encoding="utf-8").splitlines()
    return dict(line.split(" ", 1) for line in lines)  # a loop takes twice as long


@cache
def _espeak_ipa(word: str) -> str:
    command = [sys.executable, "-m", "assistant.hearing.espeak_ipa", word]
    done = subprocess.run(command, capture_output=True, text=True, check=False)  # noqa: S603
    return done.stdout.strip()
