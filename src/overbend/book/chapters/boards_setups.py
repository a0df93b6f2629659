"""Set-ups of the machines: a line for each setting, with what the machine takes beside it."""

from __future__ import annotations

from collections.abc import Iterator

from overbend.book.blocks import Table
from overbend.book.say import Say
from overbend.draw.board_text import setting
from overbend.plan.cutting import Cutting
from overbend.stock import (
    Demand,
    MachineLimits,
    Piece,
    SawPlan,
    Setup,
    Shop,
    Stock,
    planed,
    ripped,
    split,
)

__all__ = ["setup_table"]

BOX = "☐"
"""A box to tick."""

_NEAR = 1e-3  # mm


Size = tuple[float, float, float]
"""Length, width and thickness of a piece as it is fed [mm]."""


def setup_table(cutting: Cutting, saw_plan: SawPlan, say: Say) -> Table:
    """Every setting in order, with a box to tick, and the least piece fed held against the machine.

    Parameters
    ----------
    cutting : the cutting plan.
    saw_plan : its boards and cuts.
    say : how lengths are shown.
    """
    fed = _least_fed(cutting, saw_plan)
    rows, before = [], ""
    for setup in saw_plan.setups:
        step = "" if setup.step == before else _STEPS[setup.step]
        before = setup.step
        least = fed[setup.step, round(setup.size, 6)]
        held = _held(setup.step, least, cutting.shop, say)
        rows.append((BOX, step, _set_to(setup, say), str(setup.count), _size(least, say), *held))
    header = ("", "Step", f"Set to, {say.unit}", "Pieces", "Least fed", "Machine takes", "")
    caption = (
        f"In {say.unit_word}, length x width x thickness. Pieces are those that leave the setting. "
        "Least fed: the shortest length, width and thickness among them, which the machine has to "
        "take."
    )
    return Table(header, rows, (2, 3), caption, 9.5)


_STEPS = {
    "crosscut": "Crosscut",
    "surface": "Surface",
    "rip": "Rip",
    "resaw": "Split",
    "plane": "Plane",
    "crosscut to length": "Cut to length",
}


def _set_to(setup: Setup, say: Say) -> str:
    if setup.step == "surface":
        return "flat"
    along = setup.step.startswith("crosscut")
    return say.bare(setup.size) if along else setting(setup.size, say.display)


def _size(size: Size, say: Say) -> str:
    length, *rest = size
    return " x ".join((say.bare(length), *(setting(v, say.display) for v in rest)))


# -- what is fed, and what the machines take ------------------------------------------------
def _least_fed(cutting: Cutting, saw_plan: SawPlan) -> dict[tuple[str, float], Size]:
    """Least length, width and thickness fed at each setting."""
    found: dict[tuple[str, float], Size] = {}
    for step, size, fed in _passes(cutting, saw_plan):
        key = (step, round(size, 6))
        a, b, c = found.get(key, fed)
        found[key] = (min(a, fed[0]), min(b, fed[1]), min(c, fed[2]))
    return found


def _passes(cutting: Cutting, saw_plan: SawPlan) -> Iterator[tuple[str, float, Size]]:
    """Every pass of a piece through a machine: step, setting, size."""
    kinds = {d.name: d for d in cutting.demands}
    stocks = {s.name: s for s in cutting.supply}
    for board in saw_plan.boards:
        stock = stocks[board.stock]
        for length in board.lengths:
            raw = (length.length, stock.width, stock.thickness)
            yield "crosscut", length.length, raw
            if not stock.surfaced:
                yield "surface", 0.0, raw
            for piece in length.pieces:
                yield from _strip(piece, length.length, stock, kinds[piece.demand], cutting.shop)


def _strip(
    piece: Piece, length: float, stock: Stock, kind: Demand, shop: Shop
) -> Iterator[tuple[str, float, Size]]:
    """Passes of a strip once its length is surfaced."""
    through = stock.thickness - (0.0 if stock.surfaced else shop.face_trim)
    if ripped(piece, stock):
        bar = (through, piece.across) if piece.way == "edge" else (piece.across, through)
        yield "rip", piece.across, (length, *bar)
    if split(piece, stock, shop):
        yield "resaw", piece.through, (length, piece.wide, piece.thick)
    finished = (length, piece.wide, kind.thickness)
    if planed(piece, kind):
        yield "plane", kind.thickness, finished
    if piece.length < length - _NEAR:
        yield "crosscut to length", piece.length, finished


def _held(step: str, fed: Size, shop: Shop, say: Say) -> tuple[str, str]:
    """What the machine takes, and whether it takes the least that is fed."""
    if step == "crosscut":
        least = shop.least_length
        return f"after it {say.bare(least)} long", _word(fed[0] >= least - _NEAR)
    if step == "crosscut to length":
        return "after planing, at a stop", ""
    machine = _machine(step, shop)
    sizes = (machine.least_length, machine.least_width, machine.least_thickness)
    takes = (sizes[0] or 0.0, sizes[1] or 0.0, sizes[2] or 0.0)
    holds = all(a >= b - _NEAR for a, b in zip(fed, takes, strict=True))
    return _size(takes, say), _word(holds)


def _machine(step: str, shop: Shop) -> MachineLimits:
    return {"surface": shop.surfacing, "plane": shop.thicknessing}.get(step, shop.saw)


def _word(holds: bool) -> str:
    return "holds" if holds else "fails"
