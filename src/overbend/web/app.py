"""The page's server as an application: its routes, its pages, its guard."""

from __future__ import annotations

import mimetypes
import time
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Mount, Route, WebSocketRoute
from starlette.staticfiles import StaticFiles
from starlette.websockets import WebSocket

from overbend.errors import InputError, OverbendError
from overbend.project import example_names, json_schema
from overbend.web.exports import Exports
from overbend.web.guard import Guard
from overbend.web.keys import Keys
from overbend.web.live import Hub, talk
from overbend.web.store import TRASH, Store
from overbend.web.uploads import take_drawing
from overbend.web.words import ENGLISH, words

__all__ = ["make_app"]

_HERE = Path(__file__).parent
mimetypes.add_type("text/javascript", ".js")  # a registry entry elsewhere may say otherwise


def make_app(folder: Path, keys: Keys) -> Starlette:
    """Make the application for a folder of projects.

    Parameters
    ----------
    folder : the projects' folder.
    keys : what opens the page.

    Raises
    ------
    OutputError
        When the folder cannot be made.
    """
    pages = _Pages(Store(folder))
    app = Starlette(
        routes=pages.routes(),
        middleware=[Middleware(Guard, keys=keys)],
        exception_handlers={OverbendError: pages.problem},
        lifespan=pages.lifespan,
    )
    app.router.redirect_slashes = False
    return app


class _Pages:
    """Handlers of the routes, with what they share."""

    def __init__(self, store: Store) -> None:
        self.store, self.hub = store, Hub()
        self.exports = Exports(self.hub)
        loader = FileSystemLoader(_HERE / "templates")
        self.templates = Environment(loader=loader, autoescape=True, undefined=StrictUndefined)
        self.templates.globals["say"] = words

    def routes(self) -> list[BaseRoute]:
        """Every address that is answered."""
        return [
            Route("/", self.shelf),
            Route("/new", self.new, methods=["POST"]),
            Route("/copy", self._changing(self.copy), methods=["POST"]),
            Route("/rename", self._changing(self.rename), methods=["POST"]),
            Route("/delete", self._changing(self.delete), methods=["POST"]),
            Route("/schema.json", self.schema),
            Route("/p/{id:path}", self.piece),
            Route("/file/{name}/{id:path}", self.file),
            Route("/book/{id:path}", self.book, methods=["POST"]),
            Route("/drawing/{id:path}", self.drawing, methods=["POST"]),
            WebSocketRoute("/live/{id:path}", self.live),
            Mount("/static", StaticFiles(directory=_HERE / "static")),
            Route("/favicon.ico", self.favicon),
        ]

    @asynccontextmanager
    async def lifespan(self, _app: Starlette) -> AsyncIterator[None]:
        """Write everything when the server stops."""
        yield
        await self.hub.close_all()

    def page(self, name: str, status: int = 200, **values: object) -> HTMLResponse:
        """Fill a template."""
        return HTMLResponse(self.templates.get_template(name).render(**values), status)

    async def problem(self, _request: Request, error: Exception) -> Response:
        """An error of ours as a page."""
        status = 404 if isinstance(error, InputError) else 400
        return self.page("problem.html", status, text=str(error))

    # -- the shelf ---------------------------------------------------------------------
    async def shelf(self, request: Request) -> Response:
        """The list of pieces."""
        trashed = request.query_params.get("trashed", "")
        return self.page(
            "shelf.html",
            entries=[(e, _day(e.changed)) for e in self.store.entries()],
            examples=[(n, ENGLISH.get(f"example.{n}", n)) for n in example_names()],
            folder=str(self.store.root),
            notice=words("shelf.trashed", name=trashed, folder=TRASH) if trashed else "",
        )

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

    # -- a piece -----------------------------------------------------------------------
    async def piece(self, request: Request) -> Response:
        """The page of a piece."""
        id = request.path_params["id"]
        return self.page("piece.html", id=id, stem=self.store.path(id).stem)

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
        import json

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
        async with request.form(max_files=1, max_fields=4) as form:
            said = await take_drawing(self.hub.session(path), form)
        return Response(said)

    async def favicon(self, _request: Request) -> Response:
        """The small picture in the tab."""
        return Response((_HERE / "static" / "icon.svg").read_bytes(), media_type="image/svg+xml")


def _day(seconds: float) -> str:
    return time.strftime("%Y-%m-%d %H:%M", time.localtime(seconds))
