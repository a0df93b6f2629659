"""Addresses whose answers need everything imported; asked for before that, they wait.

The pages themselves need next to nothing. They are answered at once, and what computes is
imported meanwhile.
"""

from __future__ import annotations

import asyncio
import gc
from collections.abc import Callable, Sequence
from typing import Protocol

from starlette.datastructures import URLPath
from starlette.responses import Response
from starlette.routing import BaseRoute, Match, NoMatchFound, Router
from starlette.types import ASGIApp, Receive, Scope, Send

__all__ = ["Late", "Rooms"]


class Rooms(Protocol):
    """What is imported late."""

    def routes(self) -> Sequence[BaseRoute]:
        """Every address it answers."""

    def warm(self) -> None:
        """Import what the first answers will ask for."""

    async def close(self) -> None:
        """Write what is unsaved."""


class Late(BaseRoute):
    """Answers what no route before it answers, once everything is imported.

    Parameters
    ----------
    make : imports and makes it; called once, in a thread of its own.
    """

    def __init__(self, make: Callable[[], Rooms]) -> None:
        self._make = make
        self._loading: asyncio.Task[tuple[Rooms, Router]] | None = None
        self._warming: asyncio.Task[None] | None = None

    def begin(self) -> asyncio.Task[tuple[Rooms, Router]]:
        """Begin to import, unless that was begun before."""
        if self._loading is None:
            self._loading = asyncio.create_task(self._load())
        return self._loading

    async def _load(self) -> tuple[Rooms, Router]:
        rooms = await asyncio.to_thread(self._make)
        router = Router(list(rooms.routes()), redirect_slashes=False)
        self._warming = asyncio.create_task(asyncio.to_thread(_warmed, rooms))
        return rooms, router

    async def close(self) -> None:
        """Close what was opened."""
        if self._loading is not None:
            rooms, _ = await self._loading
            await rooms.close()

    def matches(self, scope: Scope) -> tuple[Match, Scope]:
        """Every request and websocket."""
        return (Match.FULL if scope["type"] in ("http", "websocket") else Match.NONE), {}

    def url_path_for(self, name: str, /, **path_params: object) -> URLPath:
        """No address here has a name."""
        raise NoMatchFound(name, dict(path_params))

    async def handle(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer as soon as it can be answered."""
        try:
            answer: ASGIApp = (await asyncio.shield(self.begin()))[1]
        except asyncio.CancelledError:
            if scope["type"] != "http":
                raise
            answer = Response(status_code=503)  # the server is stopped while it begins
        await answer(scope, receive, send)


def _warmed(rooms: Rooms) -> None:
    """Import the last of it; what is there by then is never looked through again for garbage."""
    rooms.warm()
    gc.collect()
    gc.freeze()
