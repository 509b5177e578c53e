"""Which readings count, and which contexts decide."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

from assistant.diagnosis.measured import (
    by_place,
    deciding_contexts,
    over_the_wire,
    place_of,
    taken_at_shift,
)
from assistant.profile.schema import Profile

if TYPE_CHECKING:
    from tests.diagnosis.conftest import Bench


@pytest.mark.parametrize("signal", ["guide_signal", "boundary_signal", "loop_signal"])
def test_a_signal_beside_the_wire_counts_for_no_limit(bench: Bench, signal: str) -> None:
    bench.read("wire_shift", "80", "undocked").read(f"{signal}@front", "40", "undocked")
    bench.read("wire_shift", "0", "undocked").read(f"{signal}@front", "98", "undocked")
    assert [reading.id for reading in over_the_wire(bench.session)] == ["4"]


@pytest.mark.parametrize(
    ("shifted", "read", "there"),
    [
        (("undocked",), ("undocked",), True),
        (("undocked",), (), True),
        (("undocked",), ("docked",), False),
        (("undocked", "open"), ("undocked", "loaded"), False),
        (("undocked", "open"), ("undocked", "open"), True),
        (("undocked",), ("undocked", "after"), False),
        (("undocked", "after"), ("undocked", "after"), True),
    ],
)
def test_a_shift_holds_where_no_context_differs(
    bench: Bench, shifted: tuple[str, ...], read: tuple[str, ...], there: bool
) -> None:
    bench.read("wire_shift", "80", *shifted).read("guide_signal@front", "40", *read)
    assert ("2" in taken_at_shift(bench.session)) is there


def test_what_a_rule_or_the_quantity_asks_for_decides(profile: Profile) -> None:
    def deciding(name: str, **changed: Any) -> frozenset[str]:
        return deciding_contexts(profile.model_copy(update=changed), name)

    unasked = tuple(q.model_copy(update={"needs": ()}) for q in profile.quantity)
    both = frozenset({"repair", "station"})
    assert deciding("battery_voltage") == {"repair"}
    assert deciding("boundary_signal", pair=()) == both
    assert deciding("boundary_signal", quantity=unasked) == both
    assert deciding("guide_signal", quantity=unasked, pair=()) == both
    assert deciding("boundary_signal", quantity=unasked, pair=()) == {"repair"}


def test_a_reading_has_one_place_however_it_is_asked_for(
    new_bench: Callable[[], Bench], profile: Profile
) -> None:
    (reading,) = new_bench().read("guide_signal@front", "98", "docked", "open").readings
    (place,) = by_place(profile, [reading])
    assert place_of(profile, reading) == place
    assert place.context == (("repair", "before"), ("station", "docked"))
