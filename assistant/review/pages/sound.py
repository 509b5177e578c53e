"""The sound behind a reading: the very file whose hash the journal holds, by ranges."""

from __future__ import annotations

import hashlib
import re

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from assistant.errors import RecordError
from assistant.record.audio import AudioFolder
from assistant.review.desk import desk_of
from assistant.review.tabs import Tab

_NAME = re.compile(r"([0-9a-f]{64})\.wav")


def sound(request: Request) -> Response:
    store = desk_of(request).store
    session = request.path_params["id"]
    match = _NAME.fullmatch(request.path_params["name"])
    if match is None or session not in store:
        raise HTTPException(404)
    audio = AudioFolder(store.path(session) / "audio")
    path = audio.path(match[1])
    if path is None:
        why = f" It was erased: {audio.why_erased(match[1])}." if audio.erased(match[1]) else ""
        raise HTTPException(404, f"This sound is not here.{why} Its hash stays in the record.")
    if hashlib.sha256(path.read_bytes()).hexdigest() != match[1]:
        raise RecordError(
            "This file is not the sound that was recorded: its hash is another. Restore it from a "
            "backup; the reading's words and values are not touched by this."
        )
    return FileResponse(path, media_type="audio/wav")


TAB = Tab("", "", [Route("/sessions/{id}/sounds/{name}", sound)])
