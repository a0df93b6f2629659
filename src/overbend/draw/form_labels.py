"""Where the names of a form's marks, holes, pins, clamps and stop may stand."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from overbend.curve import ArcPath, Floats
from overbend.draw.drawing import Anchor, Label, Layer, Level, Pen, Stroke
from overbend.draw.lettering import block, upright
from overbend.draw.placing import Group, beside, standing
from overbend.draw.words import ENGLISH, say
from overbend.form import Pin
from overbend.units import Display, format_length

__all__ = ["clamp_number", "hole_size", "mark_name", "pin_name", "stop_name"]

_SIZE = 2.3  # mm, height of a capital
_MARK_OUT, _MARK_IN = 4.0, 12.0  # mm that a mark's line runs before and behind the face
_DEPTHS = (6.5, 9.0, 12.0, 16.0, 21.0, 27.0, 34.0, 42.0)  # mm behind the face
_LED = (4.0, 8.0, 13.0, 19.0, 26.0, 35.0)  # mm, lengths of leaders


def mark_name(line: Floats, names: Sequence[str]) -> Iterator[Group]:
    """Names of a witness mark, one under the other, in the body along the face.

    Parameters
    ----------
    line : the mark's line, from before the face to behind it, shape (2, 2) [mm].
    names : what it marks.
    """
    inward = (line[1] - line[0]) / math.hypot(*(line[1] - line[0]))
    along = np.array([inward[1], -inward[0]])
    along = along if along[0] > 1e-9 or (abs(along[0]) <= 1e-9 and along[1] > 0) else -along
    text, face = "\n".join(names), line[0] + _MARK_OUT * inward
    for depth in _DEPTHS:
        for side, anchor in ((1.6, "left"), (-1.6, "right")):
            x, y = face + depth * inward + side * along
            angle = math.atan2(along[1], along[0])
            label = Label(float(x), float(y), text, _SIZE, _anchor(anchor), "middle", angle)
            led = _leader(line[1], face + (depth + 2.0) * inward)
            yield (label, led) if depth > _MARK_IN else (label,)
    yield from beside(line[1], text, inward, 1.0, size=_SIZE, far=_LED)


def _anchor(word: str) -> Anchor:
    return "left" if word == "left" else "right"


def _leader(a: Floats, b: Floats) -> Stroke:
    return Stroke(ArcPath.polyline(np.stack([a, b])), Layer.MARK, Pen.THIN)


def clamp_number(line: Floats, number: int) -> Iterator[Group]:
    """Number of a clamp beside its line, nearer its seat than the face.

    Parameters
    ----------
    line : from the seat to the face, shape (2, 2) [mm].
    number : of the clamp.
    """
    way = (line[1] - line[0]) / max(math.hypot(*(line[1] - line[0])), 1e-9)
    across = np.array([way[1], -way[0]])
    for text, size in ((say(ENGLISH, "clamp", number=number), 2.8), (str(number), 2.8)):
        for share in (0.3, 0.5, 0.7, 0.15, 0.85):
            at = line[0] + share * (line[1] - line[0])
            for u in (across, -across):
                yield (standing(at + 1.3 * u, text, u, size, Layer.TEXT),)
    yield from beside(line[0], str(number), -way, 1.0, size=2.8, far=_LED)


def hole_size(centre: Floats, diameter: float, display: Display) -> Iterator[Group]:
    """Diameter of a clamp hole, in it where it fits between its centre lines.

    Parameters
    ----------
    centre : shape (2,) [mm].
    diameter : [mm].
    display : how lengths are shown.
    """
    text = f"Ø {format_length(diameter, replace(display, inch_denominator=64))}"
    anchors: tuple[Anchor, Anchor] = ("left", "right")
    levels: tuple[Level, Level] = ("top", "base")
    for level in levels:
        for anchor in anchors:
            dx, dy = (1.6 if anchor == "left" else -1.6), (-1.6 if level == "top" else 2.0)
            x, y = centre + np.array([dx, dy])
            label = Label(float(x), float(y), text, _SIZE, anchor, level)
            if np.hypot(*(label.box(1.0) - centre).T).max() < diameter / 2 - 0.8:
                yield (label,)
    way = np.array([1.0, 0.0])
    yield from beside(centre, text, way, 1.0, size=_SIZE, gap=diameter / 2 + 3.5)


def pin_name(centre: Floats, pin: Pin, display: Display) -> Iterator[Group]:
    """Kind and diameter of a pin hole beside it.

    Parameters
    ----------
    centre : shape (2,) [mm].
    pin : what it is.
    display : how lengths are shown.
    """
    size = format_length(pin.diameter, replace(display, inch_denominator=64))
    text = f"{say(ENGLISH, pin.kind)} Ø {size}"
    gap = pin.diameter / 2 + 2.8
    for way in ((1.0, 0.0), (-1.0, 0.0)):
        yield from beside(centre, text, np.array(way), 1.0, size=_SIZE, gap=gap)


def stop_name(corners: Floats, scale: float) -> Iterator[Group]:
    """Name of the reference stop, in it where there is room.

    Parameters
    ----------
    corners : from where the wood meets it on the face outwards and round, shape (4, 2) [mm].
    scale : paper millimetres per model millimetre.
    """
    word = say(ENGLISH, "stop")
    low, out, _, end = corners
    room, need = block(word, _SIZE, "centre", "middle"), 1.2
    length, height = math.hypot(*(end - low)) * scale, math.hypot(*(out - low)) * scale
    angle = upright(math.atan2(*(end - low)[::-1]))
    x, y = corners.mean(axis=0)
    fits = room.right - room.left + need <= length and room.top - room.bottom + need <= height
    inside = Label(float(x), float(y), word, _SIZE, "centre", "middle", angle)
    middle = 0.5 * (corners[1] + corners[2])
    way = (out - low) / math.hypot(*(out - low))
    if fits:
        yield (inside,)
    yield from beside(middle, word, way, scale, size=_SIZE, gap=2.0)
