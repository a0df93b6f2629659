"""What the seasons do to the bends."""

from __future__ import annotations

import math

from overbend.book.blocks import Block, Heading, Table, Text
from overbend.plan import Plan
from overbend.wood import Value

__all__ = ["seasons_section"]


def seasons_section(plan: Plan) -> list[Block]:
    """Table of how each bend's angle changes at home and over a year."""
    if not plan.bent:
        return []
    seasons = plan.seasons
    first = next(iter(seasons.values()))
    header = ("Bend", "Angle", *(f"{s.name}, {s.moisture:.0f} %" for s in first))
    rows = [
        (
            name,
            f"{math.degrees(abs(plan.bent[name].target.curve.turn)):.1f}°",
            *(_change(s.change) for s in found),
        )
        for name, found in seasons.items()
    ]
    made = plan.shop_moisture.value
    return [
        Heading("When the air changes"),
        Table(header, rows, tuple(range(1, len(header)))),
        Text(
            f"Change of the angle between the ends from {made:.0f} % moisture in the shop to that "
            "of other air; “+” closes the bend. Wood moves across the grain and hardly along it, "
            "so a bend closes as it dries. How the rings lie is not known; the range covers it. "
            "Shrinkage along the grain is from memory (0.1 to 0.2 %); the named airs are assumed.",
            "small",
        ),
    ]


def _change(change: Value) -> str:
    """An angle with its range, in degrees."""
    low = change.value if change.low is None else change.low
    high = change.value if change.high is None else change.high
    value, low, high = (round(math.degrees(v), 1) + 0.0 for v in (change.value, low, high))
    if low == high == 0.0:
        return "none"
    return f"{value:+.1f}° ({low:+.1f} to {high:+.1f})"
