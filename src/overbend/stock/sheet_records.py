"""Panels, sheets, and where the panels lie."""

from __future__ import annotations

from dataclasses import dataclass

from overbend.errors import StockError
from overbend.solver import Solution
from overbend.stock.refuse import Refusal

__all__ = ["Nested", "Panel", "Sheet", "SheetPlan"]


@dataclass(frozen=True)
class Panel:
    """Rectangles of one kind.

    Parameters
    ----------
    name : what the maker calls them, unique in a plan.
    length, width : as cut [mm].
    count : how many.
    turns : whether they may lie across the sheet.

    Raises
    ------
    StockError
        For a size or count that is not above zero.
    """

    name: str
    length: float
    width: float
    count: int
    turns: bool = True

    def __post_init__(self) -> None:
        """Refuse what cannot be cut."""
        if not (self.length > 0 and self.width > 0 and self.count > 0):
            size = f"{self.count} of {self.length:g} by {self.width:g} mm"
            raise StockError(size, self.name, "above zero")


@dataclass(frozen=True)
class Sheet:
    """Sheets of one kind.

    Parameters
    ----------
    name : what the maker calls them.
    length, width : as bought [mm].
    count : how many there are; None when there is no limit.
    trim : off each edge [mm].

    Raises
    ------
    StockError
        When nothing is left of it once it is trimmed, or for a count below zero.
    """

    name: str
    length: float
    width: float
    count: int | None = None
    trim: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what is no sheet."""
        if not (min(self.length, self.width) > 2 * self.trim >= 0):
            size = f"{self.length:g} by {self.width:g} mm, {self.trim:g} mm off each edge"
            raise StockError(size, self.name, "something left of it")
        if self.count is not None and self.count < 0:
            raise StockError(f"count {self.count}", self.name, "zero or more, or no limit")


@dataclass(frozen=True)
class Nested:
    """One panel on a sheet: its sheet's number, its corner, its size along and across [mm]."""

    panel: str
    sheet: int
    x: float
    y: float
    length: float
    width: float
    turned: bool


@dataclass(frozen=True)
class SheetPlan:
    """Where the panels lie.

    Parameters
    ----------
    panels : all of them; empty when they cannot be cut.
    solution : sheets taken, the fewest proven, runtime, status.
    refusals : panels that the sheets do not give, and what would do.
    """

    panels: tuple[Nested, ...]
    solution: Solution
    refusals: tuple[Refusal, ...] = ()
