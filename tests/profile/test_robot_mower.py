"""The robot mower's profile as data: what others rely on is there, its limits are the trade's."""

from __future__ import annotations

import pytest

from assistant.profile import Profile, load_profile
from assistant.profile.rules import Cause

COMMON_PRACTICE = "common practice, no source"


@pytest.fixture(scope="module")
def mower() -> Profile:
    return load_profile("robot_mower")


def verdict(mower: Profile, quantity: str, value: float, position: str, **context: str) -> str:
    """The worst verdict of the tolerances that hold in this context, read off the data alone."""
    found = {"ok"}
    for rule in mower.tolerance:
        if rule.quantity != quantity or rule.position not in (None, position):
            continue
        if any(context.get(key) != wanted for key, wanted in rule.when.items()):
            continue
        if (rule.low is not None and value < rule.low) or (
            rule.high is not None and value > rule.high
        ):
            found.add(rule.verdict)
    return max(found, key=["ok", "suspect", "out"].index)


def shows(cause: Cause) -> dict[str, float]:
    """Sign to its chance under the cause, averaged over the cause's forms."""
    signs = {*cause.shows, *(sign for form in cause.form for sign in form.shows)}
    forms = [(form.share, {**cause.shows, **form.shows}) for form in cause.form]
    forms = forms or [(1.0, dict(cause.shows))]
    return {sign: sum(share * row.get(sign, 0.0) for share, row in forms) for sign in signs}


def test_the_relied_on_ids_are_there(mower: Profile) -> None:
    assert {q.id for q in mower.quantity} >= {
        "guide_signal", "boundary_signal", "loop_signal", "signal_quality", "battery_voltage",
        "contact_voltage", "charging_current", "boundary_resistance", "guide_resistance",
        "station_tilt", "wire_shift",
    }  # fmt: skip
    assert {p.id for p in mower.position} >= {"front", "rear"}
    contexts = {c.id: {v.id for v in c.value} for c in mower.context}
    assert contexts["station"] == {"docked", "undocked"}
    assert contexts["load"] == {"open", "loaded"}
    assert contexts["repair"] == {"before", "after"}
    assert contexts["wire"] == {"guide", "boundary"}


def test_a_position_alone_is_a_loop_signal_until_the_wire_is_said(mower: Profile) -> None:
    loop = next(q for q in mower.quantity if q.id == "loop_signal")
    assert (loop.decided_by, loop.needs) == ("wire", ("station",))
    assert loop.members == {"guide": "guide_signal", "boundary": "boundary_signal"}
    assert {p.quantity for p in mower.position if p.id in ("front", "rear")} == {"loop_signal"}


@pytest.mark.parametrize(
    ("quantity", "value", "position", "station", "expected"),
    [
        # common practice, no source: docked, the station's antenna wire overpowers the rear sensor
        ("guide_signal", 102, "front", "docked", "ok"),
        ("guide_signal", -65, "rear", "docked", "ok"),
        ("boundary_signal", 136, "front", "docked", "ok"),
        ("boundary_signal", -237, "rear", "docked", "ok"),
        ("guide_signal", -65, "rear", "undocked", "out"),
        ("boundary_signal", -237, "rear", "undocked", "out"),
        ("guide_signal", 102, "front", "undocked", "ok"),
        # common practice, no source: 68 and 67 near the least usable, 46 too low
        ("guide_signal", 68, "front", "undocked", "ok"),
        ("guide_signal", 67, "front", "undocked", "ok"),
        ("guide_signal", 66, "front", "undocked", "suspect"),
        ("guide_signal", 46, "rear", "undocked", "suspect"),
        # our own inference from the same practice: docked, a rear that stays positive is a sign
        ("guide_signal", 0, "rear", "docked", "suspect"),
        ("guide_signal", -1, "rear", "docked", "ok"),
    ],
)
def test_a_signal_is_judged_in_its_context(
    mower: Profile, quantity: str, value: float, position: str, station: str, expected: str
) -> None:
    assert verdict(mower, quantity, value, position, station=station) == expected


@pytest.mark.parametrize(("value", "expected"), [(100, "ok"), (99, "suspect")])
def test_signal_quality_should_read_a_hundred(mower: Profile, value: float, expected: str) -> None:
    # common practice, no source
    assert verdict(mower, "signal_quality", value, "") == expected


@pytest.mark.parametrize("name", ["pair_guide_signal", "pair_boundary_signal"])
@pytest.mark.parametrize(
    ("front", "rear", "fine"),
    # common practice, no source
    [(181, 191, True), (98, 103, True), (100, 110, True), (100, 111, False), (75, 90, False)],
)
def test_front_and_rear_agree_to_within_ten_undocked(
    mower: Profile, name: str, front: int, rear: int, fine: bool
) -> None:
    pair = next(p for p in mower.pair if p.id == name)
    assert pair.when == {"station": "undocked"}
    assert pair.verdict == "suspect"
    assert (abs(front - rear) <= pair.max_difference) is fine


def test_every_number_to_judge_by_says_where_it_comes_from(mower: Profile) -> None:
    judged = (*mower.tolerance, *mower.pair, *mower.computed, *mower.sign, *mower.cause)
    assert all(row.source for row in judged)
    assert all(check.source and check.minutes for check in mower.check)
    assert all(quantity.source for quantity in mower.quantity)
    assert all(COMMON_PRACTICE in row.source for row in (*mower.sign, *mower.cause))


@pytest.mark.parametrize(
    "name",
    [
        "intake", "station", "loop", "sensors", "charging", "mechanical", "winter_service",
        "safety_release",
    ],
)  # fmt: skip
def test_each_round_is_there_and_asks_aloud(mower: Profile, name: str) -> None:
    found = next(r for r in mower.round if r.id == name)
    assert found.step
    assert all(step.say.endswith("?") for step in found.step)


def test_only_the_safety_release_releases_and_each_of_its_steps_warns_first(
    mower: Profile,
) -> None:
    releases = [r for r in mower.round if r.release]
    assert [r.id for r in releases] == ["safety_release"]
    assert {step.take for step in releases[0].step} == {
        "stop_button", "lift_stop", "tilt_stop", "collision_stop", "blade_stop", "boundary_stop",
        "guards",
    }  # fmt: skip
    assert all(step.caution for step in releases[0].step)
    failing = {o.id for o in mower.observation if any(c.verdict == "out" for c in o.choice)}
    assert {step.take for step in releases[0].step} <= failing


def test_where_hands_go_near_blades_mains_or_battery_a_caution_stands(mower: Profile) -> None:
    cautioned = {c.id for c in mower.check if c.caution}
    assert cautioned >= {
        "front_sensor_swap", "rear_sensor_swap", "antenna_look", "supply_volts", "surge_look",
        "battery_look", "battery_rested", "battery_capacity", "loop_resistance",
        "guide_resistance", "loop_insulation", "drive_look",
    }  # fmt: skip
    assert all(cause.caution for cause in mower.cause)


def test_every_step_that_needs_a_context_names_it(mower: Profile) -> None:
    needs = {q.id: q.needs for q in mower.quantity}
    for found in mower.round:
        for step in found.step:
            wanted = needs.get(step.take.partition("@")[0], ())
            assert set(wanted) <= step.when.keys(), (found.id, step.take)


def test_all_listed_causes_are_there_and_some_sign_shows_each(mower: Profile) -> None:
    causes = {c.id: c for c in mower.cause}
    assert causes.keys() == {
        "station_off_level", "station_moved", "guide_wire_out_of_line", "boundary_break",
        "high_joint", "front_sensor", "rear_sensor", "station_antenna", "supply", "worn_contacts",
        "battery", "wheel_slip", "neighbour_interference", "not_listed",
    }  # fmt: skip
    leak = {sign.id: sign.leak for sign in mower.sign}
    for cause in mower.cause:
        strongest = max(chance / leak[sign] for sign, chance in shows(cause).items())
        assert strongest > 5, f"{cause.id} shows in nothing"


def test_every_sign_can_be_found_by_a_check_and_is_explained_by_a_cause(mower: Profile) -> None:
    signs = {sign.id for sign in mower.sign}
    assert {sign for check in mower.check for sign in check.tells} == signs
    assert {sign for cause in mower.cause for sign in shows(cause)} == signs


def test_a_finding_feeds_one_sign_only_unless_it_has_two_directions(mower: Profile) -> None:
    seen = [(sign.rule, sign.lower) for sign in mower.sign]
    assert len(set(seen)) == len(seen)
    both_ways = {rule for rule, lower in seen if lower}
    assert not [rule for rule, lower in seen if lower is None and rule in both_ways]


def test_no_sensor_is_blamed_for_missing_always_on_the_same_side(mower: Profile) -> None:
    # common practice, no source: station or guide wire alignment ranks above either sensor
    causes = {c.id: shows(c).get("same_side", 0.0) for c in mower.cause}
    for place in ("station_off_level", "station_moved", "guide_wire_out_of_line"):
        assert causes[place] > max(causes["front_sensor"], causes["rear_sensor"])


def test_the_front_sensor_is_the_quicker_and_the_earlier_swap(mower: Profile) -> None:
    # common practice, no source: a holder with tabs and a plug, against the battery compartment
    checks = {c.id: c for c in mower.check}
    front, rear = checks["front_sensor_swap"], checks["rear_sensor_swap"]
    assert front.minutes + front.undo_minutes < rear.minutes + rear.undo_minutes
    assert front.order < rear.order


def test_the_order_of_work_is_station_then_guide_signal_then_sensors(mower: Profile) -> None:
    # common practice, no source
    order = {c.id: c.order for c in mower.check}
    names = ["station_level", "station_site", "guide_signals", "front_sensor_swap"]
    assert [order[n] for n in names] == sorted({order[n] for n in names})


def test_five_cells_belong_between_fifteen_and_twenty_one_volts(mower: Profile) -> None:
    # arithmetic (5 × 3.0, 5 × 4.2) plus common practice, no standard found
    cells = mower.constants["battery_cells"]
    rule = next(r for r in mower.tolerance if r.quantity == "battery_voltage")
    assert (rule.low, rule.high) == (cells * 3.0, cells * mower.constants["cell_full_volts"])
    assert cells * mower.constants["cell_nominal_volts"] == 18.0
