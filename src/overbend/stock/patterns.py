"""The problem as columns: board patterns and layouts.

A *pattern* crosscuts one board into lengths, a *layout* fills one length with bars. Boards give
lengths, layouts turn lengths into strips.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from overbend.stock.pricing import BoardPricer, SectionPricer
from overbend.stock.records import Demand, Shop, Stock, whole
from overbend.stock.section import Board, Section, boards_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

__all__ = ["Aim", "Layout", "Pattern", "Problem"]


@dataclass(frozen=True)
class Pattern:
    """A board crosscut: for each of its spans, how many of each of the section's lengths."""

    board: int
    cuts: tuple[tuple[int, ...], ...]


@dataclass(frozen=True)
class Layout:
    """A length ripped into bars.

    Parameters
    ----------
    section : its place.
    length : its place among the section's lengths.
    bars : group of each bar and the times of each of the group's layers.
    """

    section: int
    length: int
    bars: tuple[tuple[int, tuple[int, ...]], ...]


@dataclass(frozen=True)
class Aim:
    """What is made least: the cost, or the wood taken while the cost stays at a limit."""

    wood: bool = False
    cost_limit: float | None = None


@dataclass(frozen=True)
class Problem:
    """What is wanted of one wood, from what, and how the shop cuts."""

    demands: tuple[Demand, ...]
    supply: tuple[Stock, ...]
    shop: Shop

    @cached_property
    def _both(self) -> tuple[tuple[Board, ...], tuple[Section, ...]]:
        return boards_of(self.demands, self.supply, self.shop)

    @property
    def boards(self) -> tuple[Board, ...]:
        """Boards that can give something."""
        return self._both[0]

    @property
    def sections(self) -> tuple[Section, ...]:
        """Their sections."""
        return self._both[1]

    @cached_property
    def counts(self) -> Ints:
        """Pieces wanted of each demand."""
        import numpy as np

        return np.array([d.count for d in self.demands])

    @cached_property
    def costs(self) -> Floats:
        """Cost of each board."""
        import numpy as np

        return np.array([self.supply[b.stock].cost for b in self.boards])

    @cached_property
    def volumes(self) -> Floats:
        """Wood in each board [mm3]."""
        import numpy as np

        return np.array([self.supply[b.stock].volume for b in self.boards])

    @cached_property
    def limits(self) -> Floats:
        """How many there are of each board; inf without limit."""
        import numpy as np

        return np.array([np.inf if b.limit is None else b.limit for b in self.boards])

    @cached_property
    def pricers(self) -> tuple[SectionPricer | None, ...]:
        """One for each section that has bars."""
        return tuple(
            SectionPricer(s, self.demands, self.shop) if s.bars else None for s in self.sections
        )

    def pricer(self, section: int) -> SectionPricer:
        """Pricer of a section that boards with patterns have."""
        found = self.pricers[section]
        assert found is not None
        return found

    @cached_property
    def cutters(self) -> dict[int, BoardPricer]:
        """One for each section that boards have."""
        spans: dict[int, set[int]] = {}
        for board in self.boards:
            spans.setdefault(board.section, set()).update(n for _, n in board.spans)
        return {s: BoardPricer(self.sections[s], spans[s], self.shop) for s in sorted(spans)}

    @cached_property
    def exact(self) -> bool:
        """Whether no size had to be rounded up to a grid."""
        pricers = [p for p in self.pricers if p is not None]
        grids = [p.grid for p in pricers] + [c.grid for c in self.cutters.values()]
        return all(grid.exact for grid in grids)

    @cached_property
    def starts(self) -> tuple[int, ...]:
        """Place of each section's first length when all lengths are put in one row; the end."""
        places = [0]
        for section in self.sections:
            places.append(places[-1] + len(section.lengths))
        return tuple(places)

    def place(self, layout: Layout) -> int:
        """Place of a layout's length among all lengths."""
        return self.starts[layout.section] + layout.length

    @cached_property
    def _known(self) -> dict[Layout, Ints]:
        return {}

    def yields(self, layout: Layout) -> Ints:
        """Strips of each demand in a layout."""
        if layout not in self._known:
            self._known[layout] = self._yields(layout)
        return self._known[layout]

    def _yields(self, layout: Layout) -> Ints:
        import numpy as np

        pricer = self.pricer(layout.section)
        found = np.zeros(len(self.demands), dtype=np.int64)
        for place, times in layout.bars:
            kinds = pricer.groups[place].kinds
            found[kinds] += np.asarray(times) * pricer.ends[layout.length, kinds]
        found.flags.writeable = False
        return found

    def spare(self, layout: Layout) -> Ints:
        """Strips of each demand by which a layout may pass what is wanted: end to end, last bar."""
        import numpy as np

        ends: Ints = self.pricer(layout.section).ends[layout.length]
        return np.maximum(ends, 1)

    def kept_edge(self, layout: Layout) -> float:
        """Volume worth keeping beside the bars of a layout [mm3]."""
        pricer = self.pricer(layout.section)
        used = sum(pricer.groups[place].step for place, _ in layout.bars)
        return float(pricer.kept[layout.length, used])

    def kept_ends(self, pattern: Pattern) -> float:
        """Volume worth keeping at the ends of a pattern's spans [mm3]."""
        board = self.boards[pattern.board]
        total = 0.0
        for (_, span), cut in zip(board.spans, pattern.cuts, strict=True):
            cutter = self.cutters[board.section]
            used = sum(n * step for n, step in zip(cut, cutter.steps, strict=True))
            total += cutter.kept(span, used)
        return total

    def lengths_in(self, pattern: Pattern) -> list[int]:
        """How many of each of the section's lengths a pattern gives."""
        return [sum(c) for c in zip(*pattern.cuts, strict=True)]

    def kerf(self) -> int:
        """Kerf of crosscut and rip [nm]."""
        return whole(self.shop.kerf)
