"""One's own voice: what each ear takes it for, and what is suggested, tried and written."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soxr
from rich.console import Console

from assistant.audio.utterance import RATE, Utterance
from assistant.audio.write import write_wav
from assistant.errors import AudioError, ProfileError
from assistant.hearing.ears import open_ears
from assistant.practice.aliases import Alias, aliases
from assistant.practice.own_profile import own_profile_path, write_own_profile
from assistant.practice.phrases import HELD_OUT, LEARNT_FROM, PHRASES
from assistant.practice.pronouncing import Pronouncing
from assistant.practice.voice_check import HeardPhrase, hear_phrases, results, taken_for, understood
from assistant.practice.voice_terminal import check_voice, from_files
from assistant.profile import Profile, load_profile, load_spoken, read_profile
from assistant.shipped import shipped
from assistant.speaking.voice import EspeakVoice
from assistant.wording.parser import Parser
from assistant.wording.statement import NotUnderstood

ACCENT = "de"
"""eSpeak's German voice reading English: an accent far from any the ears know."""


@pytest.fixture(scope="module")
def trade() -> Profile:
    return load_profile()


@pytest.fixture(scope="module")
def parser(trade: Profile) -> Parser:
    return Parser(trade, load_spoken())


def spoken(words: list[str], voice: str = ACCENT) -> Iterator[tuple[str, Utterance]]:
    speaker = EspeakVoice(voice=voice)
    noise = np.random.default_rng(0)
    for phrase in words:
        said, rate = speaker.say(phrase)
        quiet = np.zeros(RATE // 2)
        sound = np.concatenate([quiet, 0.6 * soxr.resample(said, rate, RATE), quiet])
        sound = (sound + noise.normal(0, 0.001, sound.size)).astype(np.float32)
        yield phrase, Utterance(sound, RATE, 0.0, sound.size / RATE, 0.5, 0.5, "synthetic")
    speaker.close()


def heard(said: str, ear: str, words: str) -> HeardPhrase:
    nothing = Utterance(np.zeros(1, np.float32), RATE, 0.0, 0.0, 0.5, 0.5, "")
    return HeardPhrase(said, nothing, {ear: words})


def test_twenty_phrases_are_prompted_and_eight_of_them_held_out() -> None:
    assert len(PHRASES) == len(set(PHRASES)) == 20
    assert len(HELD_OUT) == 8


def test_every_phrase_is_understood_when_it_is_heard_as_it_was_said(parser: Parser) -> None:
    for phrase in PHRASES:
        assert not any(isinstance(s, NotUnderstood) for s in parser.parse_text(phrase)), phrase


def test_every_word_held_out_that_can_be_learnt_occurs_in_the_phrases_learnt_from() -> None:
    """All but four numbers and three words of context or command are in both parts."""
    learnt = {word for phrase in LEARNT_FROM for word in phrase.split()}
    held = {word for phrase in HELD_OUT for word in phrase.split()}
    assert len(held - learnt) <= 8


def test_other_words_for_the_same_number_are_understood(parser: Parser) -> None:
    assert understood("guide front one oh two", "guide front one hundred and two", parser)
    assert not understood("guide rear minus sixty five", "guide rear sixty five", parser)


def test_words_taken_for_others_stand_side_by_side() -> None:
    assert taken_for("undocked guide front two", "docked guide two") == [
        ("undocked", "docked"),
        ("front", ""),
    ]


def test_an_ears_result_counts_phrases_and_words(parser: Parser) -> None:
    phrases = [
        heard("guide rear ninety eight", "own", "guide rear ninety eight"),
        heard("guide rear ninety one", "own", "guide rear ninety eight"),
        heard("boundary front ninety one", "own", "boundary front ninety eight"),
    ]
    [result] = results(phrases, parser)
    assert (result.understood, result.phrases) == (1, 3)
    assert result.taken == ((("one", "eight"), 2),)


GUY = [
    heard("guide front twenty one", "whisper", "guy front twenty one"),
    heard("guide rear ninety eight", "whisper", "guy rear ninety eight"),
]


def test_a_name_that_an_open_ear_writes_for_a_label_is_suggested(trade: Profile) -> None:
    [alias] = aliases(GUY, "whisper", trade, load_spoken())
    assert (alias.table, alias.id, alias.name) == ("quantity", "guide_signal", "guy")
    assert (alias.times, alias.before, alias.after) == (2, 0, 2)


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("guide front twenty one", "guide front twenty nine"),
        ("docked guide front twenty one", "dot guide front twenty one"),
        ("guide front twenty one", "boundary front twenty one"),
    ],
    ids=["a number", "a context", "another label's name"],
)
def test_no_other_name_is_suggested_for(said: str, written: str, trade: Profile) -> None:
    twice = [heard(said, "whisper", written)] * 2
    assert aliases(twice, "whisper", trade, load_spoken()) == ()


def test_a_name_heard_once_is_not_suggested(trade: Profile) -> None:
    assert aliases(GUY[:1], "whisper", trade, load_spoken()) == ()


def alias(name: str) -> Alias:
    return Alias("quantity", "guide_signal", name, "whisper", 2, 0, 2)


def test_what_was_accepted_is_written_and_every_other_line_stays(tmp_path: Path) -> None:
    path = tmp_path / "practice" / "mine.toml"
    write_own_profile(path, "robot_mower", {"rear": "R EY R"}, [alias("guy")])
    changed = read_profile(path)
    assert changed.profile.pronunciations["rear"] == "R EY R"
    assert "guy" in next(q for q in changed.quantity if q.id == "guide_signal").spoken
    old = (shipped("grammars") / "robot_mower.toml").read_text("utf-8").splitlines()
    new = path.read_text("utf-8").splitlines()
    assert len(new) == len(old) + 1
    assert len(set(new) - set(old)) == 2


def test_what_is_accepted_later_is_added(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    write_own_profile(path, "robot_mower", {"rear": "R EY R"})
    changed = write_own_profile(path, "robot_mower", {"rear": "R IY R", "one": "W AA N"})
    assert changed.profile.pronunciations["rear"] == "R IY R"
    assert changed.profile.pronunciations["one"] == "W AA N"


def test_a_suggestion_that_makes_a_wrong_profile_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    write_own_profile(path, "robot_mower", {"rear": "R EY R"})
    before = path.read_bytes()
    with pytest.raises(ProfileError, match=r"does not fit.*guide_signal"):
        write_own_profile(path, "robot_mower", aliases=[alias("boundary")])
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["mine.toml"]


def test_a_trade_without_pronunciations_gets_a_table_for_them(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    shipped_file = (shipped("grammars") / "robot_mower.toml").read_text("utf-8")
    path.write_text(shipped_file.split("[profile.pronunciations]")[0], "utf-8")
    bare, _, rest = shipped_file.partition("[profile.pronunciations]\n")
    path.write_text(bare + rest[rest.index("\n[") :], "utf-8")
    assert read_profile(path).profile.pronunciations == {}
    changed = write_own_profile(path, "robot_mower", {"rear": "R EY R"})
    assert changed.profile.pronunciations == {"rear": "R EY R"}


def test_a_command_or_what_was_seen_is_understood_by_its_meaning(parser: Parser) -> None:
    assert understood("what next", "what next", parser)
    assert not understood("what next", "why", parser)
    assert understood("homing misses", "homing misses", parser)
    assert not understood("homing misses", "homing finds it", parser)


def test_no_initials_lead_out_of_the_practice_folder(trade: Profile) -> None:
    path = own_profile_path(Path("practice"), trade, "../../x")
    assert path == Path("practice/my_robot_mower_x.toml")


LEARN = ["guide rear two two", "guide front two one"]
HOLD = ["boundary rear two two"]


@pytest.fixture(scope="module")
def accented(trade: Profile) -> tuple[HeardPhrase, ...]:
    with open_ears(trade, load_spoken(), ["own"]) as ears:
        return hear_phrases(ears, spoken([*LEARN, *HOLD]))


def test_pronunciations_learnt_from_an_accent_help_on_a_phrase_held_out(
    accented: tuple[HeardPhrase, ...], trade: Profile
) -> None:
    """Through the shipped model, which takes this speaker's "two" for "oh" before."""
    pronouncing = Pronouncing(accented, trade, load_spoken())
    ways = pronouncing.suggestions(accented[: len(LEARN)])
    assert ways
    assert all(way.after.betters(way.before) for way in ways)
    more = {way.word: way.phones for way in ways}
    assert pronouncing.hear(HOLD, {}).understood == frozenset()
    assert pronouncing.hear(HOLD, more).understood == set(HOLD)


def test_a_voice_that_is_understood_gets_no_suggestion(trade: Profile) -> None:
    with open_ears(trade, load_spoken(), ["own"]) as ears:
        phrases = hear_phrases(ears, spoken(LEARN, "en-us+f5"))
    assert Pronouncing(phrases, trade, load_spoken()).suggestions(phrases) == ()


def test_a_missing_recording_is_told(tmp_path: Path) -> None:
    with pytest.raises(AudioError, match=r"01\.wav"):
        list(from_files(tmp_path))


def test_a_recording_without_speech_is_told(tmp_path: Path) -> None:
    write_wav(tmp_path / "01.wav", np.zeros(RATE, np.float32))
    with pytest.raises(AudioError, match=r"No speech was found.*Record “undocked guide front"):
        list(from_files(tmp_path))


@pytest.mark.parametrize(("answer", "written"), [("n", False), ("y", True)])
def test_the_profile_is_written_only_when_it_was_accepted(
    answer: str, written: bool, accented: tuple[HeardPhrase, ...], trade: Profile, tmp_path: Path
) -> None:
    path = tmp_path / "mine.toml"
    shown = io.StringIO()
    console = Console(file=shown, width=100)
    said = [(phrase.said, phrase.sound) for phrase in accented[: len(LEARN)]]
    with open_ears(trade, load_spoken(), ["own"]) as ears:
        check_voice(said, ears, trade, load_spoken(), path, iter([answer] * 9), console)
    assert "own          understood 0 of 2" in shown.getvalue()
    assert path.exists() is written
    if written:
        assert read_profile(path).profile.pronunciations.keys() > {"two"}
