"""Drawings on the page: at which scale, and how the caption names it."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

from overbend.book.blocks import Picture
from overbend.draw.drawing import Drawing, Layer
from overbend.draw.svg import to_svg

__all__ = ["SCALES", "best_scale", "drawn_at", "drawn_to_fit", "page_scale", "scale_words"]

SCALES = (
    1.0,
    1 / 2,
    1 / 3,
    1 / 4,
    1 / 5,
    1 / 6,
    1 / 8,
    1 / 10,
    1 / 12,
    1 / 15,
    1 / 20,
    1 / 30,
    1 / 50,
)
"""Scales a rule or a pocket calculator copes with; the page is filled better than by 1-2-5."""

_WIDE = 0.35  # mm, width of wide lines on the page
_MARGIN = 1.5  # mm round a picture


def page_scale(drawing: Drawing, width: float, height: float, room: float) -> float:
    """Largest scale of `SCALES` at which a drawing fits a field on the page.

    Parameters
    ----------
    drawing : what has to fit.
    width, height : the field [mm on paper].
    room : to be left free on every side for dimensions, marks and texts [mm on paper].
    """
    x0, y0, x1, y1 = drawing.without(Layer.DIMENSION, Layer.TEXT, Layer.MARK).bounds
    most = min((width - 2 * room) / max(x1 - x0, 1e-9), (height - 2 * room) / max(y1 - y0, 1e-9))
    return next((s for s in SCALES if s <= most * (1 + 1e-9)), most)


def scale_words(scale: float) -> str:
    """A scale as a drawing names it.

    Examples
    --------
    >>> scale_words(0.2), scale_words(1.0), scale_words(0.013)
    ('1 : 5', 'full size', 'not to a round scale')
    """
    if scale == 1.0:
        return "full size"
    part = 1.0 / scale
    return f"1 : {part:.0f}" if abs(part - round(part)) < 1e-6 else "not to a round scale"


def drawn_at(drawing: Drawing, scale: float, caption: str) -> Picture:
    """Return a drawing written at its scale, with the scale in its caption."""
    svg = to_svg(drawing, scale, margin=_MARGIN, theme="print", wide=_WIDE)
    return Picture(svg, f"{caption}, {scale_words(scale)}")


def best_scale(build: Callable[[float], Drawing], width: float, height: float) -> float:
    """Largest scale of `SCALES` at which all of a drawing fits a field, its texts too.

    Parameters
    ----------
    build : makes the drawing for a scale.
    width, height : the field [mm on paper].
    """
    room = 2 * _MARGIN
    most = page_scale(build(0.1), width - room, height - room, 0.0)
    tried = [s for s in SCALES if s <= most] or [most]
    for scale in tried:
        x0, y0, x1, y1 = build(scale).extent(scale)
        if (x1 - x0) * scale + room <= width and (y1 - y0) * scale + room <= height:
            return scale
    return tried[-1]


def drawn_to_fit(
    build: Callable[[float], Drawing], width: float, height: float, caption: str
) -> Picture:
    """Return a drawing at its best scale, which its caption names."""
    made = cache(build)
    scale = best_scale(made, width, height)
    return drawn_at(made(scale), scale, caption)
