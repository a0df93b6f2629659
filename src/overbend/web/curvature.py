"""The strip under the drawing: how tightly the governing strip bends along its form.

Curvature goes up, so tighter is higher; the numbers beside it are radii. Two lines are the
limits of that strip: under the first it holds, over the second it breaks more often than not.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from overbend.bend.strain import Limits, tightest_radius
from overbend.curve import ArcPath, Floats
from overbend.draw.drawing import Area, Drawing, Item, Label, Layer, Pen, Stroke
from overbend.draw.lettering import text_width
from overbend.plan import BentPlan, named_stations
from overbend.units import Display, format_length
from overbend.web.pictures import page_svg
from overbend.web.words import words

__all__ = ["curvature_strip", "radius_ticks"]

_LEFT, _RIGHT, _TOP, _BOTTOM = 17.0, 24.0, 3.0, 7.0  # mm round the field
_TEXT = 2.1
_ROWS, _APART = (1.1, 3.9), 1.0  # mm below the field; between two names
_RADII = (10, 12.5, 15, 20, 25, 30, 40, 50, 60, 80)


def radius_ticks(most: float, apart: float, system: str) -> list[float]:
    """Round radii whose curvatures stand at least `apart` from each other, up to `most`.

    Parameters
    ----------
    most : greatest curvature of the axis [1/mm].
    apart : least distance between two [1/mm].
    system : "mm" or "in".

    Examples
    --------
    >>> radius_ticks(0.01, 0.002, "mm")
    [100.0, 125.0, 200.0, 400.0]
    """
    unit = 25.4 if system == "in" else 1.0
    radii = sorted(unit * r * 10.0**k for r in _RADII for k in range(-1, 4))
    found: list[float] = []
    last = math.inf
    for radius in radii:
        kappa = 1.0 / radius
        if kappa <= most and last - kappa >= apart and kappa >= apart:
            found.append(radius)
            last = kappa
    return found


def curvature_strip(
    part: BentPlan, width: float, height: float, display: Display
) -> dict[str, Any]:
    """Draw the strip.

    Parameters
    ----------
    part : the part.
    width, height : of the sheet [mm].
    display : the reader's units.

    Returns
    -------
    dict
        ``svg``, and ``left`` and ``right``, where the part begins and ends on it [mm].
    """
    field = _Field(part, max(width, 60.0), max(height, 20.0))
    verdict = part.risk.strain.verdict
    about = words("strip.about", word=verdict.word, radius=format_length(verdict.tightest, display))
    drawing = Drawing(
        (*field.axis(display), *field.limits(), *field.line(), *field.stations()),
        words("strip.title", part=part.name),
        about,
    )
    window = (0.0, 0.0, field.width, field.height)
    return {
        "svg": page_svg(drawing, 1.0, window=window),
        "left": _LEFT,
        "right": field.width - _RIGHT,
    }


class _Field:
    """Maps arc length and curvature to places on the sheet [mm, y up]."""

    def __init__(self, part: BentPlan, width: float, height: float) -> None:
        self.part, self.width, self.height = part, width, height
        self.strain = part.risk.strain
        verdict = self.strain.verdict
        strip = self.strain.strips[verdict.ply]
        self.s, self.kappa = _thinned(
            self.strain.stations, np.abs(self.strain.kappa[verdict.ply]), int(0.8 * width)
        )
        self.holds = 1.0 / verdict.tightest
        fails = Limits(strip.fails.tension, strip.fails.compression)
        self.fails = 1.0 / tightest_radius(strip.thickness, strip.way, fails)
        self.most = 1.12 * max(float(self.kappa.max()), self.holds)
        self.length = float(self.strain.stations[-1])

    def x(self, s: ArrayLike) -> Floats:
        """Place of an arc length."""
        return np.asarray(_LEFT + np.asarray(s) / self.length * (self.width - _LEFT - _RIGHT))

    def y(self, kappa: ArrayLike) -> Floats:
        """Height of a curvature."""
        room = self.height - _TOP - _BOTTOM
        return np.asarray(_BOTTOM + np.minimum(np.asarray(kappa) / self.most, 1.0) * room)

    def across(self, kappa: float, layer: Layer, pen: Pen) -> Stroke:
        """A level line."""
        y = float(self.y(kappa))
        ends = np.array([[_LEFT, y], [self.width - _RIGHT, y]])
        return Stroke(ArcPath.polyline(ends), layer, pen)

    def axis(self, display: Display) -> list[Item]:
        """Round radii on the left, faint lines across."""
        room = self.height - _TOP - _BOTTOM
        radii = radius_ticks(self.most, 4.4 / room * self.most, display.system)
        items: list[Item] = [self.across(0.0, Layer.DIMENSION, Pen.THIN)]
        for radius in radii:
            items.append(self.across(1.0 / radius, Layer.SHEET, Pen.THIN))
            text = f"R {format_length(radius, display, unit=False)}"
            y = float(self.y(1.0 / radius))
            items.append(Label(_LEFT - 1.5, y, text, _TEXT, "right", "middle"))
        straight = words("strip.straight")
        return [*items, Label(_LEFT - 1.5, _BOTTOM, straight, _TEXT, "right", "middle")]

    def limits(self) -> list[Item]:
        """The two limits, named on the right where they do not touch."""
        x = self.width - _RIGHT + 1.5
        low = float(self.y(self.holds))
        items: list[Item] = [
            self.across(self.holds, Layer.MARK, Pen.LONG_DASH),
            Label(x, low, words("strip.holds"), _TEXT, "left", "middle"),
        ]
        if self.fails <= self.most:
            high = max(float(self.y(self.fails)), low + 3.4)
            items.append(self.across(self.fails, Layer.MARK, Pen.HIDDEN))
            items.append(Label(x, high, words("strip.fails"), _TEXT, "left", "middle"))
        return items

    def line(self) -> list[Item]:
        """Curvature of the governing strip, tinted below."""
        x, y = self.x(self.s), self.y(self.kappa)
        top = np.column_stack([x, y])
        foot = np.array([[x[-1], _BOTTOM], [x[0], _BOTTOM]])
        return [
            Area((ArcPath.polyline(np.concatenate([top, foot]), closed=True),), Layer.PART, "tint"),
            Stroke(ArcPath.polyline(top), Layer.TARGET, Pen.OUTLINE, "curvature"),
        ]

    def stations(self) -> list[Item]:
        """Names below, where named stations lie: in two rows, none over another."""
        items: list[Item] = []
        ends = [-math.inf] * len(_ROWS)
        for name, s in sorted(named_stations(self.part.glued).items(), key=lambda one: one[1]):
            x, half = float(self.x(s)), 0.5 * text_width(name, _TEXT)
            tick = np.array([[x, _BOTTOM], [x, _BOTTOM + 1.5]])
            items.append(Stroke(ArcPath.polyline(tick), Layer.DIMENSION, Pen.THIN))
            row = next((n for n, end in enumerate(ends) if x - half > end + _APART), None)
            if row is not None:
                ends[row] = x + half
                items.append(Label(x, _BOTTOM - _ROWS[row], name, _TEXT, "centre", "top"))
        return items


def _thinned(s: Floats, kappa: Floats, most: int) -> tuple[Floats, Floats]:
    """About so many places: even ones, the tightest, and both sides of every jump and corner."""
    if len(s) <= most:
        return s, kappa
    slope = np.diff(kappa) / np.maximum(np.diff(s), 1e-9)
    corner = np.abs(np.diff(slope)) > 0.02 * float(kappa.max()) / (float(s[-1]) / most)
    keep = np.zeros(len(s), bool)
    keep[np.linspace(0, len(s) - 1, most).round().astype(int)] = True
    keep[kappa.argmax()] = True
    keep[1:-1] |= corner
    return s[keep], kappa[keep]
