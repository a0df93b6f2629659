"""The page's server as an application: its routes, its pages, its guard.

What is needed to show a page is imported here; what computes is imported while it is shown.
"""

from __future__ import annotations

import mimetypes
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import BaseRoute, Mount, Route
from starlette.staticfiles import StaticFiles

from overbend.errors import InputError, OverbendError
from overbend.examples import example_files
from overbend.web.devices import Devices
from overbend.web.guard import Guard
from overbend.web.keys import Keys
from overbend.web.late import Late, Rooms
from overbend.web.store import TRASH, Store
from overbend.web.words import ENGLISH, words

__all__ = ["make_app"]

_HERE = Path(__file__).parent
mimetypes.add_type("text/javascript", ".js")  # a registry entry elsewhere may say otherwise


def make_app(
    folder: Path,
    keys: Keys,
    *,
    ledger: Path | None = None,
    devices: Devices | None = None,
    now: Callable[[], float] = time.time,
) -> Starlette:
    """Make the application for a folder of projects.

    Parameters
    ----------
    folder : the projects' folder.
    keys : what opens the page.
    ledger : file of the shop's ledger; None: where the command keeps it.
    devices : who else is let in; None: this machine only.
    now : seconds since 1970.

    Raises
    ------
    OutputError
        When the folder cannot be made.
    """
    pages = _Pages(Store(folder))

    def rooms() -> Rooms:
        from overbend.web.rooms import PieceRooms

        return PieceRooms(pages.page, pages.store, ledger, devices, now)

    late = Late(rooms)

    @asynccontextmanager
    async def lifespan(_app: Starlette) -> AsyncIterator[None]:
        """Import the rest, and write everything when the server stops."""
        late.begin()
        yield
        await late.close()

    app = Starlette(
        routes=[*pages.routes(), late],
        middleware=[Middleware(Guard, keys=keys, devices=devices)],
        exception_handlers={OverbendError: pages.problem},
        lifespan=lifespan,
    )
    app.router.redirect_slashes = False
    return app


class _Pages:
    """The pages that are answered at once."""

    def __init__(self, store: Store) -> None:
        self.store = store
        loader = FileSystemLoader(_HERE / "templates")
        self.templates = Environment(loader=loader, autoescape=True, undefined=StrictUndefined)
        self.templates.globals["say"] = words

    def routes(self) -> list[BaseRoute]:
        """Their addresses."""
        return [
            Route("/", self.shelf),
            Route("/p/{id:path}", self.piece),
            Mount("/static", StaticFiles(directory=_HERE / "static")),
            Route("/favicon.ico", self.favicon),
        ]

    def page(self, name: str, status: int = 200, **values: object) -> HTMLResponse:
        """Fill a template; a refusal on a page in inches is in inches."""
        if values.get("units") == "in":
            from overbend.book.us_units import Reader

            said = {name: values[name] for name in ("problem", "why") if name in values}
            values |= {name: Reader("in").words(str(text)) for name, text in said.items()}
        return HTMLResponse(self.templates.get_template(name).render(**values), status)

    async def problem(self, _request: Request, error: Exception) -> Response:
        """An error of ours as a page."""
        status = 404 if isinstance(error, InputError) else 400
        return self.page("problem.html", status, text=str(error))

    # -- the pages ---------------------------------------------------------------------
    async def shelf(self, request: Request) -> Response:
        """The list of pieces."""
        trashed = request.query_params.get("trashed", "")
        return self.page(
            "shelf.html",
            entries=[(e, _day(e.changed)) for e in self.store.entries()],
            examples=[(n, ENGLISH.get(f"example.{n}", n)) for n in example_files()],
            folder=str(self.store.root),
            notice=words("shelf.trashed", name=trashed, folder=TRASH) if trashed else "",
        )

    async def piece(self, request: Request) -> Response:
        """The page of a piece."""
        id = request.path_params["id"]
        return self.page("piece.html", id=id, stem=self.store.path(id).stem)

    async def favicon(self, _request: Request) -> Response:
        """The small picture in the tab."""
        return Response((_HERE / "static" / "icon.svg").read_bytes(), media_type="image/svg+xml")


def _day(seconds: float) -> str:
    return time.strftime("%Y-%m-%d %H:%M", time.localtime(seconds))
