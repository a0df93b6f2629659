"""All bent parts at one scale on one drawing."""

from __future__ import annotations

from overbend.draw.drawing import Drawing, Item, Label, Layer, Pen, Stroke
from overbend.draw.part_sheet import glue_lines, level_turn, part_outline
from overbend.plan import BentPlan, Plan

__all__ = ["overview_drawing"]

_GAP = 9.0  # mm on paper between one part and the next


def overview_drawing(plan: Plan, scale: float) -> Drawing:
    """Draw every kind of bent part at rest, one above the other, chord level.

    Parameters
    ----------
    plan : the plan.
    scale : the drawing will be written at.
    """
    items: list[Item] = []
    top = 0.0
    for part in plan.bent.values():
        drawing = _one(part, scale)
        x0, y0, x1, y1 = drawing.bounds
        placed = drawing.moved(-(x0 + x1) / 2, top - y1)
        words = f"{part.name}, {part.count} off" if part.count > 1 else part.name
        items += placed.items
        items.append(Label(0.0, top - (y1 - y0) - 2.0 / scale, words, 2.5, "centre", "top"))
        top -= (y1 - y0) + _GAP / scale
    return Drawing(tuple(items), f"Bent parts of {plan.project.name}")


def _one(part: BentPlan, scale: float) -> Drawing:
    curve = part.target.curve
    outline = Stroke(part_outline(curve, part.depth), Layer.TARGET, Pen.OUTLINE, part.name)
    return Drawing((outline, *glue_lines(part, scale)), part.name).moved(turn=level_turn(curve))
