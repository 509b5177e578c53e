"""Puts the bench together: ears, devices, screen, keys and voice around one assistant."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from assistant.audio.microphone import Microphone
from assistant.audio.sound_devices import look_again
from assistant.errors import UnknownNameError
from assistant.live.bench import Bench, Manner
from assistant.live.devices import chosen
from assistant.live.ears_process import EarsProcess
from assistant.live.keys import open_keys
from assistant.live.listener import Listener
from assistant.live.screen import open_screen
from assistant.open_assistant import open_assistant
from assistant.profile import load_profile
from assistant.profile.schema import Profile
from assistant.record.store import PRIVACY_NOTE, Store
from assistant.report.transcript import Transcript
from assistant.speaking.loudspeaker import Loudspeaker
from assistant.speaking.voice import open_voice


@dataclass(frozen=True, slots=True)
class Asked:
    """What the command line asks for."""

    device: str = ""
    speaker: str = ""
    profile: str = "robot_mower"
    who: str = ""
    unit: str = ""
    session: str = ""
    round: str = ""
    headset: bool = False
    push_to_talk: bool = False
    keep_audio: bool = True
    silent: bool = False
    platform_voice: bool = False


def listen_at_bench(asked: Asked, ears: EarsProcess, tell: Callable[[str], None]) -> None:
    """Listens until Ctrl-C; raises a BenchcallError where it can't begin. ``ears`` are made from
    the same profile."""
    trade = load_profile(asked.profile)
    round_words = _round_words(trade, asked.round)
    microphone_name = chosen("input", asked.device)
    speaker_name = chosen("output", asked.speaker)
    store = Store()
    if store.first_run and asked.keep_audio:
        tell(PRIVACY_NOTE)
    voice = open_voice(asked.platform_voice)
    loudspeaker = Loudspeaker(voice, speaker_name)
    if loudspeaker.silent and not asked.silent:
        tell(f"Not spoken, only shown: {loudspeaker.silent}")
    ears.ready()
    assistant = open_assistant(
        store,
        trade,
        ears=ears,
        trusted=ears.trusted,
        models=ears.models,
        who=asked.who,
        unit=asked.unit,
        keep_audio=asked.keep_audio,
    )
    broken_off = None
    if asked.session:
        broken_off = store.open(asked.session, trade, keep_audio=asked.keep_audio)
    transcript = Transcript(assistant)
    listener = Listener(assistant)
    named = microphone_name or "as the system has it"
    tell(f"Ears: {ears.description}. Microphone: {named}.")
    tell("Listening; end with Ctrl-C.")
    try:
        with open_keys() as keys, open_screen(microphone_name or "") as screen:
            manner = Manner(asked.headset, asked.push_to_talk, asked.silent)
            bench = Bench(
                assistant, listener, loudspeaker, screen, transcript, keys, manner, ears.told
            )
            if broken_off is not None:
                bench.say(assistant.take_up(broken_off))
            if round_words:
                bench.say(assistant.type(f"start round {round_words}"))
            bench.run(lambda: Microphone(microphone_name), look_again)
    except KeyboardInterrupt:
        loudspeaker.stop()
    finally:
        listener.close()
        assistant.close()
        voice.close()
    transcript.end()


def _round_words(profile: Profile, name: str) -> str:
    """The spoken name of the round that is meant by its id or a spoken name, "" for none."""
    if not name:
        return ""
    for round_ in profile.round:
        if name in (round_.id, *round_.spoken):
            return round_.spoken[0]
    here = ", ".join(round_.id for round_ in profile.round)
    raise UnknownNameError(f"There is no round {name!r} in this profile. Here are: {here}.")
