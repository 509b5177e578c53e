"""How words sound, against CMUdict's own entries."""

from __future__ import annotations

import pytest

from assistant.errors import HearingError
from assistant.hearing.phones import BOUNDARY, CLASSES, PHONES, Pronouncer, phones_of_ipa
from assistant.hearing.phones import classes_of as classes


def test_the_phones_are_the_39_of_cmudict() -> None:
    # CMUdict 0.7b, cmudict.phones (from memory: 39 phones, AA to ZH).
    assert len(set(PHONES)) == 39
    assert (PHONES[0], PHONES[-1]) == ("AA", "ZH")


def test_the_classes_are_blank_the_phones_and_the_end_of_a_word() -> None:
    assert classes(("AA", "ZH")) == (1, 39, BOUNDARY)
    assert CLASSES == BOUNDARY + 1 == 41


@pytest.mark.parametrize(
    ("word", "phones"),
    # cmudict-en-us.dict of the pocketsphinx 5.1.1 wheel.
    [
        ("sixteen", ["S IH K S T IY N"]),
        ("zero", ["Z IH R OW", "Z IY R OW"]),
        ("Millimetres", ["M IH L AH M IY T ER Z"]),
    ],
)
def test_cmudict_says_how_a_word_sounds_in_all_its_ways(word: str, phones: list[str]) -> None:
    assert Pronouncer().pronounce(word) == tuple(tuple(way.split()) for way in phones)


def test_the_profile_s_own_pronunciation_stands_before_the_dictionary_s() -> None:
    own = Pronouncer({"Zero": "z iy r ow", "undocked": "AH N D AA K T"})
    assert own.pronounce("zero") == (("Z", "IY", "R", "OW"),)
    assert own.pronounce("undocked") == (("AH", "N", "D", "AA", "K", "T"),)


def test_a_word_that_no_dictionary_has_is_spelled_out_by_espeak() -> None:
    # eSpeak NG 1.52: kˈɜːbstoʊn.
    assert Pronouncer().pronounce("kerbstone") == (("K", "ER", "B", "S", "T", "OW", "N"),)


@pytest.mark.parametrize(
    ("ipa", "phones"),
    # The same words in eSpeak NG's en-us and in CMUdict.
    [
        ("θɹˈiː", "TH R IY"),
        ("bˈæɾəɹi", "B AE T AH R IY"),
        ("tʃˈɑːɹdʒɪŋ", "CH AA R JH IH NG"),
        ("vˈɔɪd", "V OY D"),
        ("ˈeɪɾ", "EY T"),
    ],
)
def test_ipa_becomes_phones(ipa: str, phones: str) -> None:
    assert phones_of_ipa(ipa) == tuple(phones.split())


def test_a_phone_that_cmudict_does_not_know_is_refused_with_the_ones_it_does() -> None:
    with pytest.raises(HearingError, match=r"'fife'.*'Q'.*AA AE"):
        Pronouncer({"fife": "F Q F"})


def test_a_word_without_any_sound_is_refused_with_the_way_out() -> None:
    with pytest.raises(HearingError, match=r"\[profile\.pronunciations\]"):
        Pronouncer().pronounce("\u200b")
