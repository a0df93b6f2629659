"""Pages of the shelves: list, add, change, mark as gone, take out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from overbend.errors import InputError, OverbendError
from overbend.ledger import Ledger, Record, read_record
from overbend.units import Display
from overbend.web.shop.entry import Field, fields_of, read_all
from overbend.web.shop.place import Page, Shop, display_of
from overbend.web.shop.shelves import SHELVES, Shelf, today
from overbend.web.words import words
from overbend.wood import all_species

__all__ = ["ShelfPages", "form_texts", "wood_names"]


def wood_names() -> list[str]:
    """Names of the woods in the table, for the fields that complete them."""
    return sorted({s.name for s in all_species()})


async def form_texts(request: Request) -> dict[str, str]:
    """What was sent by a form, texts only."""
    async with request.form(max_files=0, max_fields=80) as form:
        return {k: v for k, v in form.items() if isinstance(v, str) and "\0" not in v}


class ShelfPages:
    """Handlers of the shelves.

    Parameters
    ----------
    page : fills a template.
    shop : the ledger.
    """

    def __init__(self, page: Page, shop: Shop) -> None:
        self.page, self.shop = page, shop

    def routes(self) -> list[Route]:
        """Addresses of the shelves."""
        one = "/shop/{shelf}/{number:int}"
        return [
            Route("/shop", self.first),
            Route("/shop/{shelf}", self.shelf),
            Route("/shop/{shelf}", self.add, methods=["POST"]),
            Route(one, self.one),
            Route(one, self.change, methods=["POST"]),
            Route(one + "/{act}", self.move, methods=["POST"]),
        ]

    async def first(self, _request: Request) -> Response:
        """The first shelf."""
        return RedirectResponse("/shop/boards", 303)

    async def shelf(self, request: Request) -> Response:
        """Everything on a shelf, and a form to add to it."""
        shelf = _shelf(request)
        return await self._list(request, shelf, self._fields(shelf, display_of(request), {}))

    async def add(self, request: Request) -> Response:
        """Add a record."""
        shelf, display = _shelf(request), display_of(request)
        typed = await form_texts(request)
        try:
            values = read_all(shelf.name, shelf.entries, typed, display)
            record = read_record(shelf.record, values, words(f"shop.{shelf.name}.one"))
            number = await self.shop.write(lambda ledger: ledger.add(record))
        except OverbendError as error:
            fields = self._fields(shelf, display, {}, typed)
            return await self._list(request, shelf, fields, str(error), typed)
        return RedirectResponse(f"/shop/{shelf.name}#n{number}", 303)

    async def one(self, request: Request) -> Response:
        """The form of one record."""
        shelf, display = _shelf(request), display_of(request)
        record = await self._record(request, shelf)
        return self._edit(request, shelf, record, self._fields(shelf, display, dict(record)))

    async def change(self, request: Request) -> Response:
        """Put a record, changed, in its place."""
        shelf, display = _shelf(request), display_of(request)
        record, typed = await self._record(request, shelf), await form_texts(request)
        number = request.path_params["number"]
        try:
            old = record.model_dump()
            known = {e.name for e in shelf.entries}
            kept = {k: v for k, v in old.items() if k not in known}
            values = {**kept, **read_all(shelf.name, shelf.entries, typed, display, old)}
            fresh = read_record(shelf.record, values, words(f"shop.{shelf.name}.one"))
            await self.shop.write(lambda ledger: ledger.replace(number, fresh))
        except OverbendError as error:
            fields = self._fields(shelf, display, {}, typed)
            return self._edit(request, shelf, record, fields, str(error), typed)
        return RedirectResponse(f"/shop/{shelf.name}#n{number}", 303)

    async def move(self, request: Request) -> Response:
        """Mark a record as gone, as there again, or take it out for good."""
        shelf, number = _shelf(request), request.path_params["number"]
        act = request.path_params["act"]
        record = await self._record(request, shelf)
        if act == "delete":
            await self.shop.write(lambda ledger: ledger.remove(shelf.record, number))
        elif act in ("gone", "back") and shelf.gone:
            values = {**record.model_dump(), shelf.gone: today() if act == "gone" else ""}
            fresh = read_record(shelf.record, values, words(f"shop.{shelf.name}.one"))
            await self.shop.write(lambda ledger: ledger.replace(number, fresh))
        else:
            raise InputError(f"nothing is called {act[:40]!r} here")
        return RedirectResponse(f"/shop/{shelf.name}", 303)

    # -- pieces of pages ---------------------------------------------------------------
    def _fields(
        self,
        shelf: Shelf,
        display: Display,
        values: Mapping[str, Any],
        typed: Mapping[str, str] | None = None,
    ) -> list[Field]:
        start = {"in_on": today(), "made_on": today()} if not values else {}
        return fields_of(shelf.name, shelf.entries, display, {**start, **values}, typed)

    async def _list(
        self,
        request: Request,
        shelf: Shelf,
        fields: list[Field],
        problem: str = "",
        typed: Mapping[str, str] | None = None,
    ) -> Response:
        display = display_of(request)
        held = await self.shop.read(lambda ledger: ledger.all_of(shelf.record), ())
        rows = [
            {
                "number": n, "title": (line := shelf.line(r, display))[0], "facts": line[1],
                "gone": bool(shelf.gone and getattr(r, shelf.gone)),
            }
            for n, r in reversed(held)
        ]  # fmt: skip
        return self.page(
            "shop_list.html", 400 if problem else 200, tab=shelf.name, shelf=shelf, rows=rows,
            fields=fields, problem=problem, woods=wood_names(), units=display.system,
            own=bool(typed and typed.get("own_wood")), place=str(self.shop.place),
        )  # fmt: skip

    def _edit(
        self,
        request: Request,
        shelf: Shelf,
        record: Record,
        fields: list[Field],
        problem: str = "",
        typed: Mapping[str, str] | None = None,
    ) -> Response:
        display = display_of(request)
        title, facts = shelf.line(record, display)
        return self.page(
            "shop_one.html", 400 if problem else 200, tab=shelf.name, shelf=shelf,
            number=request.path_params["number"], title=title, facts=facts, fields=fields,
            problem=problem, woods=wood_names(), units=display.system,
            own=_own(record, typed), gone=bool(shelf.gone and getattr(record, shelf.gone)),
        )  # fmt: skip

    async def _record(self, request: Request, shelf: Shelf) -> Record:
        number = request.path_params["number"]

        def found(ledger: Ledger) -> Record | None:
            return dict(ledger.all_of(shelf.record)).get(number)

        record = await self.shop.read(found, None)
        if record is None:
            raise InputError(f"there is no number {number} on this shelf", todo="open the list")
        return record


def _own(record: Record, typed: Mapping[str, str] | None) -> bool:
    """Whether a record's wood is the maker's own."""
    if typed is not None:
        return bool(typed.get("own_wood"))
    species = getattr(record, "species", None)
    return species is not None and species not in {s.id for s in all_species()}


def _shelf(request: Request) -> Shelf:
    name = request.path_params["shelf"]
    if name not in SHELVES:
        raise InputError(f"there is no shelf {name[:40]!r}", allowed=", ".join(SHELVES))
    return SHELVES[name]
