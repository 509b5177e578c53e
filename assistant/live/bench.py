"""The loop at the bench: hear, take down, say back; deaf while it speaks, never over anybody.

Everything happens between two blocks of sound, on one thread; hearing and speaking run beside it.
"""

from __future__ import annotations

import contextlib
import threading
import time
from collections.abc import Callable, Collection
from dataclasses import dataclass, replace

from assistant.audio.microphone import SILENT_FOR, Block, Microphone
from assistant.audio.utterance import RATE
from assistant.errors import AudioError, RecordError, UnknownNameError
from assistant.live.keys import Keys
from assistant.live.listener import Listener
from assistant.live.screen import Doing, Screen
from assistant.report.transcript import Transcript
from assistant.session import Assistant
from assistant.speaking.loudspeaker import Loudspeaker
from assistant.speaking.reply import Reply
from assistant.turn import Attended, Turn, command_of

ECHO = 0.15
"""Seconds of deafness after the last sound of the read-back: the room goes on sounding."""
LONGEST_HELD = 3.0
"""Seconds for which a reply waits for somebody to stop speaking."""
RETRY = 1.0
"""Seconds between two tries to open a microphone that has gone."""
CUTS_IN = frozenset({"disregard", "say_again", "stand_by"})
"""Commands that may be said into the read-back with a headset."""
EARS_LOST = Reply("nothing was heard of that", "the recognisers failed. say again", "asked")
TALKED_OVER = Reply("not taken down: said while I was speaking", "say again", "asked")


@dataclass(frozen=True, slots=True)
class Manner:
    """How it listens. ``headset``: the microphone does not hear the loudspeaker, so some commands
    may cut in. ``push_to_talk``: a key opens the microphone for one utterance. ``silent``: nothing
    is said aloud."""

    headset: bool = False
    push_to_talk: bool = False
    silent: bool = False


class Bench:
    """``told`` gives what the ears have to tell. ``run`` returns when ``stop`` was called."""

    def __init__(
        self,
        assistant: Assistant,
        listener: Listener,
        loudspeaker: Loudspeaker,
        screen: Screen,
        transcript: Transcript,
        keys: Keys,
        manner: Manner = Manner(),
        told: Callable[[], Collection[str]] = tuple,
    ) -> None:
        self._assistant = assistant
        self._listener = listener
        self._loudspeaker = loudspeaker
        self._screen = screen
        self._transcript = transcript
        self._keys = keys
        self._manner = manner
        self._told = told
        self._stopped = threading.Event()
        self._open = not manner.push_to_talk
        self._held: list[Reply] = []
        self._held_for = 0.0
        self._from_held: frozenset[str] = frozenset()
        self._saying = ""
        self._talked_over = False
        self._echo = 0.0
        self._gaps = 0
        self._silent = loudspeaker.silent

    def run(
        self, open_microphone: Callable[[], Microphone], look_again: Callable[[], None]
    ) -> None:
        """Listens until stopped. A microphone that goes is waited for, however long it takes; one
        that was never there raises AudioError. ``look_again`` makes new devices seen."""
        microphone: Microphone | None = open_microphone()
        while microphone is not None:
            with microphone:
                last = self._listen(microphone)
            if self._stopped.is_set():
                return
            self._screen.doing("no microphone")
            microphone = self._wait_for(open_microphone, look_again)
            if microphone is not None:
                self._listener.skip(round((time.monotonic() - last) * RATE))
                self._transcript.tell(["The microphone is back."])

    def stop(self) -> None:
        self._stopped.set()

    def say(self, turn: Turn) -> None:
        """Shows a turn and has it said as soon as nobody speaks."""
        self._transcript.show(turn)
        self._transcript.tell(self._told())
        answered = {one.answers for one in turn.settled}
        if answered & self._from_held:
            self._held.clear()  # what waits to be said is out of date
        self._from_held = frozenset(entry.id for entry in turn.entries)
        self._held += turn.replies
        if turn.replies:
            value = next((e.body.get("value") for e in turn.entries if e.kind == "reading"), None)
            self._screen.show(value or "", turn.replies[-1])

    def _listen(self, microphone: Microphone) -> float:
        """Listens until stopped or until the microphone goes; gives the time of its last block."""
        last = time.monotonic()
        while not self._stopped.is_set():
            try:
                block = microphone.read(SILENT_FOR)
            except AudioError as error:
                self._loudspeaker.stop()
                self._listener.skip(0)
                self._transcript.tell([str(error)])
                break
            last = time.monotonic()
            self._take(block, microphone)
        return last

    def _take(self, block: Block, microphone: Microphone) -> None:
        self._screen.level(block.samples)
        if block.after_gap:
            self._gaps += 1
            if self._gaps == 1:
                self._transcript.tell(
                    ["Some sound was lost, the machine is too busy; what lacks is asked again."]
                )
        if self._keys.pressed():
            self._key_pressed()
        if self._deaf(block, microphone) or not self._open:
            self._listener.skip(len(block.samples))
        else:
            self._listener.take(block)
        if self._loudspeaker.speaking and self._listener.voice_open:
            self._talked_over = True
        try:
            attended = self._listener.result()
            if attended is not None:
                self._take_down(attended)
        except RecordError as error:
            attended = None
            self.say(self._assistant.not_recorded(error))
        going_on = self._listener.voice_open or self._listener.busy
        if attended is None and not going_on:
            self._talked_over = False
        self._held_for += _seconds(block) if self._held else 0.0
        if self._held_for > LONGEST_HELD or not going_on:
            self._speak()
        self._tell_silent()
        self._screen.doing(self._doing())

    def _tell_silent(self) -> None:
        """Tells once why nothing is heard of what it says."""
        if not self._loudspeaker.speaking and self._loudspeaker.silent != self._silent:
            self._silent = self._loudspeaker.silent
            if self._silent:
                self._transcript.tell([f"Only shown, not said: {self._silent}"])

    def _deaf(self, block: Block, microphone: Microphone) -> bool:
        """Whether this block may hold the assistant's own voice."""
        if self._manner.headset:
            return False
        if self._loudspeaker.speaking:
            self._echo = ECHO
            return True
        if self._echo == ECHO:
            self._listener.skip(microphone.forget())
        self._echo = max(0.0, self._echo - _seconds(block))
        return self._echo > 0

    def _key_pressed(self) -> None:
        self._loudspeaker.stop()
        if not self._manner.push_to_talk:
            return
        if self._open:
            self._listener.finish()
        self._open = not self._open

    def _take_down(self, attended: Attended) -> None:
        if self._manner.push_to_talk:
            self._open = False
        over, self._talked_over = self._talked_over, False
        if attended.settled:
            self._screen.heard_by([ear.ear for ear in attended.heard.ears])
        if not attended.heard.ears:
            self.say(Turn(replies=(EARS_LOST,)))
        elif not over:
            self.say(self._assistant.take_down(attended))
        elif self._cuts_in(attended):
            self._loudspeaker.stop()
            self._held.clear()
            self.say(self._assistant.take_down(attended))
        elif attended.settled:
            said = attended.settled[0].heard
            heard = said[0][1] if said else ""
            self.say(Turn(replies=(replace(TALKED_OVER, shown=f"{TALKED_OVER.shown}: {heard}"),)))

    def _cuts_in(self, attended: Attended) -> bool:
        """Only commands that may, and that the read-back itself did not say."""
        commands = [command_of(one) for one in attended.settled]
        return bool(commands) and all(
            command is not None and command.command in CUTS_IN and command.heard not in self._saying
            for command in commands
        )

    def _speak(self) -> None:
        if not self._held or self._loudspeaker.speaking:
            return
        self._held_for = 0.0
        replies, self._held = self._held, []
        self._from_held = frozenset()
        self._saying = " ".join(reply.spoken for reply in replies)
        if not self._manner.silent:
            self._loudspeaker.start(replies)

    def _wait_for(
        self, open_microphone: Callable[[], Microphone], look_again: Callable[[], None]
    ) -> Microphone | None:
        """The microphone when it is back; None when stopped meanwhile."""
        while not self._stopped.wait(RETRY):
            self._loudspeaker.wait()
            look_again()
            self._loudspeaker.look_again()
            with contextlib.suppress(AudioError, UnknownNameError):
                return open_microphone()
        return None

    def _doing(self) -> Doing:
        if self._loudspeaker.speaking or self._echo > 0:
            return "speaking"
        if self._listener.busy:
            return "hearing"
        if self._manner.push_to_talk:
            return "speak now" if self._open else "press a key"
        jobs = self._assistant.jobs
        standing_by = bool(jobs) and self._assistant.conversation.standing_by
        return "standing by" if standing_by else "listening"


def _seconds(block: Block) -> float:
    return len(block.samples) / RATE
