"""A note's labels are listed; nothing else is made of its words."""

from __future__ import annotations

import pytest

from assistant.profile import load_profile
from assistant.wording.mentions import mentions

PROFILE = load_profile()


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Boundary resistance jumps about.", ("boundary resistance",)),
        ("BLADE SCREWS were loose, guide signal fine", ("blade screws", "guide signal")),
        ("guide signal, later guide signal again", ("guide signal",)),
        ("the committee meets on thursday", ()),
        ("", ()),
    ],
)
def test_labels_are_listed_once_in_the_order_of_mention(text: str, found: tuple[str, ...]) -> None:
    assert mentions(text, PROFILE) == found


def test_a_longer_label_hides_a_shorter_one_inside_it() -> None:
    assert "boundary signal" not in mentions("boundary resistance", PROFILE)


def test_half_a_character_is_no_label_and_does_no_harm() -> None:
    assert mentions("\ud800 guide signal \udfff", PROFILE) == ("guide signal",)
