"""Best patterns for given values of the pieces: nested knapsacks on whole grids.

A length of plank is filled across its width with bars (a layout), a board along its length with
such lengths. The value of a layout depends on the length alone, so that one pass fills all
lengths of a section at once. Exact where the sizes share a grid, which millimetres, tenths and
64ths of an inch do; else sizes are rounded up to the finest grid of `MOST_CELLS` cells.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from overbend.stock.records import Demand, Shop, whole
from overbend.stock.section import Layer, Section, end_to_end, lengths_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Flags = NDArray[np.bool_]

__all__ = ["BoardPricer", "Grid", "Group", "Layouts", "SectionPricer"]

MOST_CELLS = 40_000
"""Cells of a grid along the width or length."""

TINY = 1e-12
"""Share of the greatest value below which a gain is none."""


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
    rows : lengths looked at.
    cells : cells it uses, by row.
    taken : by pass: cells of a bar, its group, the times of its layers by row, and whether it
        was taken, by row and cell.
    """

    values: Floats
    rows: Ints
    cells: Ints
    taken: tuple[tuple[int, int, Ints, Flags], ...]

    def bars(self, at: int) -> tuple[tuple[int, tuple[int, ...]], ...]:
        """Bars of the best layout of one length: group, and times of each of its layers."""
        row = int(self.rows.searchsorted(at))
        if row == len(self.rows) or self.rows[row] != at:
            return ()
        found = []
        cell = int(self.cells[row])
        for step, group, times, took in reversed(self.taken):
            if cell >= step and took[row, cell - step]:
                found.append((group, tuple(int(n) for n in times[row])))
                cell -= step
        return tuple(sorted(found))


@dataclass(frozen=True)
class Group:
    """Bars of one width.

    Parameters
    ----------
    width, step : of a bar [nm], [cells].
    layers : the kinds it may hold and how they lie.
    kinds : place of each layer's demand.
    times : of each layer, by bar.
    """

    width: int
    step: int
    layers: tuple[Layer, ...]
    kinds: Ints
    times: Ints


class SectionPricer:
    """Finds the best layout of each length of a section.

    Parameters
    ----------
    section : the section.
    demands : what is wanted.
    shop : kerf and off-cuts worth keeping.
    """

    def __init__(self, section: Section, demands: Sequence[Demand], shop: Shop) -> None:
        import numpy as np

        self.section = section
        kerf, pieces = whole(shop.kerf), [whole(d.length) for d in demands]
        widths = sorted({bar.width for bar in section.bars})
        self.grid = Grid.of([w + kerf for w in widths], section.width + kerf)
        self.ends = np.array(
            [[end_to_end(length, piece, kerf) for piece in pieces] for length in section.lengths]
        )
        kinds = {layer.kind for bar in section.bars for layer in bar.layers}
        least = {k: min(lengths_of([demand], shop)) for k, demand in enumerate(demands)}
        self.own = np.array(
            [section.lengths.index(least[k]) if k in kinds else -1 for k in range(len(demands))]
        )
        self.groups = [
            self._group(w, step) for w, step in zip(widths, self.grid.steps, strict=True)
        ]
        self.through_kerf = whole(shop.through_kerf)
        self.kept = self._kept(shop)

    def _group(self, width: int, step: int) -> Group:
        import numpy as np

        bars = [bar for bar in self.section.bars if bar.width == width]
        layers = tuple(bar.layers[0] for bar in bars if len(bar.layers) == 1)
        place = {layer.kind: n for n, layer in enumerate(layers)}
        times = np.zeros((len(bars), len(layers)), dtype=np.int64)
        for row, bar in enumerate(bars):
            for layer in bar.layers:
                times[row, place[layer.kind]] = layer.times
        return Group(width, step, layers, np.array([x.kind for x in layers]), times)

    def _kept(self, shop: Shop) -> Floats:
        """Volume of the edge kept by cells used, for each length [mm3]."""
        import numpy as np

        used = np.arange(self.grid.room + 1) * self.grid.cell
        left = self.section.width - used
        if shop.keep_width is None or shop.keep_length is None:
            return np.zeros((len(self.section.lengths), len(left)))
        kept = np.where(left >= max(whole(shop.keep_width), 1), left, 0)
        lengths = np.asarray(self.section.lengths)[:, None]
        area = np.where(lengths >= whole(shop.keep_length), lengths, 0) * (kept / 1e12)
        return area * (self.section.through / 1e6)

    def best(
        self, values: Floats, counts: Ints, keep: float = 0.0, ceiling: bool = False
    ) -> Layouts:
        """Best layouts for given values of the pieces.

        Parameters
        ----------
        values : of one piece of each demand.
        counts : pieces wanted of each: more have no value.
        keep : value of kept volume [1/mm3].
        ceiling : whether the values have to be above or at any layout's, for a proof; the bars
            then may hold more than is wanted.
        """
        import numpy as np

        rows = np.unique(self.own[counts > 0])
        rows = rows[rows >= 0]
        hair = 0.0 if ceiling else TINY * float(values.max(initial=0.0))
        best = np.zeros((len(rows), self.grid.room + 1))
        taken: list[tuple[int, int, Ints, Flags]] = []
        for place, group in enumerate(self.groups):
            copies = self._ceilings if ceiling else self._copies
            for gain, times in copies(group, rows, values, counts):
                here = best[:, group.step :]
                new = best[:, : -group.step] + gain[:, None]
                took = new > here + hair
                if not took.any():
                    break
                np.copyto(here, new, where=took)
                taken.append((group.step, place, times, took))
        total = best + keep * self.kept[rows] if keep else best
        cells = total.argmax(axis=1) if keep else np.full(len(best), self.grid.room)
        worth = np.zeros(len(self.ends))
        worth[rows] = total[np.arange(len(best)), cells]
        return Layouts(worth, rows, cells, tuple(taken))

    def _copies(
        self, group: Group, rows: Ints, values: Floats, counts: Ints
    ) -> Iterator[tuple[Floats, Ints]]:
        """Value and layers of the first, second, ... bar of one width, by length."""
        import numpy as np

        wanted = counts[group.kinds]
        bars = group.times[(group.times[:, wanted == 0] == 0).all(axis=1)]
        if not len(bars):
            return
        ends, worth = self.ends[np.ix_(rows, group.kinds)], values[group.kinds]
        tiny, per = TINY * float(worth.max()), np.maximum(ends, 1)
        left = np.repeat(wanted[None, :], len(ends), axis=0)
        full = bars[None, :, :] * ends[:, None, :]
        each, stale = np.arange(len(ends)), np.arange(len(ends))
        gain, pick = np.zeros(len(ends)), np.zeros(len(ends), dtype=np.int64)
        for _ in range(self.grid.room // group.step):
            if len(stale):
                gains = np.minimum(full[stale], left[stale, None, :]) @ worth
                pick[stale] = gains.argmax(axis=1)
                gain[stale] = gains[np.arange(len(stale)), pick[stale]]
                if gain.max() <= tiny:
                    return
            took = np.minimum(full[each, pick], left)
            need = np.where(ends > 0, -(-left // per), 0)
            yield gain.copy(), np.minimum(bars[pick], need)
            left -= took
            stale = np.flatnonzero((left < took).any(axis=1))

    def _ceilings(
        self, group: Group, rows: Ints, values: Floats, counts: Ints
    ) -> Iterator[tuple[Floats, Ints]]:
        """Values that n bars of one width cannot pass: n times the best bar, nor a bar's room."""
        import numpy as np

        ends, worth = self.ends[rows][:, group.kinds], values[group.kinds]
        full = group.times[None, :, :] * ends[:, None, :]
        first = (np.minimum(full, counts[group.kinds]) @ worth).max(axis=1)
        bars = np.arange(1, self.grid.room // group.step + 1)
        most = np.minimum(first[:, None] * bars, self._poured(group, ends, worth, counts, bars))
        for gain in np.diff(most, prepend=0.0).T:
            yield gain, group.times[:0]

    def _poured(self, group: Group, every: Ints, worth: Floats, counts: Ints, bars: Ints) -> Floats:
        """Value of the room of n bars filled with what is wanted as if it could be poured."""
        import numpy as np

        sizes = np.array([layer.through for layer in group.layers]) + self.through_kerf
        room = (self.section.through + self.through_kerf) * bars.astype(float)
        total = np.zeros((len(every), len(bars)))
        for a, ends in enumerate(every):
            there = np.flatnonzero(ends)
            order = there[np.argsort(-(worth * ends / sizes)[there])]
            volume = np.cumsum(counts[group.kinds][order] / ends[order] * sizes[order])
            value = np.cumsum(counts[group.kinds][order] * worth[order])
            total[a] = np.interp(room, np.append(0.0, volume), np.append(0.0, value))
        return total


class BoardPricer:
    """Finds the best ways to crosscut the spans of a section's boards, for values of the lengths.

    Parameters
    ----------
    section : of the boards.
    spans : usable lengths [nm].
    shop : kerf and off-cuts worth keeping.
    """

    def __init__(self, section: Section, spans: Iterable[int], shop: Shop) -> None:
        import numpy as np

        kerf, self.spans = whole(shop.kerf), sorted(set(spans))
        longest = self.spans[-1]
        self.fits = sum(n <= longest for n in section.lengths)
        self.count = len(section.lengths)
        sizes = [n + kerf for n in section.lengths[: self.fits]] or [longest + kerf]
        self.grid = Grid.of(sizes, longest + kerf)
        self.steps = [-(-(n + kerf) // self.grid.cell) for n in section.lengths]
        self.rooms = {span: (span + kerf) // self.grid.cell for span in self.spans}
        used = np.arange(self.grid.room + 1) * self.grid.cell
        area = section.raw[0] * section.raw[1] / 1e18
        least = math.inf if shop.keep_length is None else max(whole(shop.keep_length), 1)
        self._kept = {
            span: np.where(span - used >= least, (span - used) * area, 0.0)[: room + 1]
            for span, room in self.rooms.items()
        }

    def kept(self, span: int, cells: int) -> float:
        """Volume worth keeping at the end of a span of which so many cells are used [mm3]."""
        return float(self._kept[span][cells])

    def best(self, values: Floats, keep: float = 0.0) -> dict[int, tuple[float, tuple[int, ...]]]:
        """Value and counts of each length, for each span.

        Parameters
        ----------
        values : of the section's lengths.
        keep : value of kept volume [1/mm3].
        """
        best, choice = self._filled(values)
        found = {}
        for span, room in self.rooms.items():
            total = best[: room + 1] + keep * self._kept[span] if keep else best
            cell = int(total[: room + 1].argmax()) if keep else room
            value = float(total[cell])
            found[span] = value, self._counts(choice, cell)
        return found

    def _filled(self, values: Floats) -> tuple[Floats, Ints]:
        """Best value in each number of cells, and the length cut last."""
        import numpy as np

        best, choice = np.zeros(self.grid.room + 1), np.full(self.grid.room + 1, -1)
        most = 0.0
        for item in range(self.fits):
            if values[item] <= most:  # a shorter one is worth as much
                continue
            most, step = float(values[item]), self.steps[item]
            for at in range(step, self.grid.room + 1, step):
                here = best[at : at + step]
                new = best[at - step : at - step + len(here)] + most
                better = new > here
                np.copyto(here, new, where=better)
                choice[at : at + step][better] = item
        return best, choice

    def _counts(self, choice: Ints, cell: int) -> tuple[int, ...]:
        counts = [0] * self.count
        while choice[cell] >= 0:
            item = int(choice[cell])
            counts[item] += 1
            cell -= self.steps[item]
        return tuple(counts)
