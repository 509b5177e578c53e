from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hollin_bank import DIAGNOSIS, SESSION, reading

from assistant.diagnosis.enough import percent
from assistant.diagnosis.finding import Cause, Diagnosis, RepairProof
from assistant.profile.schema import Profile
from assistant.record.session import Observation, Session
from assistant.report import Report, report_of
from assistant.report.verdicts import by_weight


def test_readings_stand_under_their_context_in_the_order_met(report: Report) -> None:
    assert [(c, [r.id for r in rows]) for c, rows in report.groups.items()] == [
        ("undocked", ["2", "3", "8"]),
        ("docked", ["4", "5"]),
        ("", ["6", "7", "9"]),
        ("undocked, after repair", ["10"]),
    ]


def test_said_resolution_sign_and_unit_are_shown(report: Report) -> None:
    values = {row.id: row.value for rows in report.groups.values() for row in rows}
    assert values["6"] == "18.40 V"
    assert values["5"] == "−65"
    assert values["9"] == "off scale"


def test_the_heaviest_verdict_on_a_reading_counts(report: Report) -> None:
    verdicts = {row.id: row.verdict for rows in report.groups.values() for row in rows}
    assert verdicts["2"] == "suspect"  # one rule calls it ok, another suspect
    assert verdicts["4"] == "not_applicable"
    assert verdicts["6"] is None


def test_the_headline_names_the_cause_and_what_is_flagged(report: Report) -> None:
    assert report.headline.startswith("Likeliest: guide wire out of line, 87 of 100.")
    assert "guide signal front 46" in report.headline


def test_the_next_check_is_the_action_and_brings_its_caution(report: Report) -> None:
    assert report.action == "First dock the mower. Then: Look at the wire, about 3 minutes."
    assert report.caution == "Isolate the supply."


def test_once_it_is_enough_the_remedy_is_the_action(make: Callable[..., Report]) -> None:
    report = make(replace(DIAGNOSIS, enough=True, next_checks=()))
    assert report.action == "Lay it straight."
    assert report.caution == "Isolate the supply before digging."


def test_no_fault_is_not_called_a_cause_of_what_is_flagged(make: Callable[..., Report]) -> None:
    no_fault = Cause("no_fault", "no listed fault", 0.9)
    report = make(replace(DIAGNOSIS, causes=(no_fault,), enough=True, next_checks=()))
    assert "No listed cause explains it" in report.headline
    assert "safety release" in report.action


def test_what_is_open_is_listed_with_its_question(report: Report) -> None:
    assert [(row.id, row.question) for row in report.questions] == [
        ("8", "say it again: the number was heard in two ways"),
        ("7", "open or loaded?"),
    ]


def test_what_was_replaced_or_withdrawn_stays_visible(report: Report) -> None:
    assert [(s.value, s.now) for s in report.struck] == [("64", "46"), ("7", "")]


def test_what_was_completed_is_not_called_withdrawn(make: Callable[..., Report]) -> None:
    asked = reading("7", "contact_voltage", None, "20.1", unit="V", context={}, missing=("load",))
    told = replace(asked, context={"load": "open"}, missing=())
    [row] = make(readings=(told,), superseded=(asked,), replaced_by={}).struck
    assert (row.label, row.value, row.now) == ("contact voltage", "20.1 V", "contact voltage, open")


def test_what_was_corrected_twice_names_the_last_value(make: Callable[..., Report]) -> None:
    old = Observation("18", "docking", "finds"), Observation("19", "docking", "finds")
    [first, second] = make(superseded=old, replaced_by={"18": "19", "19": "21"}).struck
    assert (first.now, second.now) == ("misses", "misses")


@pytest.mark.parametrize(
    ("signs", "told"),
    [(1, "0 of 1 sign is gone"), (2, "0 of 2 signs are gone")],
)
def test_signs_are_counted_in_good_english(
    make: Callable[..., Report], signs: int, told: str
) -> None:
    left = RepairProof("guide_signal_floor", "not_measured", ("2",), "not measured again")
    assert told in make(replace(DIAGNOSIS, repairs=(left,) * signs)).headline


def test_what_a_repair_made_no_better_is_not_asked_for_again(make: Callable[..., Report]) -> None:
    stays = RepairProof("guide_signal_floor", "remains", ("2",), "still low")
    left = RepairProof("docking", "not_measured", ("21",), "not measured again")
    report = make(replace(DIAGNOSIS, repairs=(stays, left)))
    assert "Take again" not in report.action
    assert report.headline.startswith("Likeliest")
    assert make(replace(DIAGNOSIS, repairs=(left,))).action == (
        "Take again, after repair, in the same context: homing."
    )


def test_what_was_asked_about_without_a_doubt_named_is_not_heard_for_certain(
    make: Callable[..., Report],
) -> None:
    asked = reading("8", "charging_current", None, "1.50", unit="A", status="asked")
    assert make(readings=(asked,)).questions[0].question == "say it again: not heard for certain"


def test_a_trade_without_a_release_round_is_told_no_step(
    make: Callable[..., Report], profile: Profile
) -> None:
    bare = profile.model_copy(update={"round": ()})
    found = Diagnosis(release_missing=("the profile has no release round",))
    report = report_of(SESSION, bare, found)
    assert (report.action, report.caution) == ("", "")


def test_before_and_after_the_repair_stand_side_by_side(report: Report) -> None:
    [row] = report.compared
    assert (row.label, row.context, row.before, row.after) == (
        "guide signal front",
        "undocked",
        "46",
        "98",
    )


def test_what_a_repair_has_mended_is_no_longer_told_as_wrong(make: Callable[..., Report]) -> None:
    flagged = [finding for finding in DIAGNOSIS.findings if finding.flagged]
    before, after = (
        make(diagnosis=replace(DIAGNOSIS, still_flagged=tuple(still))) for still in (flagged, ())
    )
    assert [f for f in before.telling if f.flagged] == by_weight(flagged)
    assert not [f for f in after.telling if f.flagged]
    assert set(after.quiet) >= set(flagged)


def test_causes_too_unlikely_to_matter_are_left_out(report: Report) -> None:
    assert [c.cause for c in report.causes] == ["guide_wire_out_of_line"]


def test_an_empty_session_says_that_nothing_was_measured(make: Callable[..., Report]) -> None:
    empty: dict[str, tuple[()]] = {
        name: ()
        for name in Session.__dataclass_fields__
        if name in ("readings", "observations", "notes", "superseded")
    }
    report = make(Diagnosis(), **empty)
    assert report.headline == "Nothing was measured yet."
    assert report.groups == {}


@pytest.mark.parametrize(("probability", "shown"), [(0.0, 1), (0.004, 1), (0.5, 50), (1.0, 99)])
def test_a_chance_is_never_shown_as_certain(probability: float, shown: int) -> None:
    assert percent(probability) == shown
