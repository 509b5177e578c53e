"""What should be in the record at the end of an exercise: from its scenes, or from what is known
to be said in a recording."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any

from assistant.practice.exercise import Exercise, Scene, sound_path
from assistant.practice.marks import Sound
from assistant.practice.shown import State, read_shown
from assistant.profile.schema import Profile
from assistant.record.session import Reading


@dataclass(frozen=True, slots=True)
class Wanted:
    """A reading that should be in the record. ``stretch`` counts the stretches of work, each
    with one context. ``sound`` is where it was said, ``words`` how."""

    quantity: str
    position: str | None
    state: State
    value: str | None
    context: Mapping[str, str] = field(default_factory=dict)
    stretch: int = 0
    words: str = ""
    sound: Sound | None = None

    @property
    def label(self) -> tuple[str, str | None]:
        return self.quantity, self.position

    @property
    def told(self) -> tuple[State, Decimal | None]:
        """The value as a number: 12.50 and 12.5 are the same to a trainee."""
        return self.state, None if self.value is None else Decimal(self.value)

    def reading(self, id_: str, profile: Profile) -> Reading:
        """As it would stand in a perfect record."""
        unit = next(q.unit for q in profile.quantity if q.id == self.quantity)
        return Reading(
            id_,
            self.quantity,
            self.position,
            self.value,
            self.state,
            unit,
            dict(self.context),
            "accepted",
            heard=self.words,
        )


def wanted_readings(exercise: Exercise, folder: Path, profile: Profile) -> tuple[Wanted, ...]:
    """In the order shown or said; ``folder`` is that of the exercise's file."""
    if exercise.sound is None:
        return _of_scenes(exercise.scene, profile)
    if exercise.sound.scene:
        return _of_scenes(exercise.sound.scene, profile)
    return _of_recording(sound_path(exercise.sound, folder))


def _of_scenes(scenes: Iterable[Scene], profile: Profile) -> tuple[Wanted, ...]:
    return tuple(
        Wanted(*read_shown(text, profile), context=dict(scene.where), stretch=number)
        for number, scene in enumerate(scenes)
        for text in scene.show
    )


def _of_recording(path: Path) -> tuple[Wanted, ...]:
    """From the truth.json beside the recording. What was corrected stands corrected."""
    told = json.loads((path.parent / "truth.json").read_text("utf-8"))
    [file] = [file for file in told["files"] if file["file"] == path.name]
    found: list[Wanted] = []
    contexts: list[Mapping[str, str]] = []
    for said in file["utterances"]:
        sound = Sound(path, said["start"], said["end"])
        for reading in said["readings"]:
            if reading["context"] not in contexts:
                contexts.append(reading["context"])
            one = _wanted(reading, said["words"], sound, contexts.index(reading["context"]))
            old = next((w for w in reversed(found) if w.label == one.label), None)
            if reading.get("corrects") and old is not None:
                found[found.index(old)] = one
            else:
                found.append(one)
    return tuple(found)


def _wanted(reading: Mapping[str, Any], words: str, sound: Sound, stretch: int) -> Wanted:
    return Wanted(
        reading["quantity"],
        reading["position"],
        reading["state"],
        reading["value"],
        reading["context"],
        stretch,
        words,
        sound,
    )
