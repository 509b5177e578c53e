"""A sound device without a sound card: PulseAudio, and `benchcall listen` on it.

One null sink has two channels. What is played to "said" goes to the left one, which is the
microphone; what the assistant says goes to the right one. Whoever records the sink's monitor has
both on one clock.
"""

from __future__ import annotations

import contextlib
import os
import queue
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Self

import numpy as np
from numpy.typing import NDArray

from assistant.audio.utterance import RATE
from assistant.audio.write import write_wav

DEADLINE = 120.0
"""Seconds after which what was waited for will not come any more; no test is decided by it."""
ROOM_DB = -60.0
"""Of the room's noise, dBFS RMS: as in the shipped recordings."""
MICROPHONE = (
    "module-remap-source source_name=microphone master=bench.monitor channels=1 "
    "channel_map=mono master_channel_map=front-left remix=no"
)
_MODULES = (
    "module-null-sink sink_name=bench rate=16000 channels=2 channel_map=front-left,front-right",
    "module-remap-sink sink_name=said master=bench channels=1 channel_map=mono "
    "master_channel_map=front-left remix=no",
    "module-remap-sink sink_name=voice master=bench channels=1 channel_map=mono "
    "master_channel_map=front-right remix=no",
    MICROPHONE,
)
_DEVICES = """\
</usr/share/alsa/alsa.conf>
pcm.workshop_microphone { type pulse device "microphone" }
pcm.workshop_loudspeaker { type pulse device "voice" }
"""
Samples = NDArray[np.float32]


def is_here() -> bool:
    """Whether PulseAudio, its tools, PortAudio and the way from one to the other are here."""
    try:
        import sounddevice  # noqa: F401
    except OSError:
        return False
    tools = all(shutil.which(name) for name in ("pulseaudio", "pactl", "paplay", "parec"))
    return tools and Path("/usr/share/alsa/alsa.conf").exists()


PACKAGES = "pulseaudio pulseaudio-utils libportaudio2 libasound2-plugins"


class Pulse:
    """A running server. ``folder`` is short-lived and its own."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        socket = folder / "native"
        devices = folder / "asound.conf"
        devices.write_text(_DEVICES, "utf-8")
        self.environment = {
            **os.environ,
            "PULSE_SERVER": f"unix:{socket}",
            "PULSE_RUNTIME_PATH": str(folder),
            "PULSE_COOKIE": str(folder / "cookie"),
            "XDG_RUNTIME_DIR": str(folder),
            "ALSA_CONFIG_PATH": str(devices),
            "BENCHCALL_HOME": str(folder / "home"),
            "PYTHONUNBUFFERED": "1",
        }
        loads = [f"module-native-protocol-unix auth-anonymous=1 socket={socket}", *_MODULES]
        self._log = (folder / "pulse.log").open("wb")
        self._server = subprocess.Popen(
            [
                "pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no",
                "--disable-shm=yes", *(part for load in loads for part in ("-L", load)),
            ],
            env=self.environment, stdout=self._log, stderr=self._log,
        )  # fmt: skip
        self._await_server()
        self._room = self._hushed()

    def _hushed(self) -> subprocess.Popen[bytes]:
        """No room is ever silent: without this its noise would begin with the speech."""
        playing = subprocess.Popen(
            ["pacat", "--device=said", "--rate=16000", "--channels=1", "--format=s16le"],
            env=self.environment, stdin=subprocess.PIPE,
        )  # fmt: skip
        second = np.random.default_rng(0).normal(0, 10 ** (ROOM_DB / 20), RATE)
        noise = (second * 32767).astype("<i2").tobytes()

        def play() -> None:
            assert playing.stdin is not None
            with contextlib.suppress(OSError), playing.stdin as sound:
                while True:
                    sound.write(noise)

        threading.Thread(target=play, daemon=True).start()
        return playing

    def _empty_room(self) -> None:
        self._room.kill()
        self._room.wait()

    def _await_server(self) -> None:
        until = time.monotonic() + DEADLINE
        while "microphone" not in self.control("list", "short", "sources", must=False):
            assert self._server.poll() is None, (self.folder / "pulse.log").read_text("utf-8")
            assert time.monotonic() < until, "the sound server does not answer"

    def control(self, *words: str, must: bool = True) -> str:
        done = subprocess.run(
            ["pactl", *words], env=self.environment, capture_output=True, text=True, check=must
        )
        return done.stdout

    def unplug(self) -> None:
        """Every sound device goes: as long as one is there the server would lend it."""
        self._empty_room()
        for line in self.control("list", "short", "modules").splitlines():
            number, name = line.split("\t")[:2]
            if name == "module-null-sink":
                self.control("unload-module", number)

    def plug_in(self) -> None:
        for module in _MODULES:
            self.control("load-module", *module.split())
        self._room = self._hushed()

    def say(self, samples: Samples) -> None:
        """Plays sound (16 kHz) to the microphone; returns when it has been played."""
        path = self.folder / "say.wav"
        write_wav(path, samples)
        subprocess.run(
            ["paplay", "--device=said", "--latency-msec=30", str(path)],
            env=self.environment, check=True,
        )  # fmt: skip

    @contextmanager
    def recorded(self) -> Iterator[list[Samples]]:
        """Records both channels; afterwards the list holds what was said and what was answered."""
        result: list[Samples] = []
        path = self.folder / "both.raw"
        with path.open("wb") as file:
            recorder = subprocess.Popen(
                [
                    "parec", "--device=bench.monitor", "--rate=16000", "--channels=2",
                    "--format=s16le", "--latency-msec=20",
                ],
                env=self.environment, stdout=file,
            )  # fmt: skip
            try:
                until = time.monotonic() + DEADLINE
                while path.stat().st_size == 0:
                    assert time.monotonic() < until, "nothing is recorded"
                yield result
            finally:
                recorder.send_signal(signal.SIGTERM)
                recorder.wait()
        both = np.fromfile(path, "<i2").reshape(-1, 2).astype(np.float32) / 32768
        result += [both[:, 0], both[:, 1]]

    def close(self) -> None:
        self._empty_room()
        self._server.terminate()
        self._server.wait()
        self._log.close()


_LISTEN = (
    "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); "
    "from assistant.commands import main; main()"
)
"""Ctrl-C ends it also where a shell has started the tests in the background, deaf to it."""


class Listening:
    """`benchcall listen` on that server; what it prints is read line by line."""

    def __init__(self, pulse: Pulse, *options: str) -> None:
        self.started = time.monotonic()
        self.lines: list[str] = []
        self._new: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self.process = subprocess.Popen(
            [
                sys.executable, "-c", _LISTEN, "listen",
                "--device", "workshop_microphone", "--speaker", "workshop_loudspeaker", *options,
            ],
            env=pulse.environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT, text=True,
        )  # fmt: skip
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self._new.put(line.rstrip("\n"))
        self._new.put(None)

    def until(self, part: str, seconds: float = DEADLINE) -> str:
        """The next line with this part in it; fails when there is none."""
        end = time.monotonic() + seconds
        while True:
            try:
                line = self._new.get(timeout=max(0.0, end - time.monotonic()))
            except queue.Empty:
                line = None
            assert line is not None, f"no {part!r} in:\n" + "\n".join(self.lines)
            self.lines.append(line)
            if part in line:
                return line

    def press(self, key: str) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(key)
        self.process.stdin.flush()

    def end(self) -> int:
        """Ctrl-C; gives the exit code. All lines can be had afterwards."""
        self.process.send_signal(signal.SIGINT)
        code = self.process.wait(timeout=DEADLINE)
        while (line := self._new.get()) is not None:
            self.lines.append(line)
        return code

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.process.kill()
        self.process.wait()
        self._reader.join()
        for pipe in (self.process.stdin, self.process.stdout):
            assert pipe is not None
            with contextlib.suppress(OSError):
                pipe.close()
