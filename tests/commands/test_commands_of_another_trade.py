"""All that works for mowers works for tractors, from the profile alone: hear, type, check, report,
review and practise."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import soundfile
import soxr
from click.testing import Result
from typer.testing import CliRunner

from assistant.audio.utterance import RATE
from assistant.commands import app
from assistant.record.store import Store
from assistant.speaking.voice import EspeakVoice
from tests.review.served import serving

RUN = CliRunner()
TRADE = ("--profile", "garden_tractor")
STARTS_BADLY = (
    "unit forty one",
    "complaint turns slowly on cold mornings",
    "engine off, battery twelve point one volts",
    "cranking, battery eight point nine volts",
    "running, battery fourteen point two volts, alternator fourteen point three volts",
)
OF_MOWERS = ("mower", "docked", "guide", "rear", "wire", "blade disc")


def benchcall(*arguments: str, typed: str = "") -> Result:
    done = RUN.invoke(app, arguments, input=typed)
    assert done.exit_code == 0, done.output
    return done


def no_mower_in(text: str) -> None:
    found = [word for word in OF_MOWERS if word in text.lower()]
    assert not found, f"{found} in {text}"


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("tractors")


@pytest.fixture(autouse=True)
def at_home(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BENCHCALL_HOME", str(home))


@pytest.fixture(scope="module")
def session(home: Path) -> str:
    """A session that was typed, by its id."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("BENCHCALL_HOME", str(home))
        done = benchcall("type", *TRADE, "--who", "K. M.", typed="\n".join(STARTS_BADLY))
        no_mower_in(done.output)
        return Store(home).read("unit41").id


def test_a_technician_types_and_is_told_what_is_wrong_and_what_next(session: str) -> None:
    told = benchcall("check", session).output
    assert "voltage battery 8.9 volts" in told
    assert "the battery collapses under the starter" in told
    assert "worn battery" in told
    no_mower_in(told)


def test_what_may_be_said_is_listed_without_a_word_of_mowers() -> None:
    told = benchcall("profiles", "garden_tractor", "--words").output
    assert "terminals: clean, corroded / loose" in told
    no_mower_in(told)


def test_the_checks_in_json_name_the_profiles_own_causes(session: str) -> None:
    lines = [json.loads(line) for line in benchcall("check", session, "--json").output.splitlines()]
    causes = [line["cause"] for line in lines if line["kind"] == "cause"]
    assert causes[0] == "battery_worn"
    judged = {(f["rule"], f["verdict"]) for f in lines if f["kind"] == "finding"}
    assert judged >= {("cranking_volts", "out"), ("charging_volts", "ok"), ("pair_cable", "ok")}


def test_a_report_names_the_machine_and_compares_its_two_places(
    session: str, tmp_path: Path
) -> None:
    done = benchcall("report", session, "--format", "all", "--out", str(tmp_path))
    pages = {Path(name).suffix: Path(name) for name in done.output.split()}
    assert set(pages) == {".html", ".csv", ".json", ".xlsx"}
    page = pages[".html"].read_text("utf-8")
    assert "Battery against alternator" in page
    assert "battery 14.2, alternator 14.3" in page
    no_mower_in(page)
    no_mower_in(pages[".csv"].read_text("utf-8"))


def test_a_supervisor_sees_it_in_the_pages(session: str, home: Path) -> None:
    with serving(home, "--who", "M. B.") as served, served.visitor() as supervisor:
        listed = supervisor.get("/").text
        assert "worn battery" in listed
        assert "turns slowly on cold mornings" in listed
        shown = supervisor.get(f"/sessions/{session}").text
        assert "Battery against alternator" in shown
        for page in (
            listed,
            shown,
            supervisor.get("/units/41").text,
            supervisor.get("/units").text,
        ):
            no_mower_in(page)


def test_a_round_leads_through_the_engines_three_states_one_question_at_a_time() -> None:
    said = ["start round charging test", "complaint starts slowly", "tight", "clean"]
    said += ["twelve point six", "stopped", "lively", "ten point one", "cranking"]
    said += ["fourteen point one", "running", "fourteen point two", "thirty"]
    told = benchcall("type", *TRADE, typed="\n".join(said)).output
    asked = [line for line in told.splitlines() if line.startswith("  ?")]
    assert sum("stopped, cranking, or running?" in line for line in asked) == 3
    assert "Battery and alternator test round done" in told
    assert "Still to answer" not in told
    no_mower_in(told)


def test_a_trainee_practises_on_a_tractor() -> None:
    said = ["stopped battery twelve point six", "key drain thirty", "next"]
    said += ["cranking battery eight point nine", "next", "running battery fourteen point one"]
    said += ["alternator fourteen point two", "charge current six point five", "done", "battery"]
    told = benchcall("practise", "tractor_three_states", typed="\n".join(said)).output
    assert "100 of 100, passed" in told
    exercise = told.split("100 of 100")[0]
    no_mower_in(exercise)


def test_a_trainee_listens_to_a_recording_of_their_own_trade(home: Path, tractor: Path) -> None:
    folder = home / "practice" / "exercises"
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "tractor.wav").write_bytes(tractor.read_bytes())
    (folder / "my_tractor.toml").write_text(
        """\
id = "my_tractor"
title = "Listen to a tractor"
level = 1
kind = "listen"
profile = "garden_tractor"
story = "A colleague measures at tractor 41."
trains = ["values"]

[sound]
file = "tractor.wav"

[[sound.scene]]
where = { engine = "cranking" }
show = ["system_voltage@battery 8.9"]
""",
        "utf-8",
    )
    said = ["cranking battery eight point nine volts", "done", "battery"]
    told = benchcall("practise", "my_tractor", typed="\n".join(said)).output
    assert "100 of 100, passed" in told


def test_a_hidden_fault_in_a_tractor_is_refused_with_what_can_be_had(home: Path) -> None:
    folder = home / "practice" / "exercises"
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "hidden.toml"
    path.write_text(
        'id = "hidden"\ntitle = "Hidden"\nlevel = 1\nkind = "find_fault"\n'
        'profile = "garden_tractor"\nstory = "41"\ntrains = ["cause"]\n\n'
        '[mower]\nfault = ["battery_worn"]\n',
        "utf-8",
    )
    told = " ".join(benchcall("practise", "--list").output.split())
    path.unlink()
    assert "only robot mowers can be simulated" in told
    assert "Listen and dictate work with any profile" in told


def spoken(words: str) -> np.ndarray:
    voice = EspeakVoice()
    try:
        sound, rate = voice.say(words)
    finally:
        voice.close()
    quiet = 1e-4 * np.random.default_rng(1).standard_normal(RATE)
    return np.concatenate([quiet, soxr.resample(sound, rate, RATE), quiet])


@pytest.fixture(scope="module")
def tractor(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A synthetic voice that the shipped ears know from their training."""
    path = tmp_path_factory.mktemp("said") / "tractor.wav"
    soundfile.write(path, spoken("cranking battery eight point nine volts"), RATE)
    return path


def test_a_recording_is_heard_with_the_profiles_words_only(tractor: Path) -> None:
    lines = benchcall("hear", *TRADE, "--json", str(tractor)).output.splitlines()
    [reading] = [one for one in map(json.loads, lines) if one["kind"] == "reading"]
    assert (reading["quantity"], reading["position"]) == ("system_voltage", "battery")
    assert (reading["value"], reading["unit"]) == ("8.9", "V")
    assert reading["context"] == {"engine": "cranking"}
    assert reading["status"] == "accepted"
