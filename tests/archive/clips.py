"""Short recordings cut from the demo's, whose words are known."""

from __future__ import annotations

import wave
from pathlib import Path

from assistant.shipped import shipped
from assistant.truth import known_sessions


def cut(folder: Path, count: int) -> list[Path]:
    """``count`` recordings of one utterance each, in ``folder``."""
    folder.mkdir(parents=True, exist_ok=True)
    paths: list[Path] = []
    for known in known_sessions(shipped("demo_audio")):
        for recording in known.recordings:
            with wave.open(str(recording.path)) as file:
                rate = file.getframerate()
                for said in recording.utterances:
                    if len(paths) == count:
                        return paths
                    file.setpos(max(0, int((said.start - 0.5) * rate)))
                    sound = file.readframes(int((said.end - said.start + 1.5) * rate))
                    paths.append(folder / f"{len(paths):03d}.wav")
                    _write(paths[-1], sound, rate)
    return paths


def _write(path: Path, sound: bytes, rate: int) -> None:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(sound)
