"""Small shops in one program: every board, length and bar is a variable of CP-SAT.

Least cost first; then, at that cost, least wood; then, at that wood, fewest set-ups.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from overbend.solver import Clock
from overbend.stock.build import Sawn
from overbend.stock.patterns import Layout, Pattern, Problem
from overbend.stock.records import whole

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from ortools.sat.python import cp_model

    Ints = NDArray[np.int64]
    Floats = NDArray[np.float64]

__all__ = ["Direct", "Stage", "bars_of", "size_of"]

LARGEST = 1e12
"""What all costs, or all wood, may be together in whole units."""

WORKERS = 1
"""Cores of the program."""

EQUAL = 1e-6
"""Costs closer than this are equal."""

HAIR = 1e-3
"""Part of a unit that is taken for rounding of floats."""


def bars_of(
    problem: Problem, section: int, length: int, wanted: Ints
) -> Iterator[tuple[int, tuple[int, ...], int]]:
    """Bars of a length that give nothing but what is wanted: group, times, most worth having."""
    import numpy as np

    pricer = problem.pricer(section)
    for place, group in enumerate(pricer.groups):
        ends = pricer.ends[length, group.kinds]
        useful = (ends > 0) & (wanted[group.kinds] > 0)
        for times in group.times[((group.times == 0) | useful).all(axis=1)]:
            gives = (times * ends)[times > 0]
            need = np.ceil(wanted[group.kinds][times > 0] / gives).max()
            most = min(pricer.grid.room // group.step, int(need))
            yield place, tuple(int(n) for n in times), most


def _useful(problem: Problem, section: int, wanted: Ints) -> list[int]:
    """Lengths of a section that some wanted piece asks for."""
    own = problem.pricer(section).own
    return sorted({int(a) for a, n in zip(own, wanted, strict=True) if n > 0 and a >= 0})


def size_of(problem: Problem, wanted: Ints, copies: Ints, most: int) -> int:
    """Number of bar variables the program would have; counted until it passes the most.

    Parameters
    ----------
    problem : the problem.
    wanted : pieces of each demand.
    copies : boards of each kind to choose from.
    most : number at which counting ends.
    """
    total = 0
    bars: dict[tuple[int, int], int] = {}
    for board, n in zip(problem.boards, copies, strict=True):
        cutter = problem.cutters[board.section]
        for _, span in board.spans if n else ():
            for a in _useful(problem, board.section, wanted):
                key = (board.section, a)
                if key not in bars:
                    bars[key] = sum(1 for _ in bars_of(problem, *key, wanted))
                total += int(n) * bars[key] * (cutter.rooms[span] // cutter.steps[a])
                if total > most:
                    return total
    return total


def _unit(most: float) -> float:
    """Power of ten: whole units in one unit of a sum."""
    return 10.0 ** math.floor(math.log10(LARGEST / max(most, 1e-6)))


@dataclass(frozen=True)
class Aimed:
    """What is made least, in whole units, and how many make one."""

    total: cp_model.LinearExprT
    unit: float


@dataclass(frozen=True)
class Stage:
    """What one stage found.

    Parameters
    ----------
    plan : the boards; None when nothing was found.
    value, bound : of what was made least.
    optimal : whether it is proven; without a plan: that there is none.
    """

    plan: list[Sawn] | None
    value: float
    bound: float
    optimal: bool


@dataclass(frozen=True)
class _Length:
    """One length that a board may give: its place, whether it is cut, how many of each bar."""

    place: int
    cut: cp_model.IntVar
    bars: tuple[tuple[int, tuple[int, ...], cp_model.IntVar], ...]


@dataclass
class _Slot:
    """One board that may be taken: its kind, whether it is, its lengths by span."""

    kind: int
    taken: cp_model.IntVar
    spans: list[list[_Length]] = field(default_factory=list)


class Direct:
    """The program.

    Parameters
    ----------
    problem : the problem.
    wanted : pieces of each demand.
    copies : boards of each kind to choose from.
    """

    def __init__(self, problem: Problem, wanted: Ints, copies: Ints) -> None:
        from ortools.sat.python import cp_model

        self.problem, self.wanted = problem, wanted
        self.model = cp_model.CpModel()
        self.slots: list[_Slot] = []
        self._given: list[list[tuple[int, cp_model.IntVar]]] = [[] for _ in wanted]
        self._kept: list[tuple[float, cp_model.IntVar]] = []
        self._marks: dict[tuple[str, int], cp_model.IntVar] = {}
        for kind, n in enumerate(copies):
            before: cp_model.IntVar | None = None
            for _ in range(int(n)):
                before = self._board(kind, before)
        for pieces, terms in zip(wanted, self._given, strict=True):
            if pieces:
                self.model.add(sum(n * bar for n, bar in terms) >= int(pieces))

    def _board(self, kind: int, before: cp_model.IntVar | None) -> cp_model.IntVar:
        slot = _Slot(kind, self.model.new_bool_var(""))
        if before is not None:
            self.model.add_implication(slot.taken, before)
        board = self.problem.boards[kind]
        for _, span in board.spans:
            slot.spans.append(self._span(slot, board.section, span))
        self.slots.append(slot)
        return slot.taken

    def _span(self, slot: _Slot, section: int, span: int) -> list[_Length]:
        """Lengths of one span; equal lengths are used one after the other."""
        cutter, model = self.problem.cutters[section], self.model
        found: list[_Length] = []
        steps: list[tuple[int, cp_model.IntVar]] = []
        for a in _useful(self.problem, section, self.wanted):
            before = slot.taken
            for _ in range(cutter.rooms[span] // cutter.steps[a]):
                cut = model.new_bool_var("")
                model.add_implication(cut, before)
                found.append(_Length(a, cut, self._bars(section, a, cut)))
                steps.append((cutter.steps[a], cut))
                before = cut
        used = sum(n * cut for n, cut in steps)
        model.add(used <= cutter.rooms[span])
        self._keep_end(slot, section, span, steps)
        return found

    def _bars(
        self, section: int, a: int, cut: cp_model.IntVar
    ) -> tuple[tuple[int, tuple[int, ...], cp_model.IntVar], ...]:
        pricer = self.problem.pricer(section)
        found = []
        for place, times, most in bars_of(self.problem, section, a, self.wanted):
            bar = self.model.new_int_var(0, most, "")
            found.append((place, times, bar))
            group = pricer.groups[place]
            for kind, n in zip(group.kinds, times, strict=True):
                if n:
                    self._given[kind].append((n * int(pricer.ends[a, kind]), bar))
        used = sum(pricer.groups[place].step * bar for place, _, bar in found)
        self.model.add(used <= pricer.grid.room * cut)
        self._keep_edge(section, a, cut, [(pricer.groups[p].step, b) for p, _, b in found])
        return tuple(found)

    def _keep_end(
        self, slot: _Slot, section: int, span: int, steps: Sequence[tuple[int, cp_model.IntVar]]
    ) -> None:
        """What is left at the end of a span when it is worth keeping."""
        least, board = self.problem.shop.keep_length, self.problem.sections[section]
        if least is None or span < whole(least):
            return
        cell = self.problem.cutters[section].grid.cell
        used = [(n * cell, cut) for n, cut in steps]
        area = board.raw[0] * board.raw[1] / 1e18
        self._keep(slot.taken, span, used, max(whole(least), 1), area)

    def _keep_edge(
        self,
        section: int,
        a: int,
        cut: cp_model.IntVar,
        bars: Sequence[tuple[int, cp_model.IntVar]],
    ) -> None:
        """What is left beside the bars of a length when it is worth keeping."""
        shop, plank = self.problem.shop, self.problem.sections[section]
        if shop.keep_width is None or shop.keep_length is None:
            return
        least = max(whole(shop.keep_width), 1)
        if plank.lengths[a] < whole(shop.keep_length) or plank.width < least:
            return
        cell = self.problem.pricer(section).grid.cell
        used = [(n * cell, bar) for n, bar in bars]
        self._keep(cut, plank.width, used, least, plank.lengths[a] * plank.through / 1e18)

    def _keep(
        self,
        owner: cp_model.IntVar,
        room: int,
        used: Sequence[tuple[int, cp_model.IntVar]],
        least: int,
        area: float,
    ) -> None:
        """What is left of a room [nm], if its owner is used and it is no less than the least.

        It is counted in the greatest size of which room and cuts are whole multiples.
        """
        unit, model = math.gcd(room, *(n for n, _ in used)), self.model
        kept, there = model.new_int_var(0, room // unit, ""), model.new_bool_var("")
        rest = room // unit - sum(n // unit * cut for n, cut in used)
        model.add(kept <= rest).only_enforce_if(there)
        model.add(kept >= -(-least // unit)).only_enforce_if(there)
        model.add(kept == 0).only_enforce_if(~there)
        model.add_implication(there, owner)
        self._kept.append((unit * area, kept))

    def cost(self) -> Aimed:
        """Cost of the boards taken, each rounded down to whole units."""
        costs = [float(self.problem.costs[s.kind]) for s in self.slots]
        unit = _unit(sum(costs))
        terms = (
            math.floor(c * unit + HAIR) * s.taken for c, s in zip(costs, self.slots, strict=True)
        )
        return Aimed(sum(terms), unit)

    def wood(self) -> Aimed:
        """Wood taken less off-cuts kept, the one rounded down, the other up to whole units."""
        volumes = [float(self.problem.volumes[s.kind]) for s in self.slots]
        unit = _unit(sum(volumes)) * 1e3
        taken = (
            math.floor(v * unit + HAIR) * s.taken for v, s in zip(volumes, self.slots, strict=True)
        )
        kept = (math.ceil(v * unit - HAIR) * kept for v, kept in self._kept)
        return Aimed(sum(taken) - sum(kept), unit)

    def setups(self) -> Aimed:
        """Different settings: lengths crosscut, widths ripped, thicknesses resawn."""
        for slot in self.slots:
            place = self.problem.boards[slot.kind].section
            groups, section = self.problem.pricer(place).groups, self.problem.sections[place]
            for length in (length for span in slot.spans for length in span):
                self._mark("length", section.lengths[length.place], length.cut)
                for group, times, bar in length.bars:
                    if not section.surfaced or groups[group].width < section.width:
                        self._mark("rip", groups[group].width, bar)
                    for layer, n in zip(groups[group].layers, times, strict=True):
                        if n and layer.through < section.through:
                            self._mark("resaw", layer.through, bar)
        return Aimed(sum(self._marks.values()), 1.0)

    def _mark(self, step: str, size: int, used: cp_model.IntVar) -> None:
        key = (step, size)
        if key not in self._marks:
            self._marks[key] = self.model.new_bool_var("")
        self.model.add(used == 0).only_enforce_if(~self._marks[key])

    def start(self, plan: Sequence[Sawn]) -> None:
        """Start from a plan, and look for none that costs more."""
        cost, free = self.cost(), dict(enumerate(self.slots))
        total, hints = 0, dict[int, int]()
        for board in plan:
            place = next((n for n, s in free.items() if s.kind == board.pattern.board), None)
            if place is None:
                return
            hints.update(self._hints(free.pop(place), board))
            total += math.floor(float(self.problem.costs[board.pattern.board]) * cost.unit + HAIR)
        self.model.add(cost.total <= total)
        for slot in self.slots:
            for variable in self._variables(slot):
                self.model.add_hint(variable, hints.get(variable.index, 0))

    def _hints(self, slot: _Slot, board: Sawn) -> Iterator[tuple[int, int]]:
        """Variables of a slot that are not zero when it is cut like a board."""
        yield slot.taken.index, 1
        waiting: dict[int, list[Layout]] = {}
        for layout in board.layouts:
            waiting.setdefault(layout.length, []).append(layout)
        for span, counts in zip(slot.spans, board.pattern.cuts, strict=True):
            left = list(counts)
            for length in span:
                if left[length.place] and waiting.get(length.place):
                    left[length.place] -= 1
                    yield length.cut.index, 1
                    yield from _filled(length, waiting[length.place].pop())

    def least(
        self, aim: Aimed, clock: Clock, low: float = 0.0, seed: int = 0, gap: float = 0.0
    ) -> Stage:
        """Make something least; the next stage starts from what was found.

        Parameters
        ----------
        aim : what is made least.
        clock : when to end.
        low : known bound.
        seed : of the program's chance.
        gap : relative gap at which it may end.
        """
        from ortools.sat.python import cp_model

        if clock.over:
            return Stage(None, math.inf, low, False)
        if low > 0:
            self.model.add(aim.total >= math.floor(low * (1 - 1e-7) * aim.unit) - len(self.slots))
        self.model.minimize(aim.total)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = WORKERS
        solver.parameters.random_seed = seed
        solver.parameters.relative_gap_limit = gap
        solver.parameters.max_time_in_seconds = max(0.01, clock.left)
        watch = _Watch(solver, clock)
        status = solver.solve(self.model)
        watch.stop()
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Stage(None, math.inf, low, status == cp_model.INFEASIBLE)
        return self._stage(solver, aim)

    def _stage(self, solver: cp_model.CpSolver, aim: Aimed) -> Stage:
        """What was found; the next stage starts from it and keeps its value."""
        self.model.clear_hints()  # type: ignore[no-untyped-call]
        for slot in self.slots:
            for variable in self._variables(slot):
                self.model.add_hint(variable, solver.value(variable))
        value, bound = round(solver.objective_value), solver.best_objective_bound
        self.model.add(aim.total <= value)
        plan = [self._sawn(solver, slot) for slot in self.slots if solver.value(slot.taken)]
        plan = [board for board in plan if board.layouts]
        return Stage(plan, value / aim.unit, bound / aim.unit, bound > value - 1)

    def better(self, cost: float, clock: Clock, seed: int) -> list[Sawn] | None:
        """Boards that cost less than this, if any are found in time."""
        aim = self.cost()
        self.model.add(aim.total <= math.floor((cost - EQUAL * max(1.0, cost)) * aim.unit))
        return self.least(aim, clock, seed=seed).plan

    def _variables(self, slot: _Slot) -> Iterator[cp_model.IntVar]:
        yield slot.taken
        for length in (length for span in slot.spans for length in span):
            yield length.cut
            yield from (bar for _, _, bar in length.bars)

    def _sawn(self, solver: cp_model.CpSolver, slot: _Slot) -> Sawn:
        section = self.problem.boards[slot.kind].section
        cuts, layouts = [], []
        for span in slot.spans:
            counts = [0] * len(self.problem.sections[section].lengths)
            for length in span:
                bars = tuple(
                    (place, times)
                    for place, times, bar in length.bars
                    for _ in range(solver.value(bar))
                )
                if solver.value(length.cut) and bars:
                    counts[length.place] += 1
                    layouts.append(Layout(section, length.place, tuple(sorted(bars))))
            cuts.append(tuple(counts))
        return Sawn.of(self.problem, Pattern(slot.kind, tuple(cuts)), layouts)


def _filled(length: _Length, layout: Layout) -> Iterator[tuple[int, int]]:
    """Bars of a length as a layout has them, or those that hold as much."""
    counts: dict[int, int] = {}
    for group, wanted in layout.bars:
        for place, times, bar in length.bars:
            if place == group and all(a >= b for a, b in zip(times, wanted, strict=True)):
                counts[bar.index] = counts.get(bar.index, 0) + 1
                break
    yield from counts.items()


class _Watch:
    """Ends a solver when it is asked to."""

    def __init__(self, solver: cp_model.CpSolver, clock: Clock) -> None:
        import threading

        self._ended = threading.Event()
        self._solver, self._clock = solver, clock
        self._thread = threading.Thread(target=self._wait, daemon=True)
        if clock.cancel is not None:
            self._thread.start()

    def _wait(self) -> None:
        while not self._ended.wait(0.1):
            if self._clock.cancelled:
                self._solver.stop_search()
                return

    def stop(self) -> None:
        """Stop watching."""
        self._ended.set()
        if self._thread.ident is not None:
            self._thread.join()
