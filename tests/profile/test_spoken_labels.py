"""What is said with the shipped profile: words that a recogniser has, and that sound apart."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.util import find_spec
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from pydantic import BaseModel
from rapidfuzz.distance import Levenshtein

from assistant.profile import load_profile, load_spoken
from assistant.profile.phrases import number_words

ALIKE = 0.3
"""Labels that differ in less than this share of their phones are too easily taken for another."""


@pytest.fixture(scope="module")
def sounds(dictionary: dict[str, list[str]]) -> dict[str, list[str]]:
    return dictionary | {word: phones.split() for word, phones in own_pronunciations().items()}


@pytest.fixture(scope="module")
def dictionary() -> dict[str, list[str]]:
    """CMUdict as the pocketsphinx wheel carries it, first pronunciations."""
    spec = find_spec("pocketsphinx")
    assert spec is not None
    assert spec.origin is not None
    path = Path(spec.origin).parent / "model" / "en-us" / "cmudict-en-us.dict"
    rows = (line.split() for line in path.read_text("utf-8").splitlines())
    return {word: phones for word, *phones in (row for row in rows if row) if "(" not in word}


def own_pronunciations() -> dict[str, str]:
    return load_spoken().pronunciations | load_profile().profile.pronunciations


def said(value: Any) -> Iterator[str]:
    """Every phrase anywhere in a model."""
    if isinstance(value, BaseModel):
        for name in type(value).model_fields:
            inner = getattr(value, name)
            if name in ("spoken", "unit_spoken"):
                yield from inner
            else:
                yield from said(inner)
    elif isinstance(value, tuple):
        for inner in value:
            yield from said(inner)


def test_every_word_is_in_the_dictionary_or_has_its_own_pronunciation(
    dictionary: dict[str, list[str]],
) -> None:
    spoken, numbers = load_spoken(), load_spoken().numbers
    phrases = [*said(load_profile()), *said(spoken), *spoken.fillers, *spoken.letters]
    phrases += [*spoken.no_reading, *spoken.off_scale, *number_words(spoken), *numbers.fractions]
    words = {word for phrase in phrases for word in phrase.split()}
    assert len(words) > 300
    assert not words - dictionary.keys() - own_pronunciations().keys()


def test_own_pronunciations_are_only_for_words_that_the_dictionary_lacks(
    dictionary: dict[str, list[str]],
) -> None:
    assert not own_pronunciations().keys() & dictionary.keys()
    known = {phone for phones in dictionary.values() for phone in phones}
    assert {p for phones in own_pronunciations().values() for p in phones.split()} <= known


def test_labels_sound_unlike_one_another(sounds: dict[str, list[str]]) -> None:
    mower = load_profile()
    rows = (*mower.position, *mower.quantity, *mower.observation, *mower.event)
    labels = [(phrase, row.id) for row in rows for phrase in row.spoken]
    labels += [
        (p, v.id) for c in mower.context if c.id != "wire" for v in c.value for p in v.spoken
    ]
    labels += [(p, c.id) for c in load_spoken().command for p in c.spoken]
    spelt = [
        ([s for w in phrase.split() for s in sounds[w]], phrase, name) for phrase, name in labels
    ]
    alike = [
        (one[1], other[1])
        for one, other in combinations(spelt, 2)
        if one[2] != other[2] and Levenshtein.normalized_distance(one[0], other[0]) < ALIKE
    ]
    assert alike == []


def test_choices_of_one_observation_sound_unlike_one_another(
    sounds: dict[str, list[str]],
) -> None:
    for observation in load_profile().observation:
        spelt = [
            ([s for w in phrase.split() for s in sounds[w]], choice.id)
            for choice in observation.choice
            for phrase in choice.spoken
        ]
        for one, other in combinations(spelt, 2):
            apart = Levenshtein.normalized_distance(one[0], other[0])
            assert one[1] == other[1] or apart >= ALIKE, (observation.id, one, other)


def test_british_and_american_names_are_both_heard() -> None:
    phrases = set(said(load_profile()))
    for british, american in [
        ("metres", "meters"),
        ("millimetres", "millimeters"),
        ("labour", "labor"),
        ("neighbour off", "neighbor off"),
        ("disc runout", "disk runout"),
        ("earth insulation", "ground insulation"),
        ("copper clad aluminium", "copper clad aluminum"),
    ]:
        assert {british, american} <= phrases


def test_the_commands_of_the_job_are_there() -> None:
    commands = {c.id: c for c in load_spoken().command}
    assert commands.keys() >= {
        "correction", "disregard", "say_again", "read_back", "affirm", "negative", "stand_by",
        "go_ahead", "next_check", "why", "note", "job", "close", "compare", "start_round",
        "skip_step", "end_round", "causes", "open_questions",
    }  # fmt: skip
    assert commands["start_round"].takes == "round"


def test_every_command_explains_itself_with_an_example() -> None:
    for command in load_spoken().command:
        example, _, meaning = command.help.partition(": ")
        assert example.startswith(command.spoken), command.id
        assert meaning


def test_radiotelephony_figures_have_their_values() -> None:
    # CAP 413 chapter 2 table 2 (a stored copy): ZERO WUN TOO TREE FOWER FIFE SIX SEVEN AIT NINER
    digits = load_spoken().numbers.digits
    words = ["zero", "wun", "too", "tree", "fower", "fife", "six", "seven", "ait", "niner"]
    assert [digits[word] for word in words] == list(range(10))
