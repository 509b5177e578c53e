"""Which labels a line names, without any number: what to measure, or what is out of tolerance."""

from __future__ import annotations

import re
from dataclasses import dataclass

from assistant.profile.load import load_spoken
from assistant.profile.schema import Profile
from assistant.wording.labels import Found, Phrases, label_phrases

Label = tuple[str, str | None]


@dataclass(frozen=True, slots=True)
class AskedFor:
    """``labels`` in the order named; a quantity without its position stands for each of them.
    ``items`` are observations, ``contexts`` the context words among it."""

    labels: tuple[Label, ...] = ()
    items: tuple[str, ...] = ()
    contexts: tuple[str, ...] = ()

    @property
    def anything(self) -> bool:
        return bool(self.labels or self.items)


class Asking:
    """Made once from a profile."""

    def __init__(self, profile: Profile) -> None:
        self._phrases: Phrases = label_phrases(profile, load_spoken())
        self._positions = {q.id: q.positions for q in profile.quantity}
        self._generic = {q.id for q in profile.quantity if q.members}
        self._meant = {
            p.id: p.quantity for p in profile.position if p.quantity not in self._generic
        }

    def read(self, line: str) -> AskedFor:
        """The quantity stays until another is named: "guide front and rear" are two labels."""
        words = re.findall(r"[a-z']+", line.lower())
        named: list[tuple[str, list[str]]] = []
        items: list[str] = []
        contexts: list[str] = []
        at = 0
        while at < len(words):
            found = self._phrases.at(words, at)
            at += found.length if found else 1
            if found is None:
                continue
            quantity, position = found.of("quantity"), found.of("position")
            if quantity is not None and quantity.id not in self._generic:
                named.append((quantity.id, []))
            elif position is not None and named and position.id in self._positions[named[-1][0]]:
                named[-1][1].append(position.id)
            elif position is not None and (meant := self._meant.get(position.id)):
                named.append((meant, [position.id]))
            elif item := found.of("observation"):
                items.append(item.id)
            elif _context(found):
                contexts.append(found.phrase)
        labels = [
            (quantity, position)
            for quantity, positions in named
            for position in positions or self._positions[quantity] or (None,)
        ]
        return AskedFor(tuple(dict.fromkeys(labels)), tuple(items), tuple(contexts))


def _context(found: Found) -> bool:
    return found.of("context") is not None or found.of("event") is not None
