"""The screen at the bench: the running session in figures that are read across the room.

The page listens to server-sent events; each is the whole of what is shown. A browser without
script loads the page again every few seconds.
"""

from __future__ import annotations

import json
from collections.abc import AsyncIterator

import anyio
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse
from starlette.routing import Route

from assistant.review.desk import desk_of
from assistant.review.rendering import page
from assistant.review.running import Running
from assistant.review.tabs import Tab

EVERY = 0.25
"""Seconds between two looks at the files: a reading is on the screen before it is said back."""
STILL_HERE = 40
"""Looks without news after which a comment is sent, so that a browser gone away is noticed."""


def live(request: Request) -> Response:
    return page(request, "live.html.jinja", now=Running(desk_of(request).store).look())


def events(request: Request) -> Response:
    return StreamingResponse(
        told(request, Running(desk_of(request).store)),
        media_type="text/event-stream",
        headers={"X-Accel-Buffering": "no"},
    )


async def told(request: Request, running: Running) -> AsyncIterator[str]:
    """Ends when the browser goes away or its time is over; the server ends it when it stops."""
    yield "retry: 2000\n\n"
    quiet = 0
    while not await request.is_disconnected():
        news = await run_in_threadpool(running.look)
        quiet = 0 if news is not None else quiet + 1
        if news is not None:
            yield f"event: session\ndata: {json.dumps(news)}\n\n"
        elif quiet % STILL_HERE == 0:
            if not request.state.still_in():
                return
            yield ": still here\n\n"
        await anyio.sleep(EVERY)


TAB = Tab("Live", "/live", [Route("/live", live), Route("/live/events", events)])
