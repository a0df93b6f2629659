"""Rectangles from sheets by cuts from edge to edge: form layers from panels.

Few rectangles are nested exactly; for more, free corners are filled in many orders, and the number
of sheets is bounded from below.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from overbend.errors import StockError
from overbend.solver import Cancel, Clock, Solution, Status, Stop
from overbend.stock.records import whole
from overbend.stock.refuse import Refusal
from overbend.stock.sheet_check import verify_sheets
from overbend.stock.sheet_exact import nested_exactly, ways_to_choose
from overbend.stock.sheet_fill import Rect, Spot, fewest_sheets, nested_quickly
from overbend.stock.sheet_records import Nested, Panel, Sheet, SheetPlan

__all__ = ["nest"]

FEW = 100
"""Collections of panels up to which all joinings are compared."""


def nest(
    panels: Sequence[Panel],
    sheet: Sheet,
    kerf: float,
    stop: Stop | None = None,
    seed: int = 0,
    cancel: Cancel | None = None,
) -> SheetPlan:
    """Fewest sheets that give all panels by cuts from edge to edge.

    Parameters
    ----------
    panels : wanted; names are unique.
    sheet : that they are cut from.
    kerf : of the saw [mm].
    stop : when to end before the proof; None: after 20 s.
    seed : of the chance in the orders tried.
    cancel : asked now and then; True ends the search with the best so far.

    Returns
    -------
    The plan; without panels when one is larger than the sheet or the sheets do not suffice.

    Raises
    ------
    StockError
        When two panels share a name.

    Examples
    --------
    >>> layers = [Panel("layer", 900.0, 290.0, 8)]
    >>> plan = nest(layers, Sheet("birch 18", 2440.0, 1220.0), 3.0)
    >>> plan.solution.objective, plan.solution.status
    (1, 'optimal')
    """
    names = [p.name for p in panels]
    if len(set(names)) < len(names):
        raise StockError(f"two of one name among {', '.join(names)}", "panels", "every name once")
    clock = Clock((stop or Stop()).seconds, cancel)
    trim, cut = 2 * whole(sheet.trim), whole(kerf)
    room = (whole(sheet.length) - trim + cut, whole(sheet.width) - trim + cut)
    rects = [Rect(whole(p.length) + cut, whole(p.width) + cut, p.turns) for p in panels]
    refused = tuple(_too_large(panels, rects, room, sheet))
    if refused:
        return SheetPlan((), Solution(None, 0.0, clock.used, "infeasible"), refused)
    plan, bound = _nested(rects, [p.count for p in panels], room, seed, clock)
    if sheet.count is not None and len(plan) > sheet.count:
        return _too_few(panels, sheet, len(plan), bound, clock)
    found = tuple(_named(plan, panels, sheet, kerf))
    faults = verify_sheets(found, panels, sheet, kerf)
    if faults:
        raise StockError(f"the plan failed its own check: {faults[0]}", "sheet plan")
    status: Status = "optimal" if len(plan) == bound else "feasible"
    return SheetPlan(found, Solution(len(plan), bound, clock.used, status))


def _nested(
    rects: Sequence[Rect], counts: Sequence[int], room: tuple[int, int], seed: int, clock: Clock
) -> tuple[list[list[Spot]], int]:
    """Spots and the proven number of sheets."""
    import numpy as np

    bound = fewest_sheets(rects, counts, room)
    few = ways_to_choose(counts) <= FEW
    quick = clock.part(0.05) if few else clock
    plan = nested_quickly(rects, counts, room, bound, np.random.default_rng(seed), quick)
    if few and len(plan) > bound and not clock.over:
        plan = nested_exactly(rects, counts, room)
        bound = len(plan)
    return plan, bound


def _too_large(
    panels: Sequence[Panel], rects: Sequence[Rect], room: tuple[int, int], sheet: Sheet
) -> Iterator[Refusal]:
    for panel, rect in zip(panels, rects, strict=True):
        if not any(rect.ways(room)):
            size = f"{panel.length:g} by {panel.width:g} mm"
            way = "as it lies or turned" if panel.turns else "as it lies"
            yield Refusal(
                panel.name,
                f"{size} does not fit {sheet.name}, {sheet.length:g} by {sheet.width:g} mm, {way}",
                f"A sheet of {panel.length + 2 * sheet.trim:g} by "
                f"{panel.width + 2 * sheet.trim:g} mm would do, or the panel in two parts.",
            )


def _too_few(
    panels: Sequence[Panel], sheet: Sheet, taken: int, bound: int, clock: Clock
) -> SheetPlan:
    """The sheets do not suffice: proven when even the bound passes their number."""
    none = sheet.count is not None and bound > sheet.count
    status: Status = "infeasible" if none else "unknown"
    why = f"{sheet.count} of {sheet.name} do not suffice" + ("" if none else " as far as found")
    more = taken - (sheet.count or 0)
    refusal = Refusal(", ".join(p.name for p in panels), why, f"{more} more would do.")
    return SheetPlan((), Solution(None, bound, clock.used, status), (refusal,))


def _named(
    plan: Sequence[Sequence[Spot]], panels: Sequence[Panel], sheet: Sheet, kerf: float
) -> Iterator[Nested]:
    cut, trim = whole(kerf), whole(sheet.trim)
    for number, spots in enumerate(plan, start=1):
        for spot in spots:
            panel = panels[spot.rect]
            along, across = spot.along - cut, spot.across - cut
            turned = (along, across) != (whole(panel.length), whole(panel.width))
            yield Nested(
                panel.name, number, (spot.x + trim) / 1e6, (spot.y + trim) / 1e6, along / 1e6,
                across / 1e6, turned,
            )  # fmt: skip
