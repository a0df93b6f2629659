"""The cutting plan as plain data. Every key is explained in docs/plan-json.md."""

from __future__ import annotations

from typing import Any

from overbend.plan.cutting import Cutting, Kept
from overbend.plan.facade import Plan
from overbend.project.shop_state import BoardHeld
from overbend.solver import Solution
from overbend.stock import BoardPlan, Piece, Refusal, SawPlan, SheetPlan, Stock

__all__ = ["cutting_data"]

Data = dict[str, Any]


def cutting_data(plan: Plan) -> Data | None:
    """Boards, cuts and sheets; None when no board is known or nothing is to be cut."""
    cutting, asked = plan.cutting, plan.to_cut
    if cutting is None or asked is None:
        return None
    result = cutting.result
    return {
        "status": result.status,
        "currency": plan.project.shop.currency,
        "wanted": [
            {
                "name": d.name,
                "wood": d.wood,
                "length_mm": d.length,
                "width_mm": d.width,
                "finished_width_mm": d.finished,
                "thickness_mm": d.thickness,
                "sawn_thickness_mm": cutting.shop.sawn(d),
                "count": d.count,
                "grain": d.grain,
                "part": d.part,
                "per_part": d.per_part,
            }
            for d in cutting.demands
        ],
        "supply": [_stock(s, plan, asked.rack.get(s.name)) for s in cutting.supply],
        "cost": _solution(result.cost),
        "wood_taken_mm3": _solution(result.wood),
        "saw_plan": None if result.plan is None else _saw_plan(result.plan, cutting),
        "refusals": [_refusal(r) for r in result.refusals],
        "waits": list(result.holds),
        "notes": list(result.notes),
        "sheets": _sheets(cutting),
    }


def _stock(stock: Stock, plan: Plan, held: BoardHeld | None) -> Data:
    wood = plan.project.wood[stock.wood]
    return {
        "name": stock.name,
        "wood": stock.wood,
        "species": plan.woods[stock.wood].species.id,
        "dried": held.dried if held else wood.dried,
        "moisture_pct": held.moisture if held else wood.moisture,
        "length_mm": stock.length,
        "width_mm": stock.width,
        "thickness_mm": stock.thickness,
        "price_each": stock.cost,
        "count": stock.count,
        "defects_mm": [list(span) for span in stock.defects],
        "surfaced": stock.surfaced,
        "sawn_edge": stock.sawn_edge,
        "rack_uid": held.uid if held else None,
    }


def _solution(solution: Solution) -> Data:
    found = solution.objective is not None
    return {
        "status": solution.status,
        "found": solution.objective,
        "bound": solution.bound,
        "gap": solution.gap if found else None,
        "runtime_s": solution.runtime,
    }


def _saw_plan(plan: SawPlan, cutting: Cutting) -> Data:
    kept: dict[tuple[str, int], list[Kept]] = {}
    for one in cutting.kept:
        kept.setdefault((one.stock, one.number), []).append(one)
    return {
        "cost": plan.cost,
        "recovery": plan.recovery,
        "boards_used": plan.bought(),
        "boards": [_board(b, kept.get((b.stock, b.number), [])) for b in plan.boards],
        "setups": [{"step": s.step, "size_mm": s.size, "count": s.count} for s in plan.setups],
    }


def _board(board: BoardPlan, kept: list[Kept]) -> Data:
    return {
        "stock": board.stock,
        "number": board.number,
        "lengths": [
            {"x_mm": n.x, "length_mm": n.length, "pieces": [_piece(p) for p in n.pieces]}
            for n in board.lengths
        ],
        "offcuts": [
            {
                "name": one.name,
                "x_mm": one.offcut.x,
                "y_mm": one.offcut.y,
                "length_mm": one.offcut.length,
                "width_mm": one.offcut.width,
                "thickness_mm": one.offcut.thickness,
            }
            for one in kept
        ],
    }


def _piece(piece: Piece) -> Data:
    return {
        "name": piece.demand,
        "way": piece.way,
        "x_mm": piece.x,
        "y_mm": piece.y,
        "z_mm": piece.z,
        "length_mm": piece.length,
        "across_mm": piece.across,
        "through_mm": piece.through,
        "stack": piece.stack,
        "extra": piece.extra,
    }


def _refusal(refusal: Refusal) -> Data:
    return {"part": refusal.part, "why": refusal.why, "todo": refusal.todo}


def _sheets(cutting: Cutting) -> Data | None:
    sheet, plan = cutting.sheet, cutting.sheets
    if sheet is None or plan is None:
        return None
    return {
        "length_mm": sheet.length,
        "width_mm": sheet.width,
        "trim_mm": sheet.trim,
        "count": cutting.sheet_count,
        "cost": cutting.sheet_cost,
        "proof": _solution(plan.solution),
        "panels": _panels(plan),
        "refusals": [_refusal(r) for r in plan.refusals],
        "other_sheets": list(cutting.other_sheets),
    }


def _panels(plan: SheetPlan) -> list[Data]:
    return [
        {
            "name": p.panel,
            "sheet": p.sheet,
            "x_mm": p.x,
            "y_mm": p.y,
            "length_mm": p.length,
            "width_mm": p.width,
            "turned": p.turned,
        }
        for p in plan.panels
    ]
