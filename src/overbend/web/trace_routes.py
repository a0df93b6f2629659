"""Addresses of the picture that is traced: sending it, looking at it, moving it, removing it."""

from __future__ import annotations

import asyncio
import json
from pathlib import Path
from typing import Any

from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import BaseRoute, Route

from overbend.book.us_units import Reader
from overbend.errors import DrawingFileError, OverbendError, ProjectError
from overbend.web import tracing
from overbend.web.live import Hub
from overbend.web.store import Store
from overbend.web.words import words

__all__ = ["trace_routes"]

_LONGEST = 20_000  # bytes of a record


def trace_routes(store: Store, hub: Hub) -> list[BaseRoute]:
    """Routes of the traced picture.

    Parameters
    ----------
    store : the folder of projects.
    hub : open projects, whose tabs hear of every change.
    """
    pages = _Pages(store, hub)
    return [
        Route("/trace/{id:path}", pages.record, methods=["GET"]),
        Route("/trace/{id:path}", pages.send, methods=["POST"]),
        Route("/trace/{id:path}", pages.place, methods=["PUT"]),
        Route("/trace/{id:path}", pages.remove, methods=["DELETE"]),
        Route("/trace-picture/{id:path}", pages.picture, methods=["GET"]),
    ]


class _Pages:
    """Handlers, with what they share."""

    def __init__(self, store: Store, hub: Hub) -> None:
        self.store, self.hub = store, hub

    def _file(self, request: Request) -> Path:
        return self.store.path(request.path_params["id"])

    async def record(self, request: Request) -> Response:
        """Where the picture lies; nothing when there is none."""
        return JSONResponse(tracing.as_data(self._file(request)))

    async def picture(self, request: Request) -> Response:
        """The picture itself."""
        file = tracing.picture_of(self._file(request))
        if file is None:
            return Response(words("trace.gone"), 404, media_type="text/plain")
        return FileResponse(file, media_type=tracing.MEDIA[file.suffix])

    async def send(self, request: Request) -> Response:
        """Take in a picture; one that is only looked at is checked and not kept."""
        file = self._file(request)
        async with request.form(max_files=1, max_fields=2) as form:
            upload = form.get("picture")
            if not isinstance(upload, UploadFile):
                return _refused(
                    DrawingFileError(words("trace.none"), allowed=words("trace.allowed"))
                )
            data = await upload.read(tracing.LARGEST_PICTURE + 1)
            name = Path((upload.filename or "?").replace("\\", "/")).name
            lies, look = form.get("placed"), form.get("look")
        before = tracing.kept(file)
        try:
            _, width, height = tracing.checked(data, name)
            if look:
                return JSONResponse(None)
            where = tracing.Placed(width=width, height=height)
            if isinstance(lies, str):
                where = tracing.read_placed(_record(lies))
            await asyncio.to_thread(tracing.keep_picture, file, data, name)
            tracing.put_placed(file, where)
        except OverbendError as error:
            return _refused(error)
        return await self._told(file, before)

    async def place(self, request: Request) -> Response:
        """Move the picture, or give it its scale by two points and their distance."""
        file, unit = self._file(request), "mm"
        before = tracing.kept(file)
        try:
            asked = await _body(request)
            unit = "in" if asked.get("unit") == "in" else "mm"
            if before.where is None:
                raise DrawingFileError(words("trace.gone"))
            where = tracing.read_placed(asked.get("placed"))
            if "text" in asked:
                marks = tracing.read_marks(asked.get("marks"))
                if not marks:
                    raise ProjectError(words("trace.placement"), allowed=words("trace.marks"))
                mm = tracing.distance_of(str(asked["text"]), unit)  # type: ignore[arg-type]  # one of the two
                where = tracing.scaled(where, marks, mm, str(asked.get("level", "none")))
            tracing.put_placed(file, where)
        except OverbendError as error:
            reader = Reader("in") if unit == "in" else Reader("mm")
            return _refused(reader.error(error))
        return await self._told(file, before)

    async def remove(self, request: Request) -> Response:
        """Take the picture away."""
        file = self._file(request)
        before = tracing.kept(file)
        tracing.remove_picture(file)
        return await self._told(file, before)

    async def _told(self, file: Path, before: tracing.Kept) -> Response:
        """Answer, and tell every tab of the project, for which it is a step that can be undone."""
        session = self.hub.open.get(file.resolve())
        if session is not None:
            await session.traced(before)
        return JSONResponse(tracing.as_data(file))


async def _body(request: Request) -> dict[str, Any]:
    """The request's record."""
    data = b""
    async for piece in request.stream():
        data += piece
        if len(data) > _LONGEST:
            raise ProjectError(words("trace.placement"))
    return _record(data)


def _record(text: str | bytes) -> dict[str, Any]:
    """A record from its JSON."""
    try:
        asked = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise ProjectError(words("trace.placement")) from error
    if not isinstance(asked, dict):
        raise ProjectError(words("trace.placement"))
    return asked


def _refused(error: OverbendError) -> Response:
    """An error in plain words, one line each."""
    said = [error.problem, error.allowed, error.todo]
    return Response("\n".join(s for s in said if s), 400, media_type="text/plain")
