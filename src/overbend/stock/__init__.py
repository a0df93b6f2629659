"""Strips and blanks, and how they are cut from boards and sheets."""

from overbend.stock.colour import boards_in_stacks
from overbend.stock.cutting import Result, cut
from overbend.stock.records import Demand, Grain, Per, Shop, Stock, Way
from overbend.stock.refuse import Refusal, machine_holds, refusals
from overbend.stock.sawplan import BoardPlan, OffCut, Piece, SawnLength, SawPlan, Setup
from overbend.stock.setups import planed, ripped, split
from overbend.stock.sheet_check import verify_sheets
from overbend.stock.sheet_records import Nested, Panel, Sheet, SheetPlan
from overbend.stock.sheets import nest
from overbend.stock.strips import (
    Allowances,
    MachineLimits,
    Strip,
    cutting_holds,
    neutral_lines,
    strips_for,
    total_wood,
)
from overbend.stock.verify import verify

__all__ = [
    "Allowances",
    "BoardPlan",
    "Demand",
    "Grain",
    "MachineLimits",
    "Nested",
    "OffCut",
    "Panel",
    "Per",
    "Piece",
    "Refusal",
    "Result",
    "SawPlan",
    "SawnLength",
    "Setup",
    "Sheet",
    "SheetPlan",
    "Shop",
    "Stock",
    "Strip",
    "Way",
    "boards_in_stacks",
    "cut",
    "cutting_holds",
    "machine_holds",
    "nest",
    "neutral_lines",
    "planed",
    "refusals",
    "ripped",
    "split",
    "strips_for",
    "total_wood",
    "verify",
    "verify_sheets",
]
