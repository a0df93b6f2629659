"""Chart of the strain along a part on its form, with the limits of its wood."""

from __future__ import annotations

import numpy as np

from overbend.draw.chart import Axis, Chart, Line, chart_drawing
from overbend.draw.drawing import Drawing, Pen
from overbend.plan import BentPlan, named_stations
from overbend.units import Display

__all__ = ["strain_drawing"]

_AXIS = {"convex": "stretch of the convex face, %", "concave": "shortening of the hollow face, %"}


def strain_drawing(part: BentPlan, display: Display, width: float = 125.0) -> Drawing:
    """Chart the governing strip's strain along the form, and where it holds and fails.

    Parameters
    ----------
    part : the part.
    display : how lengths are shown.
    width : of the chart's field [mm on paper].
    """
    strain = part.risk.strain
    verdict, along = strain.verdict, strain.stations
    of = strain.tension if verdict.face == "convex" else strain.compression
    own = 100.0 * of[verdict.ply]
    holds, fails = 100.0 * verdict.holds, 100.0 * verdict.fails
    level = np.array([0.0, along[-1]])
    inches = display.system == "in"
    chart = Chart(
        Axis(
            0.0,
            float(along[-1]),
            f"along the part on its form, {display.system}",
            25.4 if inches else 1.0,
        ),
        Axis(0.0, 1.15 * max(fails, float(own.max())), _AXIS[verdict.face]),
        (
            Line(along, own, Pen.OUTLINE, "this strip"),
            Line(level, np.full(2, holds), Pen.LONG_DASH, "1 in 20"),
            Line(level, np.full(2, fails), Pen.HIDDEN, "half break"),
        ),
        title=f"{part.name}: strain along the form",
        width=width,
        marks={s: name for name, s in named_stations(part.glued).items()},
    )
    return chart_drawing(chart)
