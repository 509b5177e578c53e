"""Plays recordings whose words are known through every pair of ears, and counts what they'd accept.

Each ear hears each utterance once; then every two of them go through the rest of the way together,
trusted, so that what agreement lets through is seen.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

from assistant.audio.recording import read_blocks
from assistant.audio.segments import utterances
from assistant.audio.utterance import Utterance
from assistant.hearing.heard import EarHearing
from assistant.open_assistant import open_assistant
from assistant.profile.schema import Profile
from assistant.record.body import reading_of
from assistant.record.session import Reading
from assistant.record.store import Store
from assistant.truth import Compared, KnownRecording, KnownSession, Outcome, compare
from assistant.turn import Ears

Pair = tuple[str, str]
Hearings = Mapping[str, EarHearing]
Heard = list[tuple[KnownRecording, list[tuple[Utterance, Hearings]]]]


@dataclass(frozen=True, slots=True)
class PairResult:
    """What became of every value that was said, and of what was accepted and never said."""

    ears: Pair
    compared: tuple[Compared, ...]

    @property
    def right(self) -> int:
        """Values accepted and true."""
        return self._count(Outcome.RIGHT)

    @property
    def asked(self) -> int:
        """Values not accepted."""
        return self._count(Outcome.ASKED, Outcome.MISSED)

    @property
    def wrong(self) -> int:
        """Values accepted and false, or accepted and never said."""
        return self._count(Outcome.WRONG, Outcome.INVENTED)

    def _count(self, *outcomes: Outcome) -> int:
        return sum(one.outcome in outcomes for one in self.compared)


class _Pair:
    """Two ears that tell again what they heard."""

    def __init__(self, pair: Pair) -> None:
        self._pair = pair
        self.heard: Hearings = {}

    def listen(self, _utterance: Utterance) -> Iterator[EarHearing]:
        yield from (self.heard[ear] for ear in self._pair)


def verify_ears(
    ears: Ears,
    names: Sequence[str],
    sessions: Iterable[KnownSession],
    profile: Profile,
    folder: Path,
    tell: Callable[[str], object] | None = None,
) -> tuple[PairResult, ...]:
    """Results of all pairs of ``names``. Journals are written below ``folder``; ``tell`` is told
    each recording's name."""
    pairs = tuple(combinations(names, 2))
    compared: dict[Pair, list[Compared]] = {pair: [] for pair in pairs}
    for session in sessions:
        heard = [(rec, _hear(ears, rec, tell)) for rec in session.recordings]
        for pair in pairs:
            store = Store(folder / "-".join(pair))
            compared[pair] += _play(pair, session, heard, profile, store)
    return tuple(PairResult(pair, tuple(found)) for pair, found in compared.items())


def _hear(
    ears: Ears, recording: KnownRecording, tell: Callable[[str], object] | None
) -> list[tuple[Utterance, Hearings]]:
    if tell:
        tell(f"{recording.path.parent.name}/{recording.path.name}")
    found = utterances(read_blocks(recording.path), recording.path.name)
    return [(one, {hearing.ear: hearing for hearing in ears.listen(one)}) for one in found]


def _play(
    pair: Pair, session: KnownSession, heard: Heard, profile: Profile, store: Store
) -> list[Compared]:
    """The session as these two ears alone would have taken it down."""
    two = _Pair(pair)
    assistant = open_assistant(
        store,
        profile,
        ears=two,
        trusted=lambda _first, _second: True,
        who=session.who,
        unit=session.unit,
        keep_audio=False,
    )
    compared: list[Compared] = []
    try:
        for recording, listened in heard:
            taken: list[Reading] = []
            for utterance, hearings in listened:
                two.heard = hearings
                entries = assistant.hear(utterance).entries
                taken += (reading_of(e.id, e.at, e.body) for e in entries if e.kind == "reading")
            compared += compare(recording, taken)
    finally:
        assistant.close()
    return compared
