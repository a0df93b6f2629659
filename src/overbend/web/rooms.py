"""Everything about pieces and the shop that needs what computes."""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable
from importlib import import_module
from pathlib import Path

from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Route, WebSocketRoute
from starlette.websockets import WebSocket

from overbend.book.us_units import reader_of
from overbend.errors import OverbendError
from overbend.project import json_schema
from overbend.project.jsonschema import schema_at
from overbend.units import System
from overbend.web.devices import Devices
from overbend.web.exports import Exports
from overbend.web.live import Hub, talk
from overbend.web.shop.place import Page, Shop
from overbend.web.shop.routes import shop_routes
from overbend.web.solid import plotting_script
from overbend.web.store import Store
from overbend.web.trace_routes import trace_routes
from overbend.web.uploads import look_at_drawing, take_drawing

__all__ = ["PieceRooms"]


class PieceRooms:
    """Handlers of the routes, with what they share.

    Parameters
    ----------
    page : fills a template.
    store : the folder of projects.
    ledger : file of the shop's ledger; None: where the command keeps it.
    devices : who else is let in; None: this machine only.
    now : seconds since 1970.
    """

    def __init__(
        self,
        page: Page,
        store: Store,
        ledger: Path | None,
        devices: Devices | None,
        now: Callable[[], float],
    ) -> None:
        self.store, self.hub = store, Hub()
        self.exports = Exports(self.hub)
        self._shop = shop_routes(page, store, self.hub, Shop(ledger), devices, now)

    def routes(self) -> list[BaseRoute]:
        """Every address that is answered."""
        return [
            Route("/new", self.new, methods=["POST"]),
            Route("/copy", self._changing(self.copy), methods=["POST"]),
            Route("/rename", self._changing(self.rename), methods=["POST"]),
            Route("/delete", self._changing(self.delete), methods=["POST"]),
            Route("/schema.json", self.schema),
            Route("/plotly.js", self.plotting),
            Route("/file/{name}/{id:path}", self.file),
            Route("/book/{id:path}", self.book, methods=["POST"]),
            Route("/drawing/{id:path}", self.drawing, methods=["POST"]),
            *trace_routes(self.store, self.hub),
            WebSocketRoute("/live/{id:path}", self.live),
            *self._shop,
        ]

    def warm(self) -> None:
        """Import what the first answers will ask for, in the order they ask."""
        for name in ("scipy.special", "scipy.linalg"):
            import_module(name)
        schema_at(())

    async def close(self) -> None:
        """Write everything when the server stops."""
        await self.hub.close_all()

    async def new(self, request: Request) -> Response:
        """A new piece from an example."""
        form = await request.form()
        id = self.store.new(str(form.get("example", "")), str(form.get("name", "")).strip())
        return RedirectResponse(f"/p/{id}", 303)

    def _changing(self, act: Callable[[str, str], str]) -> Callable[[Request], Awaitable[Response]]:
        """A change of the shelf: the project is written and closed before it is touched."""

        async def handler(request: Request) -> Response:
            form = await request.form()
            id, name = str(form.get("id", "")), str(form.get("name", ""))
            await self.hub.close(self.store.path(id))
            return RedirectResponse(act(id, name), 303)

        return handler

    def copy(self, id: str, _name: str) -> str:
        """Copy a piece; where to go next."""
        self.store.duplicate(id)
        return "/"

    def rename(self, id: str, name: str) -> str:
        """Give a piece's file another name."""
        self.store.rename(id, name)
        return "/"

    def delete(self, id: str, _name: str) -> str:
        """Move a piece to the trash."""
        return f"/?trashed={self.store.delete(id).name}"

    async def live(self, socket: WebSocket) -> None:
        """The websocket of a tab."""
        try:
            path = self.store.path(socket.path_params["id"])
        except OverbendError:
            await socket.close(1008)
            return
        await talk(socket, self.hub, path)

    async def schema(self, _request: Request) -> Response:
        """The JSON Schema, from which the page makes its fields."""
        return Response(json.dumps(json_schema()), media_type="application/json")

    async def file(self, request: Request) -> Response:
        """One template, list or the whole book."""
        path = self.store.path(request.path_params["id"])
        return await self.exports.file(path, request.path_params["name"])

    async def book(self, request: Request) -> Response:
        """Begin to make the book; progress goes to the piece's tabs."""
        units = str((await request.form()).get("units", ""))
        self.exports.begin(self.store.path(request.path_params["id"]), units)
        return Response(status_code=202)

    async def drawing(self, request: Request) -> Response:
        """Take in a DXF or SVG as the curve of a part."""
        path = self.store.path(request.path_params["id"])
        async with request.form(max_files=1, max_fields=6) as form:
            session = self.hub.session(path)
            try:
                if form.get("look"):
                    return JSONResponse(await look_at_drawing(session, form))
                return Response(await take_drawing(session, form))
            except OverbendError as error:
                shown = form.get("shown")
                system: System | None = "in" if shown == "in" else "mm" if shown else None
                raise reader_of(session.text, system).error(error) from error

    async def plotting(self, _request: Request) -> Response:
        """The plotting library, asked for when the piece is first looked at in space."""
        kept = {"cache-control": "private, max-age=86400"}
        return FileResponse(plotting_script(), media_type="text/javascript", headers=kept)
