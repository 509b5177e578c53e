"""Puts an assistant together: profile, parser, ears that are here, and the place of its record."""

from __future__ import annotations

from assistant.conversation import Label
from assistant.profile import load_spoken
from assistant.profile.schema import Profile
from assistant.record.session_record import SessionRecord
from assistant.record.store import Store
from assistant.session import Assistant
from assistant.settling.doubts import Trusted, nobody
from assistant.turn import Ears
from assistant.wording.parser import Parser


def open_assistant(
    store: Store,
    profile: Profile,
    *,
    ears: Ears | None = None,
    trusted: Trusted = nobody,
    models: dict[str, str] | None = None,
    expected: Label | None = None,
    who: str = "",
    unit: str = "",
    keep_audio: bool = True,
) -> Assistant:
    """An assistant whose sessions lie in ``store``. ``unit`` names the mower of what is said
    before "unit …" is; ``models`` are the hashes of the recognisers' models, by ear."""

    def open_record(named: str) -> SessionRecord:
        return store.create(
            profile, who=who, unit=named or unit, models=models, keep_audio=keep_audio
        )

    parser = Parser(profile, load_spoken())
    return Assistant(open_record, profile, parser, ears, trusted, expected)
