"""`benchcall demo`: the main job on recordings of a depot of our own, through the recognisers."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def demo(
    quiet: Annotated[
        bool, typer.Option("--quiet", help="Only what was found and how well.")
    ] = False,
    out: Annotated[Path, typer.Option(help="Folder for read-backs, reports and journals.")] = Path(
        "benchcall-demo"
    ),
) -> None:
    """Hear recorded rounds, say them back, judge them, and compare with what was really said.

    Example: benchcall demo
    """
    from assistant.audio.recording import read_blocks
    from assistant.audio.segments import utterances
    from assistant.diagnosis.diagnose import diagnose
    from assistant.errors import SpeechError
    from assistant.hearing.ears import open_ears
    from assistant.open_assistant import open_assistant
    from assistant.profile import load_profile, load_spoken
    from assistant.record.store import Store
    from assistant.report import report_of, write_report
    from assistant.report.tally import show_tally
    from assistant.report.transcript import Transcript
    from assistant.shipped import shipped
    from assistant.speaking.loudspeaker import to_wav
    from assistant.speaking.voice import open_voice
    from assistant.truth import Compared, compare, known_sessions

    profile = load_profile()
    store = Store(out)
    compared: list[Compared] = []
    voice = open_voice()
    with open_ears(profile, load_spoken()) as ears:
        typer.echo(f"Ears: {ears.description}")
        for known in known_sessions(shipped("demo_audio")):
            assistant = open_assistant(
                store,
                profile,
                ears=ears,
                trusted=ears.trusted,
                models=ears.models,
                who=known.who,
                unit=known.unit,
            )
            transcript = Transcript(assistant, quiet=quiet)
            for recording in known.recordings:
                name = f"{known.name}/{recording.path.name}"
                transcript.source(name)
                for utterance in utterances(read_blocks(recording.path), name):
                    transcript.show(assistant.hear(utterance))
                    transcript.tell(ears.told())
                compared += compare(recording, transcript.readings_from(name))
            transcript.end()
            try:
                to_wav(transcript.replies, out / f"{known.name}.wav", voice)
            except SpeechError as error:
                transcript.tell([str(error)])
            for job in assistant.jobs:
                session = job.record.session
                report = report_of(session, profile, diagnose(session, profile))
                for path in write_report(report, out, ["html"]):
                    typer.echo(f"Report: {path}")
            assistant.close()
    voice.close()
    show_tally(compared)
    typer.echo(f"Read-backs (WAV), reports (HTML) and journals lie in {out}")
