"""The ledger behind the pages: opened for each request, in a thread, and closed again."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import TypeVar

from starlette.requests import Request
from starlette.responses import Response

from overbend.ledger import Ledger, default_path, open_ledger, shop_state
from overbend.project.shop_state import ShopState
from overbend.units import Display

__all__ = ["Page", "Shop", "display_of"]

T = TypeVar("T")
E = TypeVar("E")
Page = Callable[..., Response]
"""Fills a template: its name, then what it shows."""


class Shop:
    """The shop's ledger.

    Parameters
    ----------
    path : of its file; None: where the command keeps it.
    """

    def __init__(self, path: Path | None = None) -> None:
        self._path = path
        self.changed: Callable[[], Awaitable[None]] | None = None

    @property
    def place(self) -> Path:
        """Where the ledger lies, or will lie."""
        return self._path if self._path is not None else default_path()

    async def write(self, work: Callable[[Ledger], T]) -> T:
        """Do something with the ledger; a new one is started where there is none.

        Raises
        ------
        OverbendError
            When it cannot be done; the ledger stays as it was.
        """
        done = await asyncio.to_thread(self._with, work)
        if self.changed is not None:
            await self.changed()
        return done

    async def read(self, work: Callable[[Ledger], T], empty: E) -> T | E:
        """Read from the ledger; without one, what an empty one would say."""
        if not self.place.exists():
            return empty
        return await asyncio.to_thread(self._with, work)

    async def state(self) -> ShopState:
        """What the shop has and has learnt."""
        return await self.read(shop_state, ShopState())

    def _with(self, work: Callable[[Ledger], T]) -> T:
        with open_ledger(self._path) as ledger:
            return work(ledger)


def display_of(request: Request) -> Display:
    """The reader's units, which the page keeps in a cookie."""
    return Display("in" if request.cookies.get("units") == "in" else "mm")
