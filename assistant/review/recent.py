"""Sessions that came or grew since the server began: found without looking at all the others."""

from __future__ import annotations

from dataclasses import dataclass, field
from threading import Lock

from assistant.depot.database import Depot
from assistant.depot.refresh import refresh_one, stamp_of

NEWEST = 50
"""A session further back that another process changes is seen when it is opened."""


@dataclass(slots=True)
class Recent:
    """Looks only at the newest sessions, and into those whose files have changed since its last
    look; its first look reads them all."""

    depot: Depot
    _listed: int = -1
    _stamps: dict[str, str] = field(default_factory=dict)
    _one_at_a_time: Lock = field(default_factory=Lock)

    def look(self) -> None:
        """Brings the index up to date with them. Raises RecordError when it can't be written."""
        with self._one_at_a_time:
            self._list()
            store = self.depot.store
            for name, known in self._stamps.items():
                stamp = stamp_of(store.folder / name, "")
                if stamp != known:
                    refresh_one(self.depot, name)
                    self._stamps[name] = stamp

    def _list(self) -> None:
        store = self.depot.store
        try:
            changed = store.folder.stat().st_mtime_ns
        except OSError:
            return
        if changed == self._listed:
            return
        self._listed = changed
        newest = store.names()[-NEWEST:]
        self._stamps = {name: self._stamps.get(name, "") for name in newest}
