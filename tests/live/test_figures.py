from __future__ import annotations

import pytest

from assistant.live.figures import HEIGHT, big


def test_every_row_is_as_wide_as_the_others() -> None:
    rows = big("-1234567890.5")
    assert len(rows) == HEIGHT
    assert len({len(row) for row in rows}) == 1


def test_no_two_figures_look_alike() -> None:
    assert len({tuple(big(one)) for one in "0123456789-."}) == 12


def test_a_true_minus_is_a_minus() -> None:
    assert big("−6") == big("-6")


def test_what_is_no_number_is_refused() -> None:
    with pytest.raises(ValueError, match="can't be shown big"):
        big("off scale")
