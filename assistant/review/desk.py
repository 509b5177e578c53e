"""What all pages share: the depot whose sessions they show, and its settings."""

from __future__ import annotations

from dataclasses import dataclass

from starlette.requests import Request

from assistant.depot.database import Depot
from assistant.record.store import Store
from assistant.review.catching_up import CatchingUp
from assistant.review.recent import Recent
from assistant.review.settings import Settings


@dataclass(frozen=True, slots=True)
class Desk:
    depot: Depot
    settings: Settings
    recent: Recent
    catching_up: CatchingUp

    @property
    def store(self) -> Store:
        return self.depot.store


def desk_of(request: Request) -> Desk:
    """The desk that the application was made for."""
    desk: Desk = request.app.state.desk
    return desk
