"""The sound devices of this machine, as PortAudio knows them."""

from __future__ import annotations

from types import ModuleType
from typing import Literal

from assistant.errors import AudioError

Kind = Literal["input", "output"]


def sound_devices(kind: Kind) -> dict[int, str]:
    """Number and name of every device that gives sound ("input") or takes it ("output")."""
    channels = f"max_{kind}_channels"
    found = enumerate(sound_library().query_devices())
    return {number: str(device["name"]) for number, device in found if device[channels] > 0}


def look_again() -> None:
    """Makes PortAudio see devices that were plugged in since it was first asked. No stream may be
    open meanwhile."""
    sounddevice = sound_library()
    sounddevice._terminate()
    sounddevice._initialize()


def sound_library() -> ModuleType:
    """The sounddevice module; raises AudioError where PortAudio is not on this machine."""
    try:
        import sounddevice
    except OSError as error:
        raise AudioError(
            "Listening needs the PortAudio library, which is not on this machine. On Debian and "
            "Ubuntu: sudo apt install libportaudio2. On Fedora: sudo dnf install portaudio."
        ) from error
    return sounddevice  # type: ignore[no-any-return, unused-ignore]
