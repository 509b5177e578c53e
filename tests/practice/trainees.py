"""Scripted trainees: the perfect one, and one who answers at random."""

from __future__ import annotations

import random
from collections.abc import Iterator

from assistant.practice.best_policy import best_policy
from assistant.practice.exercise import Exercise
from assistant.practice.library import Library
from assistant.practice.prices import TOLD
from assistant.practice.score_record import out_of_tolerance
from assistant.practice.takes import takes_of
from assistant.practice.wanted import Wanted, wanted_readings
from assistant.profile import Profile, load_profile
from assistant.speaking.label import context_words, spoken_label

LIBRARY = Library()


def wanted_of(exercise: Exercise) -> tuple[Wanted, ...]:
    return wanted_readings(exercise, LIBRARY.folder(exercise), load_profile(exercise.profile))


def said(wanted: Wanted, profile: Profile) -> str:
    label = spoken_label(profile, wanted.quantity, wanted.position)
    return f"{label} {wanted.value or wanted.state.replace('_', ' ')}"


def context_of(wanted: Wanted, profile: Profile) -> str:
    return ", ".join(context_words(profile, wanted.context, wanted.context))


def perfect(exercise: Exercise) -> Iterator[str]:
    profile = load_profile(exercise.profile)
    if exercise.kind == "find_fault":
        yield from perfect_search(exercise, profile)
        return
    wanted = wanted_of(exercise)
    stretch = None
    for one in wanted:
        if one.stretch != stretch:
            if stretch is not None and exercise.kind == "dictate":
                yield "next"
            stretch = one.stretch
            yield context_of(one, profile) or "station moved"
        yield said(one, profile)
    yield "done"
    faults = out_of_tolerance(wanted, profile)
    named = [spoken_label(profile, *min(labels, key=str)) for labels in faults]
    yield ", ".join(named) or "none"


def perfect_search(exercise: Exercise, profile: Profile) -> Iterator[str]:
    """The best order of work, driven to where each check belongs and said so."""
    assert exercise.mower is not None
    stands = exercise.mower.parked
    yield stands
    checks = {check.id: check for check in profile.check}
    for name in best_policy(exercise.mower, exercise.profile).checks:
        where = checks[name].needs.get("station", stands)
        if where != stands:
            yield "drive in" if where == "docked" else "drive out"
            yield "mower moved"
            yield where
            stands = where  # type: ignore[assignment]
        yield f"check {name}"
    yield "cause " + " and ".join(exercise.mower.fault or ("no_fault",))


def at_random(exercise: Exercise, seed: int) -> Iterator[str]:
    """Knows what can be said and done, and nothing else: labels, numbers, contexts, causes."""
    rng = random.Random(seed)
    profile = load_profile(exercise.profile)
    if exercise.kind == "find_fault":
        checks = [c.id for c in profile.check if c.id not in TOLD]
        for name in rng.sample(checks, rng.randrange(0, 6)):
            yield rng.choice(["docked", "undocked", "drive in", "drive out"])
            if takes_of(next(c for c in profile.check if c.id == name), profile).labels:
                yield rng.choice(["docked", "undocked"])
            yield f"check {name}"
        yield f"cause {rng.choice([c.id for c in profile.cause])}"
        return
    wanted = wanted_of(exercise)
    for one in wanted:
        yield rng.choice(["docked", "undocked", "open", "loaded"])
        label = spoken_label(profile, one.quantity, one.position)
        low, high = next(q.plausible for q in profile.quantity if q.id == one.quantity)
        yield f"{label} {rng.randint(max(-300, int(low)), min(300, int(high)))}"
    for _ in range(max(1, len(exercise.scene))):
        yield "next"
    one = rng.choice(wanted)
    yield rng.choice(["none", spoken_label(profile, one.quantity, one.position)])
