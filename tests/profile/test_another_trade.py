"""A second profile, of another trade, says and judges its own with no line of Python for it."""

from __future__ import annotations

import pytest

from assistant.profile import Profile, load_profile, load_spoken, profile_ids
from assistant.wording.parser import Parser
from assistant.wording.statement import ContextSaid, ObservationSaid, ReadingSaid


@pytest.fixture(scope="module")
def tractor() -> Profile:
    return load_profile("garden_tractor")


@pytest.mark.parametrize("name", profile_ids())
def test_every_shipped_profile_is_right(name: str) -> None:
    assert load_profile(name).id == name


def test_it_shares_no_quantity_with_the_mower(tractor: Profile) -> None:
    mower = load_profile("robot_mower")
    assert not {q.id for q in tractor.quantity} & {q.id for q in mower.quantity}


def test_its_words_are_understood(tractor: Profile) -> None:
    parser = Parser(tractor, load_spoken())
    said = parser.parse_text("running battery fourteen point two volts")
    (reading,) = (s for s in said if isinstance(s, ReadingSaid))
    (seen,) = parser.parse_text("terminals corroded")
    assert (reading.quantity, reading.position) == ("system_voltage", "battery")
    assert (reading.value.number, reading.unit) == ("14.2", "V")
    assert reading.context == (("engine", "running"),)
    assert isinstance(seen, ObservationSaid)
    assert (seen.item, seen.value) == ("posts", "corroded")


@pytest.mark.parametrize("name", profile_ids())
def test_every_way_to_say_anything_means_that_thing(name: str) -> None:
    profile = load_profile(name)
    parser = Parser(profile, load_spoken())
    for quantity in profile.quantity:
        for label in quantity.spoken:
            for unit in ("", *quantity.unit_spoken):
                (said,) = parser.parse_text(f"{label} twelve {unit}")
                assert isinstance(said, ReadingSaid), label
                assert (said.quantity, said.value.number) == (quantity.id, "12"), label
    for observation in profile.observation:
        for label in observation.spoken:
            for choice in observation.choice:
                for words in choice.spoken:
                    (told,) = parser.parse_text(f"{label} {words}")
                    assert isinstance(told, ObservationSaid), (label, words)
                    assert (told.item, told.value) == (observation.id, choice.id)
    for event in profile.event:
        for words in event.spoken:
            ended = parser.parse_text(words)
            assert {s.key for s in ended if isinstance(s, ContextSaid)} == set(event.ends)
