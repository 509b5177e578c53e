"""Words in the letters that the own ear's twin writes."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.hearing.acceptor import acceptor
from assistant.hearing.ctc import Decoder
from assistant.hearing.spelling import BOUNDARY, CLASSES, LETTERS, Speller
from assistant.profile.load import load_profile, load_spoken
from assistant.profile.sayable import word_graph
from assistant.profile.word_graph import WordGraph


def written(path: str, sure: float = 0.98) -> np.ndarray:
    """Scores that are ``sure`` of one letter a frame, "_" for blank, "|" for the end of a word."""
    scores = np.full((len(path), CLASSES), (1 - sure) / (CLASSES - 1))
    for frame, sign in enumerate(path):
        scores[frame, {"_": 0, "|": BOUNDARY}.get(sign) or LETTERS.find(sign) + 1] = sure
    return np.log(scores).astype(np.float32)


def _spelled(word: str) -> str:
    (classes,) = Speller().classes(word)
    return "".join("|" if c == BOUNDARY else LETTERS[c - 1] for c in classes)


@pytest.mark.parametrize(
    ("word", "spelling"),
    [
        ("docked", "docked|"),
        ("it's", "it's|"),
        ("Rear", "rear|"),
        ("o", "oh|"),
        ("millimetres", "millimeters|"),
        ("metre", "meter|"),
        ("metred", "metred|"),
        ("x-ray", "xray|"),
    ],
)
def test_a_word_is_its_letters_and_an_end(word: str, spelling: str) -> None:
    assert _spelled(word) == spelling


def test_every_word_of_the_shipped_profile_has_letters() -> None:
    words = word_graph(load_profile(), load_spoken()).words
    assert all(_spelled(word) != "|" for word in words)


def test_what_is_written_in_letters_is_found_in_the_grammar() -> None:
    graph = WordGraph(((0, "docked", 2), (0, "undocked", 2), (2, "three", 3)), 0, frozenset({3}))
    decoder = Decoder(acceptor(graph), Speller(), ("docked", "undocked", "three"))
    phrases, _ = decoder.decode(written("undocked|thre_e|"))
    assert phrases[0].text == "undocked three"
