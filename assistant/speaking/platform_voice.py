"""The voice that macOS or Windows brings along, through its own command, as a WAV file.

The commands are checked by test; neither was ever run on its platform, so eSpeak NG stays the
default.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.errors import SpeechError

_SAPI = (
    "Add-Type -AssemblyName System.Speech; "
    "$s = New-Object System.Speech.Synthesis.SpeechSynthesizer; "
    "$s.SetOutputToWaveFile($env:BENCHCALL_WAV); $s.Speak($env:BENCHCALL_TEXT); $s.Dispose()"
)
"""Text and path come through the environment: no quoting, so no text becomes a command."""


class PlatformVoice:
    """Runs one command a sentence; ``program`` is "say" (macOS) or "powershell" (Windows)."""

    def __init__(self, program: str, patience: float = 20.0) -> None:
        self._program = program
        self._patience = patience

    def say(self, text: str) -> tuple[NDArray[np.float32], int]:
        import soundfile

        with tempfile.TemporaryDirectory() as folder:
            wav = Path(folder) / "said.wav"
            try:
                subprocess.run(  # noqa: S603 (fixed command; the text is never part of it)
                    command(self._program, wav),
                    input=text.encode(),
                    env={**os.environ, "BENCHCALL_WAV": str(wav), "BENCHCALL_TEXT": text},
                    check=True,
                    capture_output=True,
                    timeout=self._patience,
                )
                samples, rate = soundfile.read(wav, dtype="float32", always_2d=True)
            except (OSError, RuntimeError, subprocess.SubprocessError) as error:
                raise SpeechError(
                    "The voice of this computer failed; start again without --platform-voice."
                ) from error
        return samples.mean(axis=1), int(rate)

    def close(self) -> None:
        """Nothing runs between sentences."""


def command(program: str, wav: Path) -> list[str]:
    """The command that writes the words to ``wav``: 16-bit mono."""
    if program == "say":
        return ["say", "-o", str(wav), "--data-format=LEI16@22050", "-f", "-"]
    return ["powershell", "-NoProfile", "-NonInteractive", "-Command", _SAPI]


def platform_voice() -> PlatformVoice:
    """Raises SpeechError where neither macOS' nor Windows' voice is there."""
    program = {"darwin": "say", "win32": "powershell"}.get(sys.platform)
    if program is None or shutil.which(program) is None:
        raise SpeechError(
            "This computer brings no voice that is known here; leave --platform-voice out."
        )
    return PlatformVoice(program)
