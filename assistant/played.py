"""One known session played through the assistant, from its recordings to its report.

Sessions are played in processes beside one another, so that a demo of four takes as long as two
on two cores; what each would print comes back as text.
"""

from __future__ import annotations

import contextlib
import io
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from assistant.audio.recording import read_blocks
from assistant.audio.segments import utterances
from assistant.errors import SpeechError
from assistant.hearing.ears import Ears, open_ears
from assistant.open_assistant import open_assistant
from assistant.profile import load_profile, load_spoken
from assistant.record.store import Store
from assistant.report import report_of, write_report
from assistant.report.transcript import Transcript
from assistant.speaking.loudspeaker import to_wav
from assistant.speaking.voice import open_voice
from assistant.truth import Compared, KnownSession, compare


@dataclass(frozen=True, slots=True)
class Played:
    """What was printed, which ears heard it, and how every value compares with the truth."""

    text: str
    ears: str
    compared: tuple[Compared, ...]


@cache
def _ears() -> Ears:
    """Opened once in each process: making them ready takes longer than hearing a sentence."""
    return open_ears(load_profile(), load_spoken())


def play(known: KnownSession, out: Path, quiet: bool) -> Played:
    """Hears the recordings of ``known``; its journal, read-back (WAV) and report go to ``out``.

    Raises AudioError, ModelError or RecordError where a part of it can't be had or written.
    """
    profile = load_profile()
    compared: list[Compared] = []
    printed = io.StringIO()
    ears = _ears()
    with contextlib.redirect_stdout(printed):
        assistant = open_assistant(
            Store(out),
            profile,
            ears=ears,
            trusted=ears.trusted,
            models=ears.models,
            who=known.who,
            unit=known.unit,
        )
        transcript = Transcript(assistant, quiet=quiet)
        for recording in known.recordings:
            if recording.verify_only:
                continue
            name = f"{known.name}/{recording.path.name}"
            transcript.source(name)
            for utterance in utterances(read_blocks(recording.path), name):
                transcript.show(assistant.hear(utterance))
                transcript.tell(ears.told())
            compared += compare(recording, transcript.readings_from(name))
        diagnosed = transcript.end()
        voice = open_voice()
        try:
            to_wav(transcript.replies, out / f"{known.name}.wav", voice)
        except SpeechError as error:
            transcript.tell([str(error)])
        voice.close()
        for session, diagnosis in diagnosed:
            report = report_of(session, profile, diagnosis)
            for path in write_report(report, out, ["html"]):
                print(f"Report: {path}")
        assistant.close()
    return Played(printed.getvalue(), ears.description, tuple(compared))
