"""Statistics against the NIST/SEMATECH e-Handbook and NIST's reference datasets.

The handbook's pages were not at hand: its numbers are quoted from public test files that cite the
section, and worked out again with scipy. The section stands beside each.
"""

from __future__ import annotations

from math import sqrt
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from assistant.diagnosis.statistics import (
    added_deviation,
    change,
    gauge_study,
    grubbs,
    one_way,
    repeats,
    repeats_from,
)
from assistant.errors import NotDeterminedError


def test_the_interval_of_a_mean_zarr13() -> None:
    """1.3.5.2, ZARR13.DAT: n 195, mean 9.261460, s 0.02278881; t against 5 is 2611.2838."""
    found = repeats_from(195, 9.261460, 0.02278881)
    assert found.mean.interval == pytest.approx((9.258242, 9.264679), abs=1e-6)
    assert (9.261460 - 5) / (0.02278881 / sqrt(195)) == pytest.approx(2611.2838, abs=0.1)


def test_two_means_auto83b() -> None:
    """1.3.5.3, AUTO83B.DAT: pooled T -12.62059 with 326 degrees. Welch by scipy on the same
    numbers: -12.94627 with 136.875."""
    usa, japan = repeats_from(249, 20.14458, 6.41470), repeats_from(79, 30.48101, 6.10771)
    pooled = change(usa, japan, pooled=True)
    assert (pooled.t, pooled.freedom) == pytest.approx((-12.62059, 326), abs=1e-4)
    assert pooled.difference.half_width / abs(pooled.difference.value / pooled.t) == pytest.approx(
        1.9673, abs=1e-4
    )
    assert pooled.difference.value / pooled.t / sqrt(1 / 249 + 1 / 79) == pytest.approx(
        6.34260, abs=1e-5
    )
    welch = change(usa, japan)
    assert (welch.t, welch.freedom) == pytest.approx((-12.94627, 136.875), abs=1e-3)
    assert welch.p < 1e-20


MASS = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]


def test_grubbs_outlier() -> None:
    """1.3.5.17.1: G 2.4687, one-sided critical value 2.032; two-sided 2.12665 by scipy."""
    one = grubbs(MASS, sides=1)
    assert one.index == 7
    assert one.distance == pytest.approx(2.468765, abs=1e-6)
    assert one.critical == pytest.approx(2.03165, abs=1e-5)
    assert grubbs(MASS).critical == pytest.approx(2.12665, abs=1e-5)
    assert grubbs(MASS).out
    assert not grubbs(MASS[:-1]).out


def test_analysis_of_variance_of_resistors() -> None:
    """7.4.3: sums of squares between the groups (SST) 27.897 and within (SSE) 17.452, F 9.59,
    p 0.00325."""
    found = one_way(
        [[6.9, 5.4, 5.8, 4.6, 4.0], [8.3, 6.8, 7.8, 9.2, 6.5], [8.0, 10.5, 8.1, 6.9, 9.3]]
    )
    assert found.total - found.within == pytest.approx(27.897, abs=5e-4)
    assert found.within == pytest.approx(17.452, abs=5e-4)
    assert found.f == pytest.approx(9.59, abs=5e-3)
    assert found.p == pytest.approx(0.00325, abs=5e-6)


def test_analysis_of_variance_of_nist_sirstv() -> None:
    """NIST StRD SiRstv: F 1.18046237440255, residual standard deviation 0.104076068334656."""
    scipy = pytest.importorskip("scipy")
    path = Path(scipy.__file__).parent / "stats/tests/data/nist_anova/SiRstv.dat"
    if not path.is_file():
        pytest.skip("this scipy came without its test data")
    rows = np.loadtxt(path.read_text("ascii").splitlines()[60:])
    groups = [rows[rows[:, 0] == name, 1].tolist() for name in np.unique(rows[:, 0])]
    found = one_way(groups)
    assert found.f == pytest.approx(1.18046237440255, rel=1e-9)
    assert found.within_deviation == pytest.approx(0.104076068334656, rel=1e-10)


def test_what_days_and_runs_add_to_a_gauges_scatter() -> None:
    """2.6.1: s1 0.0729, s2 0.0362, s3 0.0196, six each: days 0.0206, runs 0.0130 (0.01287 from
    the rounded inputs)."""
    assert added_deviation(0.0362, 0.0729, 6) == pytest.approx(0.0206, abs=5e-5)
    assert added_deviation(0.0196, 0.0362, 6) == pytest.approx(0.01287, abs=5e-6)
    assert added_deviation(0.01, 0.0729, 6) == 0


@pytest.mark.parametrize("base", [1_000_000, 10_000_000])
def test_a_small_scatter_on_a_large_mean_keeps_its_digits(base: int) -> None:
    """NIST StRD NumAcc3 and NumAcc4, data pattern from memory; a one-pass variance comes out
    negative on the second."""
    found = repeats([base + 0.2] + [base + 0.1, base + 0.3] * 500)
    assert found.mean.value == pytest.approx(base + 0.2, rel=1e-14)
    assert found.deviation == pytest.approx(0.1, rel=1e-8)


def test_a_gauge_study_tells_technicians_from_repeats() -> None:
    rng = np.random.default_rng(3)
    technicians = rng.normal(0, 2, 300)
    found = gauge_study([(t + rng.normal(0, 1, 5)).tolist() for t in technicians])
    assert found.repeatability == pytest.approx(1, abs=0.08)
    assert found.between_technicians == pytest.approx(2, abs=0.3)
    assert found.together == pytest.approx(sqrt(5), abs=0.3)


@pytest.mark.parametrize(
    ("call", "bid"),
    [
        (lambda: repeats([1.0]), "^1 readings tell no scatter: take at least 2 of the same label"),
        (lambda: grubbs([1.0, 2.0]), "^2 readings tell no scatter: take at least 3 of the same"),
        (lambda: grubbs([1.0, 1.0, 1.0]), "^All readings are alike: take a few more"),
        (
            lambda: change(repeats([1.0, 1.0]), repeats([2.0, 2.0])),
            "^Neither side scatters at all, .*: read the finest digit",
        ),
        (lambda: gauge_study([[1.0, 2.0]]), "^A gauge study needs two technicians or more"),
        (lambda: gauge_study([[1.0, 2.0], [1.0, 2.0, 3.0]]), "each with as many readings"),
    ],
)
def test_too_little_is_refused_with_what_to_do(call: object, bid: str) -> None:
    with pytest.raises(NotDeterminedError, match=bid):
        call()  # type: ignore[operator]


@given(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=30))
def test_mean_and_deviation_are_numpys(values: list[float]) -> None:
    found = repeats(values)
    assert found.mean.value == pytest.approx(np.mean(values), rel=1e-9, abs=1e-6)
    assert found.deviation == pytest.approx(np.std(values, ddof=1), rel=1e-9, abs=1e-6)


def test_a_change_between_sides_that_scatter_alike_is_scipys() -> None:
    before, after = [60.0, 62.0, 61.0], [102.0, 104.0, 103.0]
    found = change(repeats(before), repeats(after))
    expected = stats.ttest_ind(before, after, equal_var=False)
    assert found.p == pytest.approx(float(expected.pvalue))
    assert found.t == pytest.approx(float(expected.statistic))


def test_three_readings_have_a_furthest_one() -> None:
    assert grubbs([1.0, 2.0, 4.0]).index == 2


def test_two_readings_of_each_are_enough_for_a_gauge_study() -> None:
    """By hand: each technician's pair scatters by √2; the means 2 and 7 by 5 / √2, less their own
    share of √2² / 2 = 1."""
    found = gauge_study([[1.0, 3.0], [6.0, 8.0]])
    assert found.repeatability == pytest.approx(sqrt(2))
    assert found.between_technicians == pytest.approx(sqrt(12.5 - 1))
    assert found.together == pytest.approx(sqrt(2 + 11.5))
