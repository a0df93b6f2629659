"""The cutting plan: boards to buy or to take from the rack, their cuts, sheets for forms."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from overbend.plan.wanted import demands_of, other_sheets, panels_of
from overbend.project.schema import YardBoard
from overbend.project.shop_state import BoardHeld
from overbend.solver import Cancel, Progress, Solution, Stop
from overbend.stock import (
    Demand,
    OffCut,
    Panel,
    Per,
    Refusal,
    Result,
    Sheet,
    SheetPlan,
    Shop,
    Stock,
    cut,
    machine_holds,
    nest,
    refusals,
)

if TYPE_CHECKING:
    from overbend.plan.facade import Plan
    from overbend.wood import Wood

__all__ = ["Cutting", "Kept", "ToCut", "cutting_of", "rack_boards", "to_cut"]

_FOOT = 0.3048  # m
_BOARD_FOOT = 0.3048**3 / 12  # m3
_PER: dict[str, tuple[Per, float]] = {
    "piece": ("piece", 1.0),
    "metre": ("metre", 1.0),
    "foot": ("metre", _FOOT),
    "volume": ("volume", 1.0),
    "board-foot": ("volume", _BOARD_FOOT),
}
"""What a price is for, and how many metres or cubic metres of it."""

_SHEET_SHARE = 0.2
"""Part of the time that the sheets may take."""


@dataclass(frozen=True)
class ToCut:
    """What a cutting plan is made from, before any board is chosen.

    Parameters
    ----------
    demands : strips with spares, and blanks of straight parts.
    supply : boards of the rack first, then the yard's list.
    shop : how it is cut.
    panels : layers of forms.
    sheet : that they are cut from; None when there are none.
    rack : names in the supply that lie on the ledger's rack, with what the ledger knows of them.
    other_sheets : parts whose form is made of sheets of another thickness; not in the plan.
    """

    demands: tuple[Demand, ...]
    supply: tuple[Stock, ...]
    shop: Shop
    panels: tuple[Panel, ...]
    sheet: Sheet | None
    rack: dict[str, BoardHeld]
    other_sheets: tuple[str, ...]


@dataclass(frozen=True)
class Kept:
    """An off-cut worth keeping.

    Parameters
    ----------
    name : to be written on it: "off-cut" and its number in the plan.
    stock, number : the board it is left of.
    offcut : its place and size.
    """

    name: str
    stock: str
    number: int
    offcut: OffCut


@dataclass(frozen=True)
class Cutting:
    """A cutting plan, or what is in its way.

    Parameters
    ----------
    demands : strips with spares, and blanks of straight parts; every name once.
    supply : boards of the ledger's rack first (paid for, with their defects), then the yard's list.
    shop : saw, planing, least sizes of the machines.
    result : boards and cuts with their proof; refusals, or what has to be typed first.
    panels : layers of forms, as rectangles.
    sheet : that they are cut from; None when there are none.
    sheets : where they lie; None when there is nothing to nest.
    rack : names in the supply that lie on the ledger's rack.
    sheet_price : of one sheet; None where it was not typed.
    other_sheets : parts whose form is made of sheets of another thickness; not in the plan.
    sheet_kerf : width of the cuts in sheets [mm].
    """

    demands: tuple[Demand, ...]
    supply: tuple[Stock, ...]
    shop: Shop
    result: Result
    panels: tuple[Panel, ...]
    sheet: Sheet | None
    sheets: SheetPlan | None
    rack: frozenset[str]
    sheet_price: float | None = None
    other_sheets: tuple[str, ...] = ()
    sheet_kerf: float = 0.0

    @cached_property
    def kept(self) -> tuple[Kept, ...]:
        """Off-cuts worth keeping, numbered in the order the boards are cut."""
        boards = self.result.plan.boards if self.result.plan else ()
        every = [(board, offcut) for board in boards for offcut in board.offcuts]
        return tuple(
            Kept(f"off-cut {i}", board.stock, board.number, offcut)
            for i, (board, offcut) in enumerate(every, start=1)
        )

    @property
    def sheet_count(self) -> int | None:
        """Sheets to buy; None when there is nothing to nest or it cannot be done."""
        if self.sheets is None or self.sheets.solution.objective is None:
            return None
        return round(self.sheets.solution.objective)

    @property
    def sheet_cost(self) -> float | None:
        """Cost of the sheets; None where their price or number is not known."""
        if self.sheet_price is None or self.sheet_count is None:
            return None
        return self.sheet_price * self.sheet_count


# -- what there is -------------------------------------------------------------------------
def to_cut(plan: Plan) -> ToCut | None:
    """What is wanted and what there is; None when nothing is to be cut or no board is known."""
    rack = rack_boards(plan.shop_state.boards, plan)
    bought = [_bought(row) for row in plan.project.shop.yard]
    if not rack and not bought:
        return None
    panels, shop, more = panels_of(plan), plan.project.shop, plan.project.shop.cutting
    sheet = Sheet("sheet", *shop.sheet, trim=more.sheet_trim) if panels else None
    supply = (*(stock for stock, _ in rack), *bought)
    held = {stock.name: board for stock, board in rack}
    demands = demands_of(plan)
    if not demands and not panels:
        return None
    return ToCut(demands, supply, _shop(plan), panels, sheet, held, other_sheets(plan))


def _shop(plan: Plan) -> Shop:
    shop, more, saw = plan.project.shop, plan.project.shop.cutting, plan.project.shop.machine.saw
    sawing, surfacing, thicknessing = plan.machines
    return Shop(
        sawing,
        surfacing,
        thicknessing,
        kerf=shop.saw_kerf,
        resaw_kerf=more.resaw_kerf,
        planing=shop.planer_allowance,
        end_trim=more.end_trim,
        edge_trim=more.edge_trim,
        face_trim=more.face_trim,
        keep_length=more.keep_length or None,
        keep_width=more.keep_width or None,
        rip_depth=saw.depth,
        resaw_depth=saw.resaw_depth,
    )


def _bought(row: YardBoard) -> Stock:
    per, size = _PER[row.price_per]
    return Stock(
        row.name, row.wood, row.length, row.width, row.thickness, row.price / size, per, row.count,
        surfaced=row.surfaced,
    )  # fmt: skip


def rack_boards(held: tuple[BoardHeld, ...], plan: Plan) -> list[tuple[Stock, BoardHeld]]:
    """Boards of the rack that are of a wood of the project, as supply that is paid for.

    The species has to be the same, and the way it was dried where the ledger knows it. A board
    that two woods of the project could be is the first one's.
    """
    found = []
    for board in held:
        wood = next((name for name in plan.woods if _same_wood(board, plan.woods[name])), None)
        if wood is not None:
            sizes = (board.length, board.width, board.thickness)
            stock = Stock(
                board.name, wood, *sizes, count=1, defects=board.defects, surfaced=board.surfaced,
                sawn_edge=board.off_cut,
            )  # fmt: skip
            found.append((stock, board))
    return found


def _same_wood(board: BoardHeld, wood: Wood) -> bool:
    return board.species == wood.species.id and board.dried in ("", wood.dried)


# -- the plan ------------------------------------------------------------------------------
def cutting_of(
    plan: Plan,
    stop: Stop | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Cutting | None:
    """Choose boards, cuts and sheets; None when no board is known.

    Parameters
    ----------
    plan : the plan.
    stop : when to end before the proof; None: after the time that the project gives it.
    progress : told of each better cost.
    cancel : asked now and then; True ends the search with the best so far.
    """
    asked = plan.to_cut
    if asked is None:
        return None
    stop = stop or Stop(plan.project.shop.cutting.seconds)
    sheets, kerf = None, plan.project.shop.cutting.sheet_kerf
    kerf = plan.project.shop.saw_kerf if kerf is None else kerf
    if asked.sheet is not None:
        short = replace(stop, seconds=_SHEET_SHARE * stop.seconds)
        sheets = nest(asked.panels, asked.sheet, kerf, short, cancel=cancel)
    result = _result(plan, asked, stop, progress, cancel)
    return Cutting(
        asked.demands, asked.supply, asked.shop, result, asked.panels, asked.sheet, sheets,
        frozenset(asked.rack), plan.project.shop.cutting.sheet_price, asked.other_sheets,
        kerf,
    )  # fmt: skip


def _result(
    plan: Plan, asked: ToCut, stop: Stop, progress: Progress | None, cancel: Cancel | None
) -> Result:
    """Boards and cuts, or what is in their way in the reader's unit."""
    holds = machine_holds(asked.demands, asked.shop, plan.length, asked.supply)
    refused: tuple[Refusal, ...] = ()
    if not holds:
        refused = refusals(asked.demands, asked.supply, asked.shop, plan.length)
    if holds or refused:
        none = Solution(None, 0.0, 0.0, "unknown" if holds else "infeasible")
        return Result(None, none, none, refused, holds)
    return cut(asked.demands, asked.supply, asked.shop, stop, progress=progress, cancel=cancel)
