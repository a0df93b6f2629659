"""Cutting plans for tests of diagrams, lists and pages: one solved, one laid out by hand."""

from __future__ import annotations

from functools import cache

from overbend.plan.cutting import Cutting
from overbend.solver import Solution
from overbend.stock import (
    BoardPlan,
    Demand,
    MachineLimits,
    OffCut,
    Panel,
    Piece,
    Refusal,
    Result,
    SawnLength,
    SawPlan,
    Sheet,
    Shop,
    Stock,
    cut,
    nest,
)
from overbend.stock.setups import setups_of

SAW = MachineLimits("saw", 300.0, 20.0, 2.5)
PLANER = MachineLimits("thicknessing machine", 310.0, 18.0, 3.0, finished=True)
SHOP = Shop(
    SAW, SAW, PLANER, kerf=2.6, resaw_kerf=2.0, planing=1.2, end_trim=25.0, keep_length=400.0,
    keep_width=50.0,
)  # fmt: skip
DEMANDS = (
    Demand("arch, 3.2 mm strips", "ash", 1290.0, 56.0, 3.2, 9, part="arch", per_part=4),
    Demand("arch, 5 mm strips", "ash", 1290.0, 56.0, 5.0, 3, part="arch", per_part=1),
    Demand("post, blanks", "ash", 560.0, 30.0, 30.0, 2),
    Demand("peg, blanks", "ash", 120.0, 30.0, 8.0, 8),
)
SUPPLY = (
    Stock("board 7", "ash", 1700.0, 140.0, 34.0, defects=((1400.0, 1480.0),), count=1),
    Stock("ash 34", "ash", 2000.0, 130.0, 34.0, 1100.0, "volume"),
)
PANELS = (
    Panel("arch form, layers", 1330.0, 310.0, 4),
    Panel("rail form, layers", 720.0, 170.0, 5),
    Panel("caul", 130.0, 60.0, 5),
)
SHEET = Sheet("sheet", 2440.0, 1220.0, trim=10.0)
NOTHING = Solution(None, 0.0, 0.0, "unknown")


@cache
def solved() -> Cutting:
    """A plan with a rack board, a defect, stacks, pieces end to end, off-cuts and sheets."""
    result = cut(DEMANDS, SUPPLY, SHOP)
    sheets = nest(PANELS, SHEET, SHOP.kerf)
    rack = frozenset({"board 7"})
    return Cutting(DEMANDS, SUPPLY, SHOP, result, PANELS, SHEET, sheets, rack, 48.0, ("rail",), 2.6)


def in_the_way(*, holds: tuple[str, ...] = (), refusals: tuple[Refusal, ...] = ()) -> Cutting:
    """No plan: something has to be typed, or a part cannot be cut."""
    result = Result(None, NOTHING, NOTHING, refusals, holds)
    sheets = nest(PANELS, SHEET, SHOP.kerf)
    return Cutting(DEMANDS, SUPPLY, SHOP, result, PANELS, SHEET, sheets, frozenset(), 48.0, (), 2.6)


STRIP = Demand("strip", "oak", 900.0, 60.0, 7.0, 12)
PLANK = Stock("oak 27", "oak", 2000.0, 130.0, 27.0, 20.0)


def length_at(x: float) -> SawnLength:
    """A length of 900 mm with two bars of 60 mm, each split into two strips of 8.2 mm."""
    pieces = tuple(
        Piece("strip", "flat", x, y, z, 900.0, 60.0, 8.2) for y in (1.5, 64.1) for z in (1.0, 11.2)
    )
    return SawnLength(x, 900.0, pieces)


def by_hand(count: int = 3) -> Cutting:
    """Boards that are cut alike but for the last, which gives one length less and an off-cut."""
    both = (length_at(25.0), length_at(927.6))
    boards = [BoardPlan("oak 27", n, both, ()) for n in range(1, count)]
    rest = OffCut(927.6, 0.0, 1047.4, 130.0, 27.0)
    boards.append(BoardPlan("oak 27", count, (length_at(25.0),), (rest,)))
    pieces = 8 * (count - 1) + 4
    demand = Demand("strip", "oak", 900.0, 60.0, 7.0, pieces)
    taken = count * PLANK.volume - rest.volume
    setups = setups_of(boards, [demand], [PLANK], SHOP)
    plan = SawPlan(tuple(boards), setups, 20.0 * count, taken, demand.volume)
    cost = Solution(20.0 * count, 19.0 * count, 5.2, "feasible")
    wood = Solution(taken, 0.8 * taken, 5.2, "feasible")
    result = Result(plan, cost, wood)
    return Cutting((demand,), (PLANK,), SHOP, result, (), None, None, frozenset(), None, (), 2.6)
