"""Searches for boards of an open project: one for each unit its readers use."""

from __future__ import annotations

from collections.abc import Callable

from overbend.plan import Cutting
from overbend.project import Loaded
from overbend.project.shop_state import ShopState
from overbend.units import System
from overbend.web.sawing import Asked, Sawing, Sawn

__all__ = ["SawDesk"]

LONGER = 30.0
"""What a search may take when it is asked to look on [s]."""


class SawDesk:
    """Keeps the searches of one project.

    Parameters
    ----------
    changed : called, from another thread, whenever one of them has news.
    """

    def __init__(self, changed: Callable[[], None]) -> None:
        self._changed = changed
        self._searches: dict[System, Sawing] = {}
        self._asked: dict[System, Asked] = {}

    def state(self, system: System) -> Sawn:
        """How the search in one unit stands."""
        return self._search(system).state

    def want(self, loaded: Loaded, system: System, key: str, shop_state: ShopState) -> None:
        """Search for what is to be cut, unless that is known or being searched for."""
        asked = Asked(key, loaded.text, loaded.path, system, shop_state)
        self._asked.pop(system, None)
        self._asked[system] = asked
        self._search(system).want(asked)

    @property
    def cutting(self) -> Cutting | None:
        """A plan that is there, the newest asked for first."""
        found = (self._searches[s].state.cutting for s in reversed(self._asked))
        return next((cutting for cutting in found if cutting is not None), None)

    def act(self, system: System, act: str) -> None:
        """Do what a reader asks: "stop" keeps the best so far, "longer" looks on."""
        search, asked = self._search(system), self._asked.get(system)
        if act == "stop":
            search.stop()
        elif act == "longer" and asked is not None:
            search.longer(
                Asked(asked.key, asked.text, asked.path, system, asked.shop_state, LONGER)
            )

    def drop(self) -> None:
        """End what runs: something is being changed."""
        for search in self._searches.values():
            search.drop()

    def close(self) -> None:
        """End what runs, for good."""
        for search in self._searches.values():
            search.close()

    def _search(self, system: System) -> Sawing:
        if system not in self._searches:
            self._searches[system] = Sawing(self._changed)
        return self._searches[system]
