"""Every address of the shop, and the switch that lets a piece use what the shop has learnt."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from overbend.project.shop_state import ShopState
from overbend.web.devices import Devices
from overbend.web.disk import text_of
from overbend.web.live import Hub
from overbend.web.shop.day import DayPages
from overbend.web.shop.learnt import LearntPage
from overbend.web.shop.pages import ShelfPages, form_texts
from overbend.web.shop.phones import PhonePages
from overbend.web.shop.place import Page, Shop
from overbend.web.shop.trials import TrialPages
from overbend.web.store import Store
from overbend.web.words import words

__all__ = ["shop_routes"]


def shop_routes(
    page: Page,
    store: Store,
    hub: Hub,
    shop: Shop,
    devices: Devices | None = None,
    now: Callable[[], float] = time.time,
) -> list[Route]:
    """Addresses of the shop's pages.

    Parameters
    ----------
    page : fills a template.
    store, hub : the projects, and those that are open.
    shop : the ledger.
    devices : who else is let in; None: this machine only.
    now : seconds since 1970.
    """
    switch = Switch(store, hub, shop)
    shop.changed = switch.refresh
    return [
        *LearntPage(page, shop).routes(),
        *TrialPages(page, store, shop, switch.text).routes(),
        *ShelfPages(page, shop).routes(),
        *DayPages(page, store, shop, switch.text, now).routes(),
        *PhonePages(page, devices, _day).routes(),
        Route("/learnt/{id:path}", switch.show),
        Route("/learnt/{id:path}", switch.turn, methods=["POST"]),
    ]


def _day(seconds: float) -> str:
    return time.strftime("%Y-%m-%d %H:%M", time.localtime(seconds))


class Switch:
    """Which pieces are computed with what the shop has learnt.

    Parameters
    ----------
    store, hub : the projects, and those that are open.
    shop : the ledger.
    """

    def __init__(self, store: Store, hub: Hub, shop: Shop) -> None:
        self.store, self.hub, self.shop = store, hub, shop
        self._on: set[Path] = set()

    async def show(self, request: Request) -> Response:
        """Whether the switch of a piece is on, and what that means."""
        path = self.store.path(request.path_params["id"]).resolve()
        return await self._said(path in self._on)

    async def turn(self, request: Request) -> Response:
        """Turn the switch of a piece; its tabs are answered anew."""
        path = self.store.path(request.path_params["id"]).resolve()
        on = (await form_texts(request)).get("on") == "yes"
        (self._on.add if on else self._on.discard)(path)
        self.hub.session(path).use(await self.shop.state() if on else ShopState())
        return await self._said(on)

    async def refresh(self) -> None:
        """After the ledger changed: pieces that use it are computed anew."""
        sessions = [s for path, s in self.hub.open.items() if path in self._on]
        if sessions:
            state = await self.shop.state()
            for session in sessions:
                session.use(state)

    def text(self, path: Path) -> tuple[str, ShopState]:
        """Newest text of a project, and what the shop has learnt where its switch is on."""
        session = self.hub.open.get(path.resolve())
        if session is None:
            return text_of(path), ShopState()
        return session.text, session.shop_state

    async def _said(self, on: bool) -> Response:
        state = await self.shop.state()
        taught = bool(state.sets or state.breaks)
        key = "off" if not on else "on" if taught else "nothing"
        text = words(f"learnt.switch.{key}", source=state.source)
        return JSONResponse({"on": on, "text": text})
