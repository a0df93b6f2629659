"""All columns that a better plan can have, when they are few: the proof for small shops.

With duals that no column beats, a plan costs the bound plus the reduced costs of its columns. A
column whose reduced cost is above the gap is in no better plan; the others are listed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from overbend.stock.generate import price
from overbend.stock.master import Answer
from overbend.stock.patterns import Layout, Pattern, Problem
from overbend.stock.section import Board

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

__all__ = ["all_columns"]

MOST_STEPS = 100_000
MOST_COLUMNS = 4_000


class _TooMany(Exception):  # noqa: N818
    """There are too many columns to list."""


@dataclass
class _Count:
    """Steps taken; ends the listing when there are too many."""

    steps: int = 0

    def step(self) -> None:
        self.steps += 1
        if self.steps > MOST_STEPS:
            raise _TooMany


def all_columns(problem: Problem, answer: Answer, best: float) -> list[Pattern | Layout] | None:
    """Columns that a plan of less cost can have; None when there are too many to list.

    Parameters
    ----------
    problem : the problem.
    answer : of the linear program, least cost.
    best : cost of the best plan known.
    """
    import numpy as np

    top = price(problem, answer.demand, ceiling=True)
    worth = np.array([value for value, _ in top.boards])
    duals = np.minimum(0.0, problem.costs - worth)
    if (duals[np.isinf(problem.limits)] < -1e-9 * (1 + worth.max(initial=0.0))).any():
        scale = float((problem.costs / np.maximum(worth, 1e-12)).min())
    else:
        scale = 1.0
    duals = np.minimum(0.0, problem.costs - scale * worth)
    limits = np.where(np.isinf(problem.limits), 0.0, problem.limits)
    bound = scale * float(answer.demand @ problem.counts) + float(limits @ duals)
    gap = best - bound + 1e-6 * (1 + abs(best))
    values = [f.values * scale if f else None for f in top.found]
    count = _Count()
    try:
        found: list[Pattern | Layout] = []
        for b, board in enumerate(problem.boards):
            value = values[board.section]
            assert value is not None
            floor = float(problem.costs[b] - duals[b]) - gap
            found += (Pattern(b, cuts) for cuts in _patterns(problem, board, value, floor, count))
        used = {(problem.boards[p.board].section, a) for p in found if isinstance(p, Pattern)
                for a, n in enumerate(problem.lengths_in(p)) if n}  # fmt: skip
        for s, a in sorted(used):
            value = values[s]
            assert value is not None
            found += _layouts(problem, s, a, answer.demand * scale, float(value[a]) - gap, count)
            if len(found) > MOST_COLUMNS:
                return None
    except _TooMany:
        return None
    return found


def _patterns(
    problem: Problem, board: Board, values: Floats, floor: float, count: _Count
) -> Iterator[tuple[tuple[int, ...], ...]]:
    """Ways to crosscut a board that are worth the floor and leave no length room."""
    spans = []
    for _, span in board.spans:
        cutter = problem.cutters[board.section, span]
        steps = cutter.steps[: cutter.fits]
        cuts = [
            (*cut, *(0,) * (len(cutter.steps) - cutter.fits))
            for cut in _fullest(steps, cutter.grid.room, count)
        ]
        spans.append([(float(values @ cut), cut) for cut in cuts])

    def join(
        at: int, value: float, taken: tuple[tuple[int, ...], ...]
    ) -> Iterator[tuple[tuple[int, ...], ...]]:
        count.step()
        if at == len(spans):
            if value >= floor:
                yield taken
            return
        for worth, cut in spans[at]:
            yield from join(at + 1, value + worth, (*taken, cut))

    yield from join(0, 0.0, ())


def _fullest(steps: Sequence[int], room: int, count: _Count) -> Iterator[tuple[int, ...]]:
    """Counts of each step that fit the room and leave none of the steps room any more."""
    smallest = min(steps, default=room + 1)

    def fill(at: int, left: int, taken: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        count.step()
        if at == len(steps):
            if left < smallest:
                yield taken
            return
        for n in range(left // steps[at], -1, -1):
            yield from fill(at + 1, left - n * steps[at], (*taken, n))

    yield from fill(0, room, ())


def _layouts(
    problem: Problem, section: int, length: int, values: Floats, floor: float, count: _Count
) -> list[Layout]:
    """Layouts worth the floor, none of which gives less than another of everything."""
    import numpy as np

    pricer = problem.pricer(section)
    bars = [
        (group.step, place, tuple(int(n) for n in times), gives)
        for place, group in enumerate(pricer.groups)
        for times in group.times
        if (gives := _gives(problem, section, length, place, times)) is not None
    ]
    found: dict[tuple[int, ...], Layout] = {}

    def fill(at: int, left: int, given: Ints, taken: tuple[int, ...]) -> None:
        count.step()
        fits = [
            n for n, bar in enumerate(bars)
            if bar[0] <= left and (np.minimum(given + bar[3], problem.counts) > given).any()
        ]  # fmt: skip
        if not fits and float(given @ values) >= floor:
            layout = Layout(section, length, tuple(sorted(bars[n][1:3] for n in taken)))
            found.setdefault(tuple(int(n) for n in given), layout)
        for n in fits:
            if n >= at:
                more = np.minimum(given + bars[n][3], problem.counts)
                fill(n, left - bars[n][0], more, (*taken, n))

    fill(0, pricer.grid.room, np.zeros(len(values), dtype=np.int64), ())
    return _undominated(found)


def _gives(problem: Problem, section: int, length: int, place: int, times: Ints) -> Ints | None:
    """Strips of each demand in a bar; None when a kind in it is longer than the length."""
    import numpy as np

    pricer = problem.pricer(section)
    kinds = pricer.groups[place].kinds
    ends = pricer.ends[length, kinds]
    if (ends[times > 0] == 0).any():
        return None
    found = np.zeros(len(problem.demands), dtype=np.int64)
    found[kinds] = times * ends
    return found


def _undominated(found: dict[tuple[int, ...], Layout]) -> list[Layout]:
    """Layouts that give more of something than any other."""
    import numpy as np

    gives = np.array(list(found))
    layouts = list(found.values())
    if len(gives) > MOST_COLUMNS:
        raise _TooMany
    return [
        layout for n, layout in enumerate(layouts)
        if not ((gives >= gives[n]).all(axis=1) & (gives > gives[n]).any(axis=1)).any()
    ]  # fmt: skip
