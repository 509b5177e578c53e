"""What becomes of sound that nobody means for the assistant: noises, music, chatter, the radio.

    python tests/benchmarks/false_readings.py [--hours 1] [--seed 1] [--expect] [--only KIND…]

Each kind plays for its share of the hours through endpointing, the real recognisers and settling,
into a session like a technician's. Printed for each kind: utterances that the endpointer gave,
readings accepted, readings asked about, other entries accepted (a context, an observation, a
command obeyed), and how often it was answered aloud; at the end the hours and, where no reading was
accepted, the bound 3/T on their rate (95 %). With ``--expect`` a bare number is a reading all the
time, as in a guided round: the harder case.

The chatter is synthetic speech (eSpeak NG, flite where it is here) of sentences with numbers of
chance and words of the trade in them, none a reading or a command; the music is made in code.
"""

from __future__ import annotations

import argparse
import re
import shutil
import subprocess
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import soxr
from numpy.random import Generator
from numpy.typing import NDArray
from scipy.signal import butter, sosfilt

from assistant.audio.noise import broadband, fan, hum, impulses, motor
from assistant.audio.recording import read
from assistant.audio.segments import utterances
from assistant.audio.utterance import RATE
from assistant.hearing.ears import Ears, open_ears
from assistant.open_assistant import open_assistant
from assistant.profile import load_profile, load_spoken
from assistant.record.store import Store
from assistant.speaking.voice import EspeakVoice

Samples = NDArray[np.float32]
Kind = Callable[[Generator], Samples]
PIECE = 30
"""Seconds made at once."""
LEVELS_DB = (-45.0, -12.0)
VOICES = ("en-us+m3", "en-us+f2", "en-us+f4", "en+f3", "en-us+m7", "en-gb-scotland+m2")
FLITE = ("slt", "rms", "awb", "kal16")
CHATTER = """
Did you see the game last night, they won {n} to {n} in the end.
I will be back at {n} past {n}, put the kettle on.
Tomorrow {n} degrees in the morning and rain from the west.
Traffic is heavy on the ring road, allow another {n} minutes.
Could you hand me the other screwdriver, no, the small one.
My brother bought a boat and it sank before he had paid for it.
The train at {n} {n} is cancelled, the next one leaves at {n} {n}.
We need {n} more boxes of those and a roll of tape.
She said she would ring on Monday but nobody has heard from her.
Number {n} this week, for the {n}th time, a song about the summer.
That will be {n} pounds and {n} pence, please.
He is {n} and still climbs on every roof himself.
Turn left at the second lights and then go on for about {n} miles.
The shop shuts at half past five, so somebody has to go now.
In the year nineteen {n} we had snow up to the windows.
Where did I leave the keys, they were on the bench a minute ago.
{n} people came to the meeting and nobody knew why.
Read me the address again, was it {n} or {n}.
I told him, that dog is going to bite somebody one day.
Our prices are down by {n} percent until the end of the month.
What time is it, almost noon, then let us have something to eat.
Call us now on {n} {n}, {n} {n} {n}.
The front of the house wants painting and so does the rear.
Good morning, here is the news at {n} with no news at all.
Is it still raining out there, it has been like this for weeks.
He weighs {n} kilos and wants to run the marathon.
That is the wrong way round, the blue one goes on top.
It is a quality programme for people who like gardens.
Stand over there and hold this for me, will you.
The battery in my phone is flat again.
Minus {n} tonight, they say, so drain the hose before you go.
Page {n}, no, {n}, there it is, the drawing with the gearbox.
The one in the front row is my cousin, the one behind him too.
Somebody left {n} of them in the van with the door open.
Who parked across the gate, it is the white one, I think.
A boundary dispute, that is what it was, over a hedge.
They dock in Dover at {n} and then it is {n} hours by road.
I would like a number {n} with rice and two of the {n}.
Good signal up there, you can ring from the hill, but not down here.
He wants {n} volts for his train set, I ask you.
The left one is loose, the right one is gone, and it was new in May.
Pass, fail, pass, that is all they ever write on it.
Take {n} from {n} and what have you got.
She moved house again, number {n}, with the green door.
Then he read it back to her once more, and she was not listening.
Close the door, will you, there is a draught.
Whatever comes next, they will want us to sweep the yard as well.
There is a correction in the paper, it was not {n} but {n}.
My guide in Rome knew {n} churches and one good bar.
Ten four, that is what they say on the radio in films.
It has done {n} thousand miles and the clutch is fine.
I do not know why, ask the man who built it.
Two tickets for the {n} o'clock, and where are the seats.
He made her say it again, and slowly this time.
""".strip().splitlines()


def sentence(rng: Generator) -> str:
    """One of CHATTER, with numbers in it that are said in ordinary life."""
    most = [12, 12, 30, 60, 100, 100, 200, 1000]
    words = CHATTER[rng.integers(len(CHATTER))]
    return re.sub("{n}", lambda _: str(rng.integers(1, most[rng.integers(len(most))])), words)


def noise(make: Callable[..., Samples], **given: float) -> Kind:
    return lambda rng: make(PIECE * RATE, rng, **given)


def silence(rng: Generator) -> Samples:
    return np.zeros(PIECE * RATE, np.float32)


def impact_wrench(rng: Generator) -> Samples:
    """Bursts of a second or three, 15 to 40 blows a second, over the hiss of air."""
    out = 0.05 * broadband(PIECE * RATE, rng)
    at = 0
    while at < len(out):
        length = round(rng.uniform(0.6, 3.0) * RATE)
        part = out[at : at + length]
        blows = impulses(len(part), rng, per_second=rng.uniform(15, 40))
        part += blows + 0.5 * motor(len(part), rng, hertz=rng.uniform(150, 350))
        at += length + round(rng.uniform(0.5, 4.0) * RATE)
    return out


def breath(rng: Generator) -> Samples:
    """Breathing into the microphone: rushes of half a second to two, shaped like an open mouth."""
    out = np.zeros(PIECE * RATE, np.float32)
    at = 0
    while at < len(out):
        length = round(rng.uniform(0.5, 2.0) * RATE)
        part = out[at : at + length]
        rush = sosfilt(butter(2, [rng.uniform(200, 600), rng.uniform(1500, 4000)], "bandpass",
                              fs=RATE, output="sos"), broadband(len(part), rng))  # fmt: skip
        part += (rush * np.hanning(len(part))).astype(np.float32)
        at += length + round(rng.uniform(0.3, 2.0) * RATE)
    return out


def music(rng: Generator) -> Samples:
    """Chords and a tune with drums, as from a radio on the shelf."""
    beat = round(RATE * 60 / rng.uniform(70, 150))
    out = np.zeros(PIECE * RATE, np.float32)
    scale = 220.0 * 2 ** (np.array([0, 2, 4, 5, 7, 9, 11, 12]) / 12)
    for at in range(0, len(out) - beat, beat):
        root = rng.integers(0, 5)
        notes = [*(scale[(root + step) % 8] for step in (0, 2, 4)), 2 * scale[rng.integers(0, 8)]]
        time = np.arange(beat) / RATE
        for pitch in notes:
            trill = 1 + 0.01 * np.sin(2 * np.pi * 5.5 * time)
            voice = sum(np.sin(2 * np.pi * pitch * k * time * trill) / k for k in range(1, 6))
            out[at : at + beat] += (voice * np.exp(-2 * time)).astype(np.float32) / 4
        drum = broadband(beat, rng) * np.exp(-30 * time)
        out[at : at + beat] += drum.astype(np.float32)
    return out


class Talk:
    """People and the radio talking, none of it to the assistant."""

    def __init__(self, flite: bool) -> None:
        self._flite = shutil.which("flite") if flite else None

    def say(self, words: str, rng: Generator) -> Samples:
        if self._flite and rng.random() < 0.5:
            return self._say_flite(words, rng)
        voice = EspeakVoice(VOICES[rng.integers(len(VOICES))], int(rng.integers(130, 200)))
        sound, rate = voice.say(words)
        voice.close()
        return np.asarray(soxr.resample(sound, rate, RATE), np.float32)

    def _say_flite(self, words: str, rng: Generator) -> Samples:
        assert self._flite is not None
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "said.wav"
            voice = FLITE[rng.integers(len(FLITE))]
            subprocess.run([self._flite, "-voice", voice, "-t", words, "-o", path], check=True)
            return np.asarray(read(path), np.float32)

    def chatter(self, rng: Generator) -> Samples:
        out = 0.003 * broadband(PIECE * RATE, rng, 1.0)
        at = RATE
        while True:
            said = self.say(sentence(rng), rng)
            said = said * np.float32(rng.uniform(0.3, 1.0))
            if at + len(said) > len(out):
                return out
            out[at : at + len(said)] += said
            at += len(said) + round(rng.uniform(0.3, 3.0) * RATE)

    def radio(self, rng: Generator) -> Samples:
        """The band of a small loudspeaker, with music or hiss behind the speech."""
        behind = music(rng) if rng.random() < 0.5 else broadband(PIECE * RATE, rng, 1.0)
        sound = self.chatter(rng) + behind * np.float32(rng.uniform(0.01, 0.1))
        band = butter(4, [300, 3400], "bandpass", fs=RATE, output="sos")
        return np.asarray(sosfilt(band, sound), np.float32)


def kinds(flite: bool = True) -> dict[str, Kind]:
    """``flite``: whether that voice speaks too, where it is here."""
    talk = Talk(flite)
    return {
        "silence": silence,
        "hiss": noise(broadband),
        "rumble": noise(broadband, exponent=2.0),
        "hum": noise(hum),
        "mower motor": noise(motor),
        "fan": noise(fan),
        "dropped tools": noise(impulses),
        "impact wrench": impact_wrench,
        "breath": breath,
        "music": music,
        "chatter": talk.chatter,
        "radio": talk.radio,
    }


def blocks(make: Kind, rng: Generator, seconds: float) -> Iterator[Samples]:
    for _ in range(max(1, round(seconds / PIECE))):
        sound = make(rng)
        peak = float(np.max(np.abs(sound), initial=0.0))
        level = 10 ** (rng.uniform(*LEVELS_DB) / 20)
        yield np.asarray(sound * (level / peak if peak > 0 else 0.0), np.float32)


def play(
    name: str, make: Kind, ears: Ears, seconds: float, seed: int, expect: bool
) -> Counter[str]:
    found: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        assistant = open_assistant(
            Store(Path(folder)),
            load_profile(),
            ears=ears,
            trusted=ears.trusted,
            keep_audio=False,
            expected=("guide_signal", "front") if expect else None,
        )
        rng = np.random.default_rng([seed, len(name), *name.encode()])
        for utterance in utterances(blocks(make, rng, seconds), name):
            found["utterances"] += 1
            turn = assistant.hear(utterance)
            found["answered"] += any(reply.spoken for reply in turn.replies)
            for one in turn.settled:
                kind = re.sub(r"Said$", "", type(one.statement).__name__).lower()
                if kind == "notunderstood":
                    continue
                what = kind if kind == "reading" else "other"
                found[f"{what} {one.status}"] += 1
                heard = "; ".join(f"{ear}: {words}" for ear, words in one.heard)
                print(f"    {name} {utterance.start:.1f} s, {kind} {one.status}: {heard}")
        assistant.close()
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hours", type=float, default=1.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--expect", action="store_true")
    makers = kinds()
    parser.add_argument("--only", nargs="+", choices=makers, default=list(makers))
    given = parser.parse_args()
    makers = {name: makers[name] for name in given.only}
    columns = (
        "utterances", "reading accepted", "reading asked", "other accepted", "other asked",
        "answered",
    )  # fmt: skip
    seconds = given.hours * 3600 / len(makers)
    total: Counter[str] = Counter()
    rows = []
    with open_ears(load_profile(), load_spoken()) as ears:
        print(f"ears: {ears.description}; seed {given.seed}; expecting: {given.expect}")
        for name, make in makers.items():
            found = play(name, make, ears, seconds, given.seed, given.expect)
            total += found
            rows.append((name, found))
    minutes = max(1, round(seconds / PIECE)) * PIECE / 60
    print(f"{'':15}" + "".join(f"{column:>18}" for column in ("minutes", *columns)))
    for name, found in [*rows, ("all", total)]:
        time = minutes * (len(makers) if name == "all" else 1)
        print(f"{name:15}{time:18.1f}" + "".join(f"{found[c]:18}" for c in columns))
    hours = minutes * len(makers) / 60
    if total["reading accepted"] == 0:
        print(f"no reading accepted in {hours:.2f} h: fewer than {3 / hours:.2f} an hour (95 %)")
    else:
        print(f"{total['reading accepted']} readings accepted in {hours:.2f} h")


if __name__ == "__main__":
    main()
