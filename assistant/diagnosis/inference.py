"""Exact inference over a finite list of hypotheses, and the worth of finding out.

A belief is a vector of probabilities over the hypotheses. Evidence is a vector of likelihoods,
the chance of what was seen under each hypothesis. A test is a matrix with a row for each outcome
and a column for each hypothesis, its columns summing to one. There are a few hundred hypotheses
at most, so that everything is summed and nothing approximated.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def update(belief: Floats, evidence: Iterable[Floats]) -> Floats:
    """Bayes' rule for independent pieces of evidence. Raises ValueError if they are impossible
    together under every hypothesis."""
    weight = belief.copy()
    for likelihood in evidence:
        weight = weight * likelihood
    total = weight.sum()
    if total <= 0:
        raise ValueError("the evidence is impossible under every hypothesis")
    return np.asarray(weight / total)


def noisy_or(leak: float, links: Iterable[float]) -> float:
    """Chance of an effect that each present cause brings about on its own with its link's
    chance, and that comes by itself with the leak's."""
    absent = 1.0 - leak
    for link in links:
        absent *= 1.0 - link
    return 1.0 - absent


def combined(tests: Iterable[Floats], hypotheses: int) -> Floats:
    """Several independent tests as one, with every combination of outcomes."""
    joint = np.ones((1, hypotheses))
    for test in tests:
        joint = (joint[:, None, :] * test[None, :, :]).reshape(-1, hypotheses)
    return joint


def entropy_bits(belief: Floats) -> float:
    positive = belief[belief > 0]
    return float(-(positive * np.log2(positive)).sum())


def information_bits(belief: Floats, test: Floats, target: Floats | None = None) -> float:
    """Expected bits that a test tells about the hypothesis, or about ``target``: a matrix with a
    row for each value of what is asked and a column for each hypothesis, one where it holds."""
    asked = np.eye(belief.size) if target is None else target
    joint = (test * belief) @ asked.T
    outcome, value = joint.sum(1, keepdims=True), joint.sum(0, keepdims=True)
    seen = joint > 0
    ratio = joint[seen] / (outcome * value)[seen]
    return max(0.0, float((joint[seen] * np.log2(ratio)).sum()))


def best_action(belief: Floats, payoff: Floats) -> tuple[int, float]:
    """The action (a row of ``payoff``, a column for each hypothesis) of the highest expected
    payoff, and that payoff."""
    expected = payoff @ belief
    best = int(np.argmax(expected))
    return best, float(expected[best])


def value_with_test(belief: Floats, payoff: Floats, test: Floats) -> float:
    """Expected payoff when the test's outcome is known before the action is chosen; the test's
    worth is this less the payoff of ``best_action``. An identity matrix is perfect knowledge."""
    return float((payoff @ (test * belief).T).max(axis=0).sum())
