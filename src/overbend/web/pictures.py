"""Drawings for the page: SVG whose colours come from the style sheet, without inline styles."""

from __future__ import annotations

import re

from overbend.draw.arcs import Box
from overbend.draw.drawing import Drawing
from overbend.draw.svg import to_svg

__all__ = ["PX", "fitted", "page_svg"]

PX = 25.4 / 96.0
"""Millimetres on the sheet for one pixel of the page."""

_STYLED = re.compile(
    r' (color|fill|stroke)="#[0-9a-f]{6}" style="\1:var\(--([a-z]+),#[0-9a-f]{6}\)"'
)
_STYLE = re.compile(r' style="[^"]*"')

WIDE = 0.42  # mm, width of wide lines on the page


def page_svg(
    drawing: Drawing, scale: float = 1.0, *, window: Box | None = None, margin: float = 3.0
) -> str:
    """Write a drawing for the page.

    The page's policy allows no inline style, so a colour becomes an attribute
    (``data-color="ink"``) that the style sheet turns into the theme's colour.

    Parameters
    ----------
    drawing : what to draw.
    scale : millimetres on the sheet per millimetre.
    window : part of the model to show [mm]; None for all of it.
    margin : free room round everything when there is no window [mm on the sheet].

    Examples
    --------
    >>> from overbend.draw.drawing import Disc
    >>> svg = page_svg(Drawing((Disc(0, 0, 9),), "a hole"))
    >>> 'data-color="ink"' in svg, "style=" in svg
    (True, False)
    """
    svg = to_svg(drawing, scale, margin=margin, theme="page", window=window, wide=WIDE, rough=True)
    return _STYLE.sub("", _STYLED.sub(r' data-\1="\2"', svg))


def fitted(bounds: Box, width: float, height: float, room: float) -> tuple[float, Box]:
    """Scale and window that put a box in the middle of a sheet.

    Parameters
    ----------
    bounds : of what has to be seen [mm].
    width, height : of the sheet [mm].
    room : kept free on every side [mm on the sheet].

    Examples
    --------
    >>> fitted((0.0, 0.0, 400.0, 100.0), 100.0, 60.0, 10.0)
    (0.2, (-50.0, -100.0, 450.0, 200.0))
    """
    x0, y0, x1, y1 = bounds
    free = max(width - 2.0 * room, 5.0), max(height - 2.0 * room, 5.0)
    scale = min(free[0] / max(x1 - x0, 1.0), free[1] / max(y1 - y0, 1.0))
    cx, cy = 0.5 * (x0 + x1), 0.5 * (y0 + y1)
    half = 0.5 * width / scale, 0.5 * height / scale
    return scale, (cx - half[0], cy - half[1], cx + half[0], cy + half[1])
