"""Two ears may accept only what they have earned with the very models that are here."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from assistant import __version__
from assistant.errors import ModelError
from assistant.hearing import verified
from assistant.hearing.verified import NEEDED, PairCount, Verified, load_verified, remember_counts

MODELS = {"own": "aa", "pocketsphinx": "bb", "whisper": "cc"}


def count(right: int = NEEDED, wrong: int = 0, **changed: Any) -> PairCount:
    told: dict[str, Any] = {
        "ears": ("own", "pocketsphinx"),
        "right": right,
        "asked": 3,
        "wrong": wrong,
        "on": "made recordings",
        "date": date(2026, 1, 31),
        "models": {"own": "aa", "pocketsphinx": "bb"},
    }
    return PairCount(**{**told, **changed})


def trusted(*counts: PairCount, models: dict[str, str] = MODELS) -> bool:
    return Verified(counts, models).is_verified("own", "pocketsphinx")


def test_nobody_is_trusted_without_counts() -> None:
    assert not trusted()


def test_a_pair_is_trusted_from_enough_right_values_on_either_way_round() -> None:
    assert not trusted(count(NEEDED - 1))
    assert trusted(count(NEEDED))
    assert Verified([count(NEEDED)], MODELS).is_verified("pocketsphinx", "own")


def test_one_wrong_value_is_enough_to_ask_in_whichever_count_it_stands() -> None:
    assert not trusted(count(100_000, wrong=1))
    assert not trusted(count(NEEDED), count(1, wrong=1))
    assert not trusted(count(1, wrong=1), count(NEEDED))


def test_counts_are_not_added_up() -> None:
    assert not trusted(count(NEEDED - 1), count(NEEDED - 1))


def test_counts_hold_for_the_models_they_were_counted_with() -> None:
    assert not trusted(count(NEEDED), models={**MODELS, "own": "other"})
    assert not trusted(count(NEEDED), models={"pocketsphinx": "bb"})
    assert trusted(count(NEEDED), count(5, wrong=2, models={"own": "old", "pocketsphinx": "bb"}))


def test_counts_hold_for_the_software_they_were_counted_with() -> None:
    assert trusted(count(NEEDED, software=__version__))
    assert not trusted(count(NEEDED, software="0.0.1"))


def test_a_pair_says_nothing_about_other_pairs_or_an_ear_with_itself() -> None:
    known = Verified([count(NEEDED)], MODELS)
    assert not known.is_verified("own", "whisper")
    assert not known.is_verified("own", "own")


@pytest.mark.parametrize(
    "changed",
    [
        {"ears": ("own", "own")},
        {"ears": ("own",)},
        {"models": {"own": "aa"}},
        {"models": {"own": "aa", "pocketsphinx": "bb", "whisper": "cc"}},
        {"right": -1},
        {"on": ""},
        {"sure": True},
    ],
)
def test_a_count_that_is_not_whole_is_refused(changed: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        count(**changed)


def test_what_was_counted_here_is_remembered_and_counted_anew(tmp_path: Path) -> None:
    home = tmp_path / "data"
    assert not load_verified(MODELS, home).is_verified("own", "pocketsphinx")
    other = count(1, ears=("own", "whisper"), models={"own": "aa", "whisper": "cc"})
    remember_counts([count(NEEDED), other], home)
    assert load_verified(MODELS, home).is_verified("own", "pocketsphinx")
    turned = count(NEEDED, wrong=1, ears=("pocketsphinx", "own"))
    remember_counts([turned], home)
    known = load_verified(MODELS, home)
    assert known.counts("own", "pocketsphinx") == (turned,)
    assert known.counts("own", "whisper") == (other,)


@pytest.mark.parametrize("text", ["", "{", "[1]", '{"pair": [{"ears": ["a", "b"]}]}', '{"x": 1}'])
def test_a_damaged_file_is_told_and_not_overwritten(text: str, tmp_path: Path) -> None:
    path = tmp_path / "verified.json"
    path.write_text(text, "utf-8")
    with pytest.raises(ModelError, match=r"can't be read .*models --verify"):
        load_verified(MODELS, tmp_path)
    with pytest.raises(ModelError):
        remember_counts([count(NEEDED)], tmp_path)
    assert path.read_text("utf-8") == text


def test_a_place_that_can_not_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", "utf-8")
    with pytest.raises(ModelError, match="BENCHCALL_HOME"):
        remember_counts([count(NEEDED)], tmp_path / "file")


def test_shipped_counts_are_read_from_toml(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "verified.toml"
    path.write_text(
        '[[pair]]\nears = ["own", "pocketsphinx"]\nright = 60\nasked = 2\nwrong = 0\n'
        'on = "made recordings"\ndate = 2026-01-31\n'
        '[pair.models]\nown = "aa"\npocketsphinx = "bb"\n',
        "utf-8",
    )
    monkeypatch.setattr(verified, "SHIPPED", path)
    assert load_verified(MODELS, tmp_path).is_verified("own", "pocketsphinx")
    remember_counts([count(10, wrong=1)], tmp_path)
    assert not load_verified(MODELS, tmp_path).is_verified("own", "pocketsphinx")
    path.write_text("[[pair]]\n", "utf-8")
    with pytest.raises(ModelError, match=r"damaged \(pair\.0\.ears: .*Install benchcall again"):
        load_verified(MODELS, tmp_path)


def test_the_shipped_file_is_sound() -> None:
    load_verified({})
