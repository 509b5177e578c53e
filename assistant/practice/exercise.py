"""An exercise as a TOML file: what may stand in it, and what is wrong with one.

Anyone can write one: copy a shipped file into the folder that `benchcall practise --list` names,
change it, and list again; a wrong file is told by line, field and fix.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import fields
from functools import partial
from pathlib import Path
from typing import Literal

from pydantic import Field

from assistant.errors import BenchcallError
from assistant.practice.garden import Garden
from assistant.practice.hidden_fault import FAULTS
from assistant.practice.marks import SKILLS
from assistant.practice.shown import ShownError, read_shown
from assistant.practice.station_drawing import DRAWN
from assistant.profile.load import DEFAULT_PROFILE, load_profile, read_checked
from assistant.profile.nearest import nearest
from assistant.profile.problem import Problem, shown
from assistant.profile.schema import Profile
from assistant.profile.values import Id, Table, Where
from assistant.shipped import shipped

Kind = Literal["listen", "dictate", "find_fault"]
KIND_WORDS: dict[Kind, str] = {
    "listen": "listen",
    "dictate": "dictate",
    "find_fault": "find the fault",
}
ANY_TRADE = (
    "Listen and dictate work with any profile; find the fault, and the check of your voice, know "
    "robot mowers only."
)
GARDEN = tuple(field.name for field in fields(Garden))


class Scene(Table):
    """One stretch of work to dictate: what holds, and what the display shows."""

    where: Where = Field(default_factory=dict)
    caption: str = ""
    show: tuple[str, ...] = Field(min_length=1)
    """Each "quantity value" or "quantity@position value"; off_scale and no_reading are values."""


class Heard(Table):
    """What is listened to: a file of a session of demo_audio, whose words are known, or a
    recording beside the exercise with what should be in the record."""

    session: str = ""
    file: str
    scene: tuple[Scene, ...] = ()


class Mower(Table):
    """A simulated mower with hidden faults. ``garden`` sets its numbers (the names stand in
    assistant/practice/garden.py); without it each fault is done as bad as ``seed`` draws it.
    ``trap`` names causes that a docked negative rear value seems to show."""

    fault: tuple[Id, ...] = ()
    seed: int = 1
    garden: dict[Id, float | bool] = Field(default_factory=dict)
    parked: Literal["docked", "undocked"] = "docked"
    trap: tuple[Id, ...] = ()


class Exercise(Table):
    id: Id
    title: str
    level: int = Field(ge=1, le=5)
    kind: Kind
    unit: str = ""
    story: str
    trains: tuple[Id, ...] = Field(min_length=1)
    """The skills that it brings back, of those in assistant/practice/marks.py."""
    profile: str = DEFAULT_PROFILE
    scene: tuple[Scene, ...] = ()
    sound: Heard | None = None
    mower: Mower | None = None


def read_exercise(path: Path) -> Exercise:
    """Raises UnknownNameError where there is no such file, and ProfileError naming file, line and
    field, what was found and what is allowed."""
    return read_checked(path, Exercise, partial(_problems, folder=path.parent))


def sound_path(heard: Heard, folder: Path) -> Path:
    """The recording of a *listen* exercise; ``folder`` is that of its TOML file."""
    if heard.session:
        return shipped("demo_audio") / heard.session / heard.file
    return folder / heard.file


def _problems(exercise: Exercise, folder: Path) -> Iterator[Problem]:
    for place, name in enumerate(exercise.trains):
        yield from _known(("trains", place), name, SKILLS)
    try:
        profile = load_profile(exercise.profile)
    except BenchcallError as error:
        yield Problem(("profile",), str(error), "the id of a profile")
        return
    parts = {"listen": "sound", "dictate": "scene", "find_fault": "mower"}
    for kind, part in parts.items():
        there = bool(getattr(exercise, part))
        if there is not (exercise.kind == kind):
            found = f"{'a' if there else 'no'} table '{part}' in an exercise of kind"
            yield Problem(
                (part,), f"{found} '{exercise.kind}'", f"'{part}' with kind '{kind}' only"
            )
    yield from _scenes(("scene",), exercise.scene, profile)
    yield from _unseen(("scene",), exercise.scene, profile)
    if exercise.sound is not None:
        yield from _sound(exercise.sound, folder, profile)
    if exercise.mower is not None:
        yield from _mower(exercise, exercise.mower, profile)


def _sound(heard: Heard, folder: Path, profile: Profile) -> Iterator[Problem]:
    if not sound_path(heard, folder).is_file():
        yield Problem(("sound", "file"), shown(heard.file), "a recording that is there")
    if bool(heard.session) is bool(heard.scene):
        yield Problem(
            ("sound",),
            f"{len(heard.scene)} scenes and session {shown(heard.session)}",
            "a session of demo_audio, or scenes that say what should be in the record",
        )
    yield from _scenes(("sound", "scene"), heard.scene, profile)


def _unseen(place: tuple[str, ...], scenes: Iterable[Scene], profile: Profile) -> Iterator[Problem]:
    """Contexts that the trainee is to say and can't see."""
    for n, scene in enumerate(scenes):
        for key, value in scene.where.items():
            one = next((v for c in profile.context if c.id == key for v in c.value), None)
            seen = [
                v.seen for c in profile.context if c.id == key for v in c.value if v.id == value
            ]
            if one and not (scene.caption or any(seen) or (key, value) in DRAWN):
                yield Problem(
                    (*place, n, "where", key),
                    f"{shown(value)}, which nothing in the scene shows",
                    "a caption, or a 'seen' with this context in the profile",
                )


def _scenes(place: tuple[str, ...], scenes: Iterable[Scene], profile: Profile) -> Iterator[Problem]:
    for n, scene in enumerate(scenes):
        for m, text in enumerate(scene.show):
            try:
                read_shown(text, profile)
            except ShownError as error:
                yield Problem((*place, n, "show", m), shown(text), str(error))
        for key, value in scene.where.items():
            context = next((c for c in profile.context if c.id == key), None)
            if context is None:
                yield from _known((*place, n, "where", key), key, [c.id for c in profile.context])
            else:
                allowed = [v.id for v in context.value]
                yield from _known((*place, n, "where", key), value, allowed)


def _mower(exercise: Exercise, mower: Mower, profile: Profile) -> Iterator[Problem]:
    causes = [cause.id for cause in profile.cause]
    if not set(causes) & set(FAULTS):
        yield Problem(
            ("kind",),
            f"'find_fault' with the profile '{exercise.profile}'",
            "'listen' or 'dictate': only robot mowers can be simulated",
        )
        return
    for n, fault in enumerate(mower.fault):
        yield from _known(("mower", "fault", n), fault, [f for f in FAULTS if f in causes])
    for n, cause in enumerate(mower.trap):
        yield from _known(("mower", "trap", n), cause, causes)
    for name in mower.garden:
        yield from _known(("mower", "garden", name), name, GARDEN)


def _known(place: tuple[str | int, ...], name: str, names: Iterable[str]) -> Iterator[Problem]:
    there = list(names)
    if name not in there:
        close = nearest(name, there)
        hint = f" (did you mean {close[0]}?)" if close else ""
        yield Problem(place, shown(name), f"{', '.join(there)}{hint}")
