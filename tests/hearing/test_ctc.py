"""The decoder against sums over all alignments, written out."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.hearing.acceptor import Acceptor, acceptor
from assistant.hearing.ctc import BLANK, FRAME, LEFT_OUT, Decoder, free_score
from assistant.hearing.phones import BOUNDARY, CLASSES, PHONES, Pronouncer, classes_of
from assistant.profile.word_graph import WordGraph

SOUNDS = {"a": "AA", "b": "B", "bee": "B IY", "abba": "AA B B AA", "bea": "B IY"}
ORDER = tuple(SOUNDS)


def _grammar(*phrases: str) -> Acceptor:
    arcs, state = [], 1
    ends = set()
    for phrase in phrases:
        at = 0
        for word in phrase.split():
            arcs.append((at, word, state))
            at, state = state, state + 1
        ends.add(at)
    return acceptor(WordGraph(tuple(arcs), 0, frozenset(ends)))


def _decoder(*phrases: str, beam: int = 10_000, fillers: tuple[str, ...] = ()) -> Decoder:
    return Decoder(_grammar(*phrases), Pronouncer(SOUNDS), ORDER, beam, 1e3, fillers)


def _labels(phrase: str) -> list[int]:
    return [c for word in phrase.split() for c in classes_of(tuple(SOUNDS[word].split()))]


def _path(*names: str, sure: float = 0.98) -> np.ndarray:
    """Scores that are ``sure`` of one class a frame: a phone, "_" for blank, "|" for an end."""
    scores = np.full((len(names), CLASSES), (1 - sure) / (CLASSES - 1))
    for frame, name in enumerate(names):
        place = {"_": BLANK, "|": BOUNDARY}.get(name)
        scores[frame, PHONES.index(name) + 1 if place is None else place] = sure
    return np.log(scores).astype(np.float32)


def _summed(scores: np.ndarray, labels: list[int]) -> float:
    """Probability of ``labels``: every row of classes that collapses to them, added up."""
    total = 0.0
    kinds = sorted({BLANK, *labels})
    for row in itertools.product(kinds, repeat=len(scores)):
        collapsed = [c for c, group in itertools.groupby(row) if c != BLANK]
        if collapsed == labels:
            total += math.exp(sum(scores[i, c] for i, c in enumerate(row)))
    return total


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(3, 6))
def test_a_phrase_s_confidence_is_its_share_of_all_alignments(seed: int, frames: int) -> None:
    rng = np.random.default_rng(seed)
    scores = np.full((frames, CLASSES), -50.0)
    used = [BLANK, *_labels("a bee")]
    scores[:, used] = np.log(rng.dirichlet(np.ones(len(used)), frames))
    phrases = ("a", "b", "bee", "a b")
    sums = {phrase: _summed(scores, _labels(phrase)) for phrase in phrases}
    sums[""] = _summed(scores, [])
    found, best = _decoder(*phrases).decode(scores.astype(np.float32))
    likeliest = max(sums, key=lambda phrase: sums[phrase])
    assert best == pytest.approx(math.log(sums[likeliest]), abs=1e-4)
    assert (found[0].text if found else "") == likeliest
    for hypothesis in found:
        share = sums[hypothesis.text] / sum(sums.values())
        assert hypothesis.confidence == pytest.approx(share, abs=1e-4)


def test_the_grammar_decides_between_what_sounds_nearly_alike() -> None:
    scores = _path("_", "B", "IY", "|", "_")
    assert _decoder("bee", "a").decode(scores)[0][0].text == "bee"
    assert _decoder("b", "a").decode(scores)[0][0].text == "b"


@pytest.mark.parametrize(
    ("phrases", "cost"),
    [(("a b", "b"), LEFT_OUT), (("a b", "bee"), 0.0)],
    ids=["where it may be left out", "nowhere else"],
)
def test_a_filler_costs_something(phrases: tuple[str, ...], cost: float) -> None:
    scores = _path("AA", "|", "B", "|", sure=0.6)

    def odds(*fillers: str) -> float:
        shares = {
            h.text: h.confidence for h in _decoder(*phrases, fillers=fillers).decode(scores)[0]
        }
        return math.log(shares["a b"] / shares[phrases[1]])

    assert odds() - odds("a") == pytest.approx(cost, abs=1e-6)


def test_a_doubled_phone_needs_a_blank_between() -> None:
    decoder = _decoder("abba", "a b a")
    assert decoder.decode(_path("AA", "B", "_", "B", "AA", "|"))[0][0].text == "abba"


def test_words_have_the_times_of_their_first_and_last_phones() -> None:
    scores = _path("_", "_", "AA", "|", "_", "_", "B", "IY", "|", "_")
    words = _decoder("a bee").decode(scores)[0][0].words
    times = [round(time / FRAME) for word in words for time in (word.start, word.end)]
    assert times == [2, 3, 6, 8]


def test_silence_gives_nothing() -> None:
    assert _decoder("a", "bee").decode(_path(*"______"))[0] == ()


def test_a_phrase_broken_off_gives_nothing() -> None:
    assert _decoder("a bee").decode(_path("_", "AA", "|", "_", sure=1 - 1e-12))[0] == ()


def test_of_words_that_sound_alike_the_first_in_order_is_given() -> None:
    found, _ = _decoder("bea", "bee").decode(_path("_", "B", "IY", "|", "_"))
    assert [each.text for each in found] == ["bee"]


def test_doubt_is_shared_out_among_the_hypotheses() -> None:
    scores = _path("_", "B", "IY", "|", "_")
    half = math.log(0.49)
    scores[1, [PHONES.index("B") + 1, PHONES.index("AA") + 1]] = half
    scores[2, [PHONES.index("IY") + 1, PHONES.index("AA") + 1]] = half
    found, _ = _decoder("a", "bee").decode(scores)
    assert {each.text for each in found} == {"a", "bee"}
    assert sum(each.confidence for each in found) == pytest.approx(1, abs=0.01)


def test_no_phrase_is_likelier_than_free_phones_but_for_its_many_alignments() -> None:
    scores = _path("_", "AA", "|", "_", "IY", "IY", "|", "_")
    _, best = _decoder("a bee").decode(scores)
    assert free_score(scores) - best > 3


def test_a_narrow_beam_still_finds_a_clear_phrase() -> None:
    scores = _path("_", "B", "IY", "|", "_", "AA", "|")
    assert _decoder("bee a", "a bee", "b", beam=4).decode(scores)[0][0].text == "bee a"
