"""The exact posterior over none, one or two causes."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations, product
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from assistant.diagnosis import diagnose
from assistant.diagnosis.causes import NO_FAULT, FaultModel, fault_model, signs_seen
from assistant.diagnosis.finding import Finding
from assistant.profile import Profile, load_profile

if TYPE_CHECKING:
    from tests.diagnosis.conftest import Bench


def test_hypotheses_are_none_one_or_two_causes_and_sum_to_one(profile: Profile) -> None:
    model = fault_model(profile)
    assert len(model.hypotheses) == 1 + 3 + 3
    assert model.prior.sum() == pytest.approx(1)


def agrum_network(profile: Profile) -> Any:
    """The same model in pyAgrum: a node for each cause, one for its form and one for each form it
    may have, an independent noisy-or for each sign, a misread copy of it, and a node that holds
    "at most two" as evidence, weighed by how many mowers have none, one or two faults."""
    gum = pytest.importorskip("pyagrum")
    net = gum.BayesNet()
    names = [cause.id for cause in profile.cause]
    links: list[tuple[str, Mapping[str, float]]] = []
    for cause in profile.cause:
        net.add(gum.LabelizedVariable(cause.id, "", 2))
        net.cpt(cause.id).fillWith([1 - cause.prior, cause.prior])
        if not cause.form:
            links.append((cause.id, cause.shows))
            continue
        which, count = f"which_{cause.id}", len(cause.form)
        net.add(gum.LabelizedVariable(which, "", count + 1))
        net.addArc(cause.id, which)
        net.cpt(which)[{cause.id: 0}] = [1.0] + [0.0] * count
        net.cpt(which)[{cause.id: 1}] = [0.0] + [form.share for form in cause.form]
        for n, form in enumerate(cause.form, 1):
            name = f"{cause.id}_{n}"
            net.add(gum.LabelizedVariable(name, "", 2))
            net.addArc(which, name)
            for state in range(count + 1):
                net.cpt(name)[{which: state}] = [float(state != n), float(state == n)]
            links.append((name, {**cause.shows, **form.shows}))
    net.add(gum.LabelizedVariable("few", "", 2))
    for cause_name in names:
        net.addArc(cause_name, "few")
    sizes = [sum(states) for states in product([0, 1], repeat=len(names))]
    weights = _weight_of_size(profile)
    few = [weights.get(size, 0.0) for size in sizes]
    net.cpt("few").fillWith([part for yes in few for part in (1 - yes, yes)])
    for sign in profile.sign:
        true = f"true_{sign.id}"
        net.addNoisyORNet(gum.LabelizedVariable(true, "", 2), sign.leak)
        for name, shows in links:
            if shows.get(sign.id, 0) > 0:
                net.addWeightedArc(name, true, shows[sign.id])
        net.add(gum.LabelizedVariable(sign.id, "", 2))
        net.addArc(true, sign.id)
        net.cpt(sign.id)[{true: 0}] = [1 - sign.misread, sign.misread]
        net.cpt(sign.id)[{true: 1}] = [sign.misread, 1 - sign.misread]
    return net


def _weight_of_size(profile: Profile) -> dict[int, float]:
    """Number of faults to the weight that gives it the profile's share, the largest being one."""
    if "two_faults_share" not in profile.constants:
        return {0: 1.0, 1: 1.0, 2: 1.0}
    none, two = (profile.constants[k] for k in ("nothing_wrong_share", "two_faults_share"))
    odds = [cause.prior / (1 - cause.prior) for cause in profile.cause]
    pairs = sum(a * b for a, b in combinations(odds, 2))
    weights = {0: none, 1: (1 - none - two) / sum(odds), 2: two / pairs}
    return {size: weight / max(weights.values()) for size, weight in weights.items()}


def agrum_posterior(net: Any, profile: Profile, seen: dict[str, bool]) -> dict[str, float]:
    import pyagrum as gum

    engine = gum.LazyPropagation(net)
    engine.setEvidence({"few": 1} | {sign: int(yes) for sign, yes in seen.items()})
    engine.setTargets({cause.id for cause in profile.cause})
    engine.makeInference()
    return {cause.id: engine.posterior(cause.id)[1] for cause in profile.cause}


def own_posterior(model: FaultModel, profile: Profile, seen: dict[str, bool]) -> dict[str, float]:
    belief = model.posterior(seen)
    return {cause.id: model.marginal(belief, cause.id) for cause in profile.cause}


def test_pyagrum_gives_the_same_numbers_after_every_reading(profile: Profile) -> None:
    model, net = fault_model(profile), agrum_network(profile)
    signs = [sign.id for sign in profile.sign]
    for known in (group for size in range(5) for group in combinations(signs, size)):
        for values in product([True, False], repeat=len(known)):
            seen = dict(zip(known, values, strict=True))
            expected = agrum_posterior(net, profile, seen)
            assert own_posterior(model, profile, seen) == pytest.approx(expected, abs=1e-6)


def test_pyagrum_gives_the_same_numbers_on_the_shipped_profile() -> None:
    job = load_profile("robot_mower")
    model, net = fault_model(job), agrum_network(job)
    rng = np.random.default_rng(11)
    for known in (1, 4, 9):
        signs = rng.choice([sign.id for sign in job.sign], known, replace=False)
        seen = {str(sign): bool(rng.random() < 0.4) for sign in signs}
        expected = agrum_posterior(net, job, seen)
        assert own_posterior(model, job, seen) == pytest.approx(expected, abs=1e-6)


def test_the_hand_worked_posterior_of_one_sign(profile: Profile) -> None:
    """Each hypothesis weighed by hand, misreading included."""
    model = fault_model(profile)
    odds = {"guide_wire_out_of_line": 0.15 / 0.85, "front_sensor": 0.06 / 0.94}
    odds["rear_sensor"] = odds["front_sensor"]
    link = {"guide_wire_out_of_line": 0.9, "front_sensor": 0.4, "rear_sensor": 0.4}
    total = guide = 0.0
    for group in [g for n in range(3) for g in combinations(odds, n)]:
        true = 1 - 0.95 * float(np.prod([1 - link[c] for c in group]))
        weight = float(np.prod([odds[c] for c in group])) * (0.997 * true + 0.003 * (1 - true))
        total += weight
        guide += weight * ("guide_wire_out_of_line" in group)
    belief = model.posterior({"misses_dock": True})
    assert model.marginal(belief, "guide_wire_out_of_line") == pytest.approx(guide / total)


def test_the_shares_of_none_and_two_faults_are_the_profiles() -> None:
    job = load_profile("robot_mower")
    model = fault_model(job)
    sizes = np.array([len(group) for group in model.hypotheses])
    shares = [float(model.prior[sizes == size].sum()) for size in range(3)]
    none, two = job.constants["nothing_wrong_share"], job.constants["two_faults_share"]
    assert shares == pytest.approx([none, 1 - none - two, two])


def test_a_form_that_is_ruled_out_leaves_the_cause_to_its_other_form() -> None:
    """A joint lies in one wire or in the other: a sound loop says nothing of the guide wire."""
    model = fault_model(load_profile("robot_mower"))
    start = model.posterior({})
    sound_loop = model.posterior({"loop_resistance_high": False})
    both_sound = model.posterior({"loop_resistance_high": False, "guide_resistance_high": False})
    chance = [model.marginal(b, "high_joint") for b in (start, sound_loop, both_sound)]
    guide_joint = 0.45 * chance[0]
    assert chance[1] == pytest.approx(guide_joint, rel=0.2)
    assert chance[2] < 0.1 * chance[0]


def test_the_forms_of_one_cause_are_never_two_faults() -> None:
    for group in fault_model(load_profile("robot_mower")).hypotheses:
        assert len(set(group)) == len(group)


def test_alignment_ranks_above_either_sensor_when_both_agree_and_it_still_misses(
    bench: Bench, profile: Profile
) -> None:
    """Common practice, no source."""
    bench.read("guide_signal@front", "62", "undocked").read("guide_signal@rear", "58", "undocked")
    bench.see("docking", "misses_left")
    causes = diagnose(bench.session, profile).causes
    chance = {cause.cause: cause.probability for cause in causes}
    assert causes[0].cause == "guide_wire_out_of_line"
    assert chance["front_sensor"] < 0.02
    assert chance["rear_sensor"] < 0.02


def test_a_weak_front_reading_blames_the_front_sensor_and_not_the_rear(
    bench: Bench, profile: Profile
) -> None:
    bench.read("guide_signal@front", "50", "undocked").read("guide_signal@rear", "98", "undocked")
    seen = signs_seen(profile, diagnose(bench.session, profile).findings)
    assert (seen["front_lower"], seen["rear_lower"]) == (True, False)
    assert diagnose(bench.session, profile).causes[0].cause == "front_sensor"


def test_contradicting_evidence_is_said(bench: Bench, profile: Profile) -> None:
    bench.read("guide_signal@front", "20", "undocked").read("guide_signal@rear", "20", "undocked")
    bench.see("docking", "straight")
    diagnosis = diagnose(bench.session, profile)
    guide = next(c for c in diagnosis.causes if c.cause == "guide_wire_out_of_line")
    assert any("docks straight" in reason for reason in guide.reasons_against)
    assert any("20" in reason for reason in guide.reasons_for)


def test_a_sign_that_a_cause_does_not_explain_is_said_against_it(
    bench: Bench, profile: Profile
) -> None:
    bench.read("guide_signal@front", "75", "undocked").read("guide_signal@rear", "98", "undocked")
    guide = next(
        c for c in diagnose(bench.session, profile).causes if c.cause == "guide_wire_out_of_line"
    )
    assert any(reason.startswith("not explained by it") for reason in guide.reasons_against)


def test_a_finding_that_settles_two_signs_is_told_once_as_a_reason(bench: Bench) -> None:
    """In the shipped trade "front is the lower" and "rear is the lower" rest on one pair."""
    bench.read("guide_signal@front", "102", "undocked").read("guide_signal@rear", "98", "undocked")
    for cause in diagnose(bench.session, load_profile()).causes:
        for reasons in (cause.reasons_for, cause.reasons_against):
            assert len(set(reasons)) == len(reasons)


def test_nothing_measured_is_not_enough(bench: Bench, profile: Profile) -> None:
    diagnosis = diagnose(bench.session, profile)
    assert not diagnosis.enough
    assert diagnosis.verdict.startswith("Not enough yet")
    assert diagnosis.causes[0].cause == NO_FAULT


def test_docked_negative_values_blame_nothing(bench: Bench, profile: Profile) -> None:
    bench.read("guide_signal@front", "102", "docked").read("guide_signal@rear", "-65", "docked")
    diagnosis = diagnose(bench.session, profile)
    assert not any(f.flagged for f in diagnosis.findings)
    assert signs_seen(profile, diagnosis.findings) == {}


def test_one_share_alone_is_not_enough_to_weigh_by(profile: Profile) -> None:
    plain = fault_model(profile)
    one = fault_model(profile.model_copy(update={"constants": {"nothing_wrong_share": 0.5}}))
    assert one.prior == pytest.approx(plain.prior)


def test_what_is_wrong_in_another_way_than_the_sign_asks_leaves_it_open(profile: Profile) -> None:
    """Silent on the front and well on the rear is no sign that a signal is low."""
    strict = profile.sign[0].model_copy(update={"present": ("out",)})
    profile = profile.model_copy(update={"sign": (strict,)})
    well = Finding(strict.rule, "ok", ("2",), "")
    assert signs_seen(profile, [Finding(strict.rule, "suspect", ("1",), ""), well]) == {}
    assert signs_seen(profile, [Finding(strict.rule, "out", ("1",), ""), well]) == {strict.id: True}
    assert signs_seen(profile, [well]) == {strict.id: False}


@pytest.mark.parametrize("way", [1, -1])
def test_the_most_telling_reason_comes_first_in_whatever_order_the_profile_has_them(
    bench: Bench, profile: Profile, way: int
) -> None:
    """Of a sign that is there, its chance under the cause over its chance under none: 0.9 / 0.05
    for the docking, 0.8 / 0.03 for the weak signal; for the front sensor 0.05 / 0.98 against."""
    profile = profile.model_copy(update={"sign": profile.sign[::way], "pair": profile.pair[:1]})
    bench.read("guide_signal@rear", "60", "undocked").read("guide_signal@front", "98", "undocked")
    bench.read("guide_signal@front", "62", "undocked").see("docking", "misses_left")
    weak = (
        "guide signal front 62, undocked: below the limit 67; a guide wire a little out of line "
        "drops the signal quickly"
    )
    told = {cause.cause: cause for cause in diagnose(bench.session, profile).causes}
    weak_rear = weak.replace("front 62", "rear 60")
    misses = "docking: misses left; it misses the station to the same side each time"
    agree = "guide signal, front 62 and rear 60, undocked: agree to within 2, limit 10"
    guide, front = told["guide_wire_out_of_line"], told["front_sensor"]
    assert guide.reasons_for == (weak_rear, misses)
    assert guide.reasons_against == ()
    assert front.reasons_for == (weak_rear, misses)
    assert front.reasons_against == (f'"front reads less than rear" should show, but {agree}',)
    nothing = told["no_fault"]
    assert nothing.title == "nothing on this list is wrong"
    assert set(nothing.unexplained) == {weak_rear, misses}
    assert nothing.reasons_for == (agree,)
    assert [guide.remedy, front.remedy, front.caution] == ["move the wire", "swap it", ""]


def test_what_was_expected_tells_more_against_a_cause_than_what_it_leaves_unexplained(
    bench: Bench, profile: Profile
) -> None:
    bench.read("guide_signal@front", "90", "undocked").read("guide_signal@rear", "75", "undocked")
    profile = profile.model_copy(update={"sign": profile.sign[::-1]})
    profile = profile.model_copy(
        update={"cause": (profile.cause[0].model_copy(update={"caution": "mind the blades"}),)}
    )
    (guide, _) = sorted(diagnose(bench.session, profile).causes, key=lambda c: c.cause)
    pair = (
        "guide signal, front 90 and rear 75, undocked: differ by 15, limit 10; front and rear see "
        "the same wire and should agree"
    )
    floor = "guide signal front 90, undocked: within limits (at least 67)"
    assert guide.reasons_against == (
        f'"weak guide signal" should show, but {floor}',
        f"not explained by it: {pair}",
    )
    assert guide.caution == "mind the blades"


def test_a_flagged_reading_is_the_reason_wherever_it_stands(bench: Bench, profile: Profile) -> None:
    bench.read("guide_signal@front", "98", "undocked").read("guide_signal@rear", "20", "undocked")
    told = {cause.cause: cause for cause in diagnose(bench.session, profile).causes}
    assert any("rear 20" in r and "below" in r for r in told["rear_sensor"].reasons_for)
