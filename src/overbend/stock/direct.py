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

COST_UNIT = 1e4
"""Whole units in one unit of cost."""

WOOD_UNIT = 1e-3
"""Whole units in one cubic millimetre."""


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


def size_of(problem: Problem, wanted: Ints, copies: Ints) -> int:
    """Number of bar variables the program would have.

    Parameters
    ----------
    problem : the problem.
    wanted : pieces of each demand.
    copies : boards of each kind to choose from.
    """
    total = 0
    bars: dict[tuple[int, int], int] = {}
    for board, n in zip(problem.boards, copies, strict=True):
        for _, span in board.spans:
            cutter = problem.cutters[board.section, span]
            for a in _useful(problem, board.section, wanted):
                key = (board.section, a)
                if key not in bars:
                    bars[key] = sum(1 for _ in bars_of(problem, *key, wanted))
                total += int(n) * bars[key] * (cutter.grid.room // cutter.steps[a])
    return total


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
        cutter, model = self.problem.cutters[section, span], self.model
        found: list[_Length] = []
        steps: list[tuple[int, cp_model.IntVar]] = []
        for a in _useful(self.problem, section, self.wanted):
            before = slot.taken
            for _ in range(cutter.grid.room // cutter.steps[a] if a < cutter.fits else 0):
                cut = model.new_bool_var("")
                model.add_implication(cut, before)
                found.append(_Length(a, cut, self._bars(section, a, cut)))
                steps.append((cutter.steps[a], cut))
                before = cut
        used = sum(n * cut for n, cut in steps)
        model.add(used <= cutter.grid.room)
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
        """Cells left at the end of a span when they are worth keeping."""
        least = self.problem.shop.keep_length
        cutter, raw = self.problem.cutters[section, span], self.problem.sections[section].raw
        room, cell = span // cutter.grid.cell, cutter.grid.cell
        if least is None or room * cell < whole(least):
            return
        kept, there = self.model.new_int_var(0, room, ""), self.model.new_bool_var("")
        self.model.add(kept <= room - sum(n * cut for n, cut in steps)).only_enforce_if(there)
        self.model.add(kept >= -(-whole(least) // cell)).only_enforce_if(there)
        self.model.add(kept == 0).only_enforce_if(~there)
        self.model.add_implication(there, slot.taken)
        self._kept.append((cell * raw[0] * raw[1] / 1e18, kept))

    def _keep_edge(
        self,
        section: int,
        a: int,
        cut: cp_model.IntVar,
        bars: Sequence[tuple[int, cp_model.IntVar]],
    ) -> None:
        """Cells left beside the bars of a length when they are worth keeping."""
        shop, plank = self.problem.shop, self.problem.sections[section]
        cell = self.problem.pricer(section).grid.cell
        if shop.keep_width is None or shop.keep_length is None:
            return
        if plank.lengths[a] < whole(shop.keep_length):
            return
        room, least = plank.width // cell, -(-whole(shop.keep_width) // cell)
        if room < least:
            return
        kept, there = self.model.new_int_var(0, room, ""), self.model.new_bool_var("")
        self.model.add(kept <= room - sum(n * bar for n, bar in bars)).only_enforce_if(there)
        self.model.add(kept >= least).only_enforce_if(there)
        self.model.add(kept == 0).only_enforce_if(~there)
        self.model.add_implication(there, cut)
        self._kept.append((cell * plank.lengths[a] * plank.raw[1] / 1e18, kept))

    def cost(self) -> cp_model.LinearExprT:
        """Cost of the boards taken, in whole units."""
        costs = self.problem.costs
        return sum(round(float(costs[s.kind]) * COST_UNIT) * s.taken for s in self.slots)

    def wood(self) -> cp_model.LinearExprT:
        """Wood taken less off-cuts kept, in whole units."""
        volumes = self.problem.volumes
        taken = sum(round(float(volumes[s.kind]) * WOOD_UNIT) * s.taken for s in self.slots)
        return taken - sum(math.floor(v * WOOD_UNIT) * kept for v, kept in self._kept)

    def setups(self) -> cp_model.LinearExprT:
        """Different settings: lengths crosscut, widths ripped, thicknesses resawn."""
        for slot in self.slots:
            section = self.problem.boards[slot.kind].section
            groups = self.problem.pricer(section).groups
            lengths = self.problem.sections[section].lengths
            for length in (length for span in slot.spans for length in span):
                self._mark("length", lengths[length.place], length.cut)
                for place, times, bar in length.bars:
                    self._mark("rip", groups[place].width, bar)
                    for layer, n in zip(groups[place].layers, times, strict=True):
                        if n:
                            self._mark("resaw", layer.through, bar)
        return sum(self._marks.values())

    def _mark(self, step: str, size: int, used: cp_model.IntVar) -> None:
        key = (step, size)
        if key not in self._marks:
            self._marks[key] = self.model.new_bool_var("")
        self.model.add(used == 0).only_enforce_if(~self._marks[key])

    def least(
        self, aim: cp_model.LinearExprT, unit: float, clock: Clock, low: float = 0.0
    ) -> Stage:
        """Make something least; the next stage starts from what was found.

        Parameters
        ----------
        aim : what is made least.
        unit : whole units in one of its units.
        clock : when to end.
        low : known bound.
        """
        from ortools.sat.python import cp_model

        if low > 0:
            self.model.add(aim >= math.floor(low * unit))
        self.model.minimize(aim)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 2
        solver.parameters.max_time_in_seconds = max(0.01, clock.left)
        watch = _Watch(solver, clock)
        status = solver.solve(self.model)
        watch.stop()
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Stage(None, math.inf, low, status == cp_model.INFEASIBLE)
        self.model.clear_hints()  # type: ignore[no-untyped-call]
        for slot in self.slots:
            for variable in self._variables(slot):
                self.model.add_hint(variable, solver.value(variable))
        self.model.add(aim <= round(solver.objective_value))
        bound = solver.best_objective_bound / unit
        plan = [self._sawn(solver, slot) for slot in self.slots if solver.value(slot.taken)]
        plan = [board for board in plan if board.layouts]
        return Stage(plan, solver.objective_value / unit, bound, status == cp_model.OPTIMAL)

    def better(self, cost: float, clock: Clock) -> list[Sawn] | None:
        """Boards that cost less than this, if any are found in time."""
        self.model.add(self.cost() <= math.ceil(cost * COST_UNIT) - 1)
        return self.least(self.cost(), COST_UNIT, clock).plan

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
