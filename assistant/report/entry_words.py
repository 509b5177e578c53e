"""One entry in words: what it is of, what was read or seen, and what held then."""

from __future__ import annotations

from typing import NamedTuple

from assistant.profile.schema import Profile
from assistant.record.session import Observation, Reading
from assistant.speaking.label import context_words, shown_label
from assistant.speaking.readback import shown_value


class EntryWords(NamedTuple):
    """``context`` is "" for what was seen."""

    label: str
    value: str
    context: str


def entry_words(item: Reading | Observation, profile: Profile) -> EntryWords:
    """An id that the profile lacks is shown in plain words."""
    if isinstance(item, Reading):
        return EntryWords(
            shown_label(profile, item.quantity, item.position),
            shown_value(item.state, item.value, item.unit),
            ", ".join(context_words(profile, item.context, item.context)),
        )
    known = next((o for o in profile.observation if o.id == item.item), None)
    title = known.title if known else item.item.replace("_", " ")
    choices = {c.id: c.spoken[0] for c in known.choice} if known else {}
    return EntryWords(title, choices.get(item.value, item.value), "")
