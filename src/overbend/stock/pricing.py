"""Best patterns for given values of the pieces: nested knapsacks on whole grids.

A length of plank is filled across its width with bars (a layout), a board along its length with
such lengths. The value of a layout depends on the length alone, so that one pass fills all
lengths of a section at once. Exact where the sizes share a grid, which millimetres, tenths and
64ths of an inch do; else sizes are rounded up to the finest grid of `MOST_CELLS` cells.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from overbend.stock.records import Shop, whole
from overbend.stock.section import Section, end_to_end

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Flags = NDArray[np.bool_]

__all__ = ["BoardPricer", "Grid", "Layouts", "SectionPricer"]

MOST_CELLS = 40_000
"""Cells of a grid along the width or length."""

EPS = 1e-9


@dataclass(frozen=True)
class Grid:
    """Whole cells for sizes that fill a room.

    Parameters
    ----------
    cell : size of a cell [nm].
    room : cells there are.
    steps : cells each size takes.
    exact : whether every size is a whole number of cells.
    """

    cell: int
    room: int
    steps: tuple[int, ...]
    exact: bool

    @classmethod
    def of(cls, sizes: Sequence[int], room: int) -> Grid:
        """Grid of the sizes [nm] in a room [nm].

        Examples
        --------
        >>> Grid.of([600, 900], 3100)
        Grid(cell=300, room=10, steps=(2, 3), exact=True)
        """
        cell = math.gcd(*sizes)
        exact = room // cell <= MOST_CELLS
        if not exact:
            cell = -(-room // MOST_CELLS)
        return cls(cell, room // cell, tuple(-(-s // cell) for s in sizes), exact)


@dataclass(frozen=True)
class Layouts:
    """Best layouts of a section for one set of values.

    Parameters
    ----------
    values : of the best layout of each of the section's lengths.
    cells : cells it uses, by length.
    taken : by pass: bar by length, and whether it was taken, by length and cell.
    """

    values: Floats
    cells: Ints
    taken: tuple[tuple[int, Ints, Flags], ...]

    def bars(self, at: int) -> dict[int, int]:
        """Bars of the best layout of one length: place of the bar, how many."""
        found: dict[int, int] = {}
        cell = int(self.cells[at])
        for step, bar, took in reversed(self.taken):
            if cell >= step and took[at, cell - step]:
                found[int(bar[at])] = found.get(int(bar[at]), 0) + 1
                cell -= step
        return found


class SectionPricer:
    """Finds the best layout of each length of a section.

    Parameters
    ----------
    section : the section.
    pieces : length of each demand [nm].
    counts : pieces wanted of each demand: no layout holds more bars of it than these need.
    shop : kerf and off-cuts worth keeping.
    """

    def __init__(
        self, section: Section, pieces: Sequence[int], counts: Sequence[int], shop: Shop
    ) -> None:
        import numpy as np

        self.section = section
        kerf = whole(shop.kerf)
        widths = sorted({bar.width for bar in section.bars})
        self.grid = Grid.of([w + kerf for w in widths], section.width + kerf)
        self.yields = np.zeros((len(section.lengths), len(section.bars), len(pieces)))
        for a, length in enumerate(section.lengths):
            for b, bar in enumerate(section.bars):
                for layer in bar.layers:
                    ends = end_to_end(length, pieces[layer.kind], kerf)
                    self.yields[a, b, layer.kind] += ends * layer.times
        self.groups = [
            (step, np.array([b for b, bar in enumerate(section.bars) if bar.width == w]))
            for w, step in zip(widths, self.grid.steps, strict=True)
        ]
        self.copies = self._copies(np.asarray(counts))
        self.kept = self._kept(shop, kerf)

    def _copies(self, counts: Ints) -> Ints:
        """Most bars of each kind worth having in a layout, by length."""
        import numpy as np

        with np.errstate(divide="ignore", invalid="ignore"):
            need = np.ceil(np.where(self.yields > 0, counts / self.yields, np.inf))
        need[~np.isfinite(need)] = 0
        return need.max(axis=2).astype(np.int64)

    def _kept(self, shop: Shop, kerf: int) -> Floats:
        """Volume of the edge kept by cells used, for each length [mm3]."""
        import numpy as np

        room = self.section.width + kerf
        used = np.arange(self.grid.room + 1) * self.grid.cell
        left = (room - kerf - used) / 1e6
        least = math.inf if shop.keep_width is None or shop.keep_length is None else shop.keep_width
        kept = np.where(left >= max(least, 1e-9), left, 0.0) * self.section.raw[1] / 1e6
        lengths = np.asarray(self.section.lengths)[:, None] / 1e6
        return np.where(lengths >= (shop.keep_length or math.inf), lengths * kept, 0.0)

    def best(
        self, values: Floats, keep: float = 0.0, counts: Sequence[int] | None = None
    ) -> Layouts:
        """Best layouts for given values of the pieces.

        Parameters
        ----------
        values : of one piece of each demand.
        keep : value of kept volume [1/mm3].
        counts : pieces still wanted; None: as given at the start.
        """
        import numpy as np

        worth = self.yields @ values
        copies = self.copies if counts is None else self._copies(np.asarray(counts))
        best = np.zeros((len(worth), self.grid.room + 1))
        taken: list[tuple[int, Ints, Flags]] = []
        for step, members in self.groups:
            self._fill(best, worth[:, members], copies[:, members], members, step, taken)
        total = best + keep * self.kept
        cells = total.argmax(axis=1) if keep else np.full(len(worth), self.grid.room)
        return Layouts(total[np.arange(len(worth)), cells], cells, tuple(taken))

    def _fill(
        self,
        best: Floats,
        worth: Floats,
        copies: Ints,
        members: Ints,
        step: int,
        taken: list[tuple[int, Ints, Flags]],
    ) -> None:
        """Add bars of one width, the most worth first, as long as any is worth a place."""
        import numpy as np

        rows = np.arange(len(worth))
        order = np.argsort(-worth, axis=1, kind="stable")
        ends = np.cumsum(np.take_along_axis(copies, order, axis=1), axis=1)
        for copy in range((len(best[0]) - 1) // step):
            rank = (ends <= copy).sum(axis=1)
            there = rank < len(members)
            pick = order[rows, np.minimum(rank, len(members) - 1)]
            gain = np.where(there, worth[rows, pick], -1.0)
            if not (gain > EPS).any():
                return
            new = best[:, :-step] + gain[:, None]
            took = new > best[:, step:] + EPS
            if not took.any():
                return
            best[:, step:] = np.where(took, new, best[:, step:])
            taken.append((step, members[pick], took))


class BoardPricer:
    """Finds the best way to crosscut a span, for given values of the lengths.

    Parameters
    ----------
    section : of the board.
    span : usable length [nm].
    shop : kerf and off-cuts worth keeping.
    """

    def __init__(self, section: Section, span: int, shop: Shop) -> None:
        import numpy as np

        kerf = whole(shop.kerf)
        fits = [n for n in section.lengths if n <= span]
        self.count = len(section.lengths)
        self.grid = Grid.of([n + kerf for n in fits] or [span + kerf], span + kerf)
        self.fits = len(fits)
        used = np.arange(self.grid.room + 1) * self.grid.cell
        left = (span - used) / 1e6
        area = section.raw[0] * section.raw[1] / 1e12
        least = math.inf if shop.keep_length is None else max(shop.keep_length, 1e-9)
        self.kept = np.where(left >= least, left, 0.0) * area

    def best(self, values: Floats, keep: float = 0.0) -> tuple[float, tuple[int, ...]]:
        """Value and counts of each length.

        Parameters
        ----------
        values : of the section's lengths.
        keep : value of kept volume [1/mm3].
        """
        import numpy as np

        best = np.zeros(self.grid.room + 1)
        choice = np.full(self.grid.room + 1, -1)
        for item in range(self.fits):
            step = self.grid.steps[item]
            for at in range(step, self.grid.room + 1, step):
                here = slice(at, min(at + step, self.grid.room + 1))
                new = best[at - step : here.stop - step] + values[item]
                better = new > best[here] + EPS
                best[here][better] = new[better]
                choice[here][better] = item
        total = best + keep * self.kept
        cell = int(total.argmax()) if keep else self.grid.room
        counts = [0] * self.count
        value = float(total[cell])
        while choice[cell] >= 0:
            counts[choice[cell]] += 1
            cell -= self.grid.steps[choice[cell]]
        return value, tuple(counts)
