"""What holds of every session that can be spoken, with the shipped profiles."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.diagnosis import diagnose
from assistant.diagnosis.causes import NO_FAULT, fault_model
from assistant.profile import Profile, load_profile, profile_ids
from assistant.record.session import Observation, Reading, Session

PROFILES = {name: load_profile(name) for name in profile_ids()}
MODELS = {name: fault_model(profile) for name, profile in PROFILES.items()}


@st.composite
def readings(draw: st.DrawFn, profile: Profile, number: int) -> Reading:
    quantity = draw(st.sampled_from(profile.quantity))
    low, high = quantity.plausible
    state = draw(st.sampled_from(["value"] * 8 + ["no_reading", "off_scale"]))
    value = draw(st.decimals(str(low), str(high), places=quantity.decimals))
    context = {c.id: draw(st.sampled_from([None, *c.value])) for c in profile.context}
    return Reading(
        id=str(number),
        quantity=quantity.id,
        position=draw(st.sampled_from([*quantity.positions, None])),
        value=str(value) if state == "value" else None,
        state=state,  # type: ignore[arg-type]
        unit=quantity.unit,
        context={key: chosen.id for key, chosen in context.items() if chosen},
        status=draw(st.sampled_from(["accepted"] * 6 + ["asked"])),  # type: ignore[arg-type]
        heard="as heard",
        at=f"2031-05-04T09:00:{number:02d}Z",
    )


@st.composite
def sessions(draw: st.DrawFn, profile: Profile) -> Session:
    count = draw(st.integers(0, 25))
    seen = draw(st.lists(st.sampled_from([o for o in profile.observation if o.choice]), max_size=8))
    return Session(
        id="any",
        profile=profile.id,
        readings=tuple(draw(readings(profile, i)) for i in range(count)),
        observations=tuple(
            Observation(f"o{i}", o.id, draw(st.sampled_from(o.choice)).id, at=f"2031-05-04T09:{i}")
            for i, o in enumerate(seen)
        ),
    )


@pytest.mark.parametrize("name", PROFILES)
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_every_session_is_diagnosed(name: str, data: st.DataObject) -> None:
    profile = PROFILES[name]
    session = data.draw(sessions(profile))
    found = diagnose(session, profile, MODELS[name])
    known = {item.id for item in (*session.judged, *session.observations)}
    asked = {reading.id for reading in session.open_questions}
    for finding in found.findings:
        assert finding.about
        assert set(finding.about) <= known
        assert not set(finding.about) & asked
        assert finding.reason
    chances = [cause.probability for cause in found.causes]
    assert chances == sorted(chances, reverse=True)
    assert {c.cause for c in found.causes} == {c.id for c in profile.cause} | {NO_FAULT}
    healthy = next(c.probability for c in found.causes if c.cause == NO_FAULT)
    faults = sum(chances) - healthy
    assert 1 - healthy - 1e-9 <= faults <= 2 * (1 - healthy) + 1e-9
    assert not (found.enough and found.next_checks)
    assert found.verdict
    if found.ready_for_use:
        assert not found.release_missing


@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_what_is_asked_changes_nothing_but_what_waits_for_an_answer(data: st.DataObject) -> None:
    """Causes and flags are those of the session without its open questions."""
    profile = PROFILES["robot_mower"]
    session = data.draw(sessions(profile))
    without = Session(
        id="any",
        profile=profile.id,
        readings=session.judged,
        observations=session.observations,
    )
    one, other = (diagnose(s, profile, MODELS["robot_mower"]) for s in (session, without))
    assert one.causes == other.causes
    assert [f for f in one.findings if f.flagged] == [f for f in other.findings if f.flagged]
