"""A cutting plan as the maker sees it: which board, where it is cut, what each piece becomes.

Places are measured in mm from the board's marked end (x, along the grain), from its edge (y,
across its width) and from its face (z, through its thickness).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from overbend.stock.build import Sawn
from overbend.stock.patterns import Layout, Problem
from overbend.stock.records import Way, whole

__all__ = ["BoardPlan", "OffCut", "Piece", "SawPlan", "SawnLength", "Setup", "lay_out"]

NM = 1e6  # nanometres per mm


@dataclass(frozen=True)
class Piece:
    """One strip or blank in its board.

    Parameters
    ----------
    demand : its kind.
    way : "flat": resawn, its thickness through the plank; "edge": ripped, standing on edge.
    x, y, z : its corner nearest to the marked end, edge and face [mm].
    length, across, through : its size along these, sawn, before planing [mm]. It is not planed
        where it is as thick as the surfaced board it comes from.
    stack : number of the stack of its part it goes into; 0 when in none.
    extra : whether it is more than was asked for.
    """

    demand: str
    way: Way
    x: float
    y: float
    z: float
    length: float
    across: float
    through: float
    stack: int = 0
    extra: bool = False

    @property
    def wide(self) -> float:
        """Size across its wide face [mm]."""
        return self.across if self.way == "flat" else self.through

    @property
    def thick(self) -> float:
        """Thickness, before planing [mm]."""
        return self.through if self.way == "flat" else self.across


@dataclass(frozen=True)
class SawnLength:
    """One length crosscut from a board, and what is ripped from it.

    Parameters
    ----------
    x, length : where it begins and how long it is [mm].
    pieces : in the order they leave the saw.
    """

    x: float
    length: float
    pieces: tuple[Piece, ...]


@dataclass(frozen=True)
class OffCut:
    """A remainder worth keeping: where it begins and its size [mm]."""

    x: float
    y: float
    length: float
    width: float
    thickness: float

    @property
    def volume(self) -> float:
        """Wood in it [mm3]."""
        return self.length * self.width * self.thickness


@dataclass(frozen=True)
class BoardPlan:
    """One board: its name in the supply, its number among its equals, and its cuts."""

    stock: str
    number: int
    lengths: tuple[SawnLength, ...]
    offcuts: tuple[OffCut, ...]

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """All pieces of the board."""
        return tuple(piece for length in self.lengths for piece in length.pieces)


@dataclass(frozen=True)
class Setup:
    """One setting of a machine: the step, the size it is set to [mm], cuts or pieces."""

    step: str
    size: float
    count: int


@dataclass(frozen=True)
class SawPlan:
    """All boards to be cut.

    Parameters
    ----------
    boards : in the order they are cut.
    setups : settings of the machines, in the order the wood goes through them.
    cost : of the boards.
    taken : wood in the boards less the off-cuts kept [mm3].
    wanted : wood in the finished strips asked for [mm3].
    """

    boards: tuple[BoardPlan, ...]
    setups: tuple[Setup, ...]
    cost: float
    taken: float
    wanted: float

    @property
    def waste(self) -> float:
        """Wood taken that is in no strip asked for [mm3]."""
        return self.taken - self.wanted

    @property
    def recovery(self) -> float:
        """Part of the wood taken that is in the finished strips."""
        return self.wanted / self.taken if self.taken else 0.0

    def bought(self) -> dict[str, int]:
        """How many boards of each stock are used.

        Examples
        --------
        >>> board = BoardPlan("B1", 1, (), ())
        >>> SawPlan((board, board), (), 0.0, 0.0, 0.0).bought()
        {'B1': 2}
        """
        found: dict[str, int] = {}
        for board in self.boards:
            found[board.stock] = found.get(board.stock, 0) + 1
        return found


def lay_out(problem: Problem, plan: Sequence[Sawn]) -> tuple[BoardPlan, ...]:
    """Places of all cuts of a plan; equal boards follow each other.

    Parameters
    ----------
    problem : the problem.
    plan : its boards.
    """
    numbers: dict[int, int] = {}
    found = []
    for board in sorted(plan, key=_order):
        kind = board.pattern.board
        numbers[kind] = numbers.get(kind, 0) + 1
        found.append(_board(problem, board, numbers[kind]))
    return tuple(found)


def _order(board: Sawn) -> tuple[object, ...]:
    return (board.pattern.board, board.pattern.cuts, [layout.bars for layout in board.layouts])


def _board(problem: Problem, sawn: Sawn, number: int) -> BoardPlan:
    board = problem.boards[sawn.pattern.board]
    stock = problem.supply[board.stock]
    section = problem.sections[board.section]
    waiting: dict[int, list[Layout]] = {}
    for layout in sawn.layouts:
        waiting.setdefault(layout.length, []).append(layout)
    kerf = problem.kerf()
    lengths: list[SawnLength] = []
    offcuts: list[OffCut] = []
    for (start, room), cut in zip(board.spans, sawn.pattern.cuts, strict=True):
        at = start
        for a in reversed(range(len(cut))):
            for _ in range(cut[a]):
                size = section.lengths[a]
                if waiting.get(a):
                    layout = waiting[a].pop()
                    lengths.append(_length(problem, layout, at))
                    offcuts += _edge(problem, layout, at)
                at += size + kerf
        offcuts += _end(problem, section.raw, at, start + room)
    return BoardPlan(stock.name, number, tuple(lengths), tuple(offcuts))


def _end(problem: Problem, raw: tuple[int, int], at: int, end: int) -> Iterator[OffCut]:
    """The rest of a span when it is worth keeping."""
    least = problem.shop.keep_length
    if least is not None and end - at >= max(whole(least), 1):
        yield OffCut(at / NM, 0.0, (end - at) / NM, raw[0] / NM, raw[1] / NM)


def _edge(problem: Problem, layout: Layout, x: int) -> Iterator[OffCut]:
    """The strip left beside the bars when it is worth keeping."""
    pricer, section = problem.pricer(layout.section), problem.sections[layout.section]
    if problem.kept_edge(layout) > 0:
        kerf = problem.kerf()
        used = sum(pricer.groups[place].width + kerf for place, _ in layout.bars)
        first = (section.raw[0] - section.width) // 2
        size = section.lengths[layout.length]
        yield OffCut(
            x / NM, (first + used) / NM, size / NM, (section.width - used) / NM,
            section.through / NM,
        )  # fmt: skip


def _length(problem: Problem, layout: Layout, x: int) -> SawnLength:
    pricer, section = problem.pricer(layout.section), problem.sections[layout.section]
    y = (section.raw[0] - section.width) // 2
    size = section.lengths[layout.length]
    pieces: list[Piece] = []
    for place, times in sorted(layout.bars, key=lambda bar: (-bar[0], bar[1])):
        pieces += _bar(problem, layout, place, times, x, y)
        y += pricer.groups[place].width + problem.kerf()
    return SawnLength(x / NM, size / NM, tuple(pieces))


def _bar(
    problem: Problem, layout: Layout, place: int, times: Sequence[int], x: int, y: int
) -> Iterator[Piece]:
    """Pieces of one bar, layer by layer, end to end."""
    pricer, section = problem.pricer(layout.section), problem.sections[layout.section]
    group = pricer.groups[place]
    z = (section.raw[1] - section.through) // 2
    for layer, count in zip(group.layers, times, strict=True):
        demand = problem.demands[layer.kind]
        piece = Piece(
            demand.name, layer.way, 0.0, y / NM, 0.0, demand.length, group.width / NM,
            layer.through / NM,
        )  # fmt: skip
        for _ in range(count):
            for end in range(int(pricer.ends[layout.length, layer.kind])):
                along = x + end * (whole(demand.length) + problem.kerf())
                yield replace(piece, x=along / NM, z=z / NM)
            z += layer.through + whole(problem.shop.through_kerf)
