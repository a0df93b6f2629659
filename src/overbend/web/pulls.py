"""Following the pointer and the arrow keys: which values of the file a handle changes."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np

from overbend.errors import ProjectError
from overbend.web.fields import Fields
from overbend.web.grip import Handle, Move
from overbend.web.segments import nearest, written
from overbend.web.words import words

__all__ = ["moved", "stepped"]

_DEGREES = 180.0 / math.pi
_FLATTEST = 20_000.0  # mm: a larger radius than this is drawn straight
_FIRST = 10_000.0  # mm: what a straight end begins to bend with
_FREE = 0.01  # mm: a step this small is no snap at all


def moved(handle: Handle, x: float, y: float, step: float, fields: Fields) -> list[tuple[str, Any]]:
    """Values of the file for a pointer at a place of the curve's frame.

    Parameters
    ----------
    handle : what is dragged.
    x, y : where the pointer is [mm].
    step : lengths are rounded to this [mm]; angles to half a degree, a tenth when fine.
    fields : the project's values, for the unit they are written in.

    Raises
    ------
    ProjectError
        When expressions hold the handle.
    """
    _check(handle)
    return [(move.key, _value(handle, move, x, y, step, fields)) for move in handle.moves]


def _value(handle: Handle, move: Move, x: float, y: float, step: float, fields: Fields) -> object:
    """What one value comes to."""
    if move.along in _TURNING:
        return _written_angle(_TURNING[move.along](handle, x, y), step, fields, move.key)
    if move.along == "place":
        return [_length(_snapped(v, step), fields) for v in (x, y)]
    if move.along == "bend":
        return _bend(handle, move.key, x, y, step, fields)
    size = _snapped(_SIZES[move.along](handle, x, y), step)
    if move.along in ("line", "length", "radius"):
        size = max(size, step)
    elif move.along == "along" and handle.curve is not None:
        size = min(max(size, 0.0), handle.curve.length)
    return _length(size, fields)


def stepped(
    handle: Handle, way: tuple[int, int], step: float, fields: Fields
) -> list[tuple[str, Any]]:
    """Values of the file for an arrow key: a point moves, a size grows or shrinks.

    Parameters
    ----------
    handle : what has the focus.
    way : -1, 0 or 1 to the right and up.
    step : of lengths [mm]; angles change by half a degree, 5 when coarse, a tenth when fine.
    fields : the project's values.

    Raises
    ------
    ProjectError
        When expressions hold the handle.
    """
    _check(handle)
    if handle.shape in ("point", "start"):
        return moved(handle, handle.x + way[0] * step, handle.y + way[1] * step, step, fields)
    move, more = handle.moves[0], way[0] + way[1]
    if move.along in _TURNING:
        return [(move.key, _turned(handle, move, more, step, fields))]
    if move.along == "bend":
        return [(move.key, _rounder(handle.frame["kappa"], move.key, more, step, fields))]
    least = 0.0 if move.along == "along" else step
    size = max(_snapped(handle.frame["size"] + more * step, step), least)
    if move.along == "along" and handle.curve is not None:
        size = min(size, handle.curve.length)
    return [(move.key, _length(size, fields))]


def _turned(handle: Handle, move: Move, more: int, step: float, fields: Fields) -> object:
    """An angle a little further; an arc keeps the way it turns."""
    angle = handle.frame["angle"]
    grain = (5.0 if step >= 5.0 else 0.5 if step >= 0.5 else 0.1) / _DEGREES
    if move.along == "angle":
        size = max(abs(angle) + more * grain, grain)
        return _written_angle(math.copysign(size, angle), step, fields, move.key)
    return _written_angle(angle + more * grain, step, fields, move.key)


def _rounder(kappa: float, key: str, more: int, step: float, fields: Fields) -> int | float | str:
    """The radius of an easement's end a step larger or smaller, on its own side."""
    sign = math.copysign(1.0, kappa)
    if abs(kappa) < 1.0 / _FLATTEST:
        return "straight" if more > 0 else _length(sign * _FIRST, fields)
    radius = 1.0 / abs(kappa)
    grain = _grain(radius, step)
    return _radius(sign * max(radius + more * grain, grain), key, grain, fields)


def _check(handle: Handle) -> None:
    """Refuse a handle that expressions hold."""
    if not handle.moves:
        raise ProjectError(handle.why, todo=words("handle.held.todo"))


# -- writing ------------------------------------------------------------------------------


def _snapped(mm: float, step: float) -> float:
    return round(mm / step) * step


def _length(mm: float, fields: Fields) -> int | float:
    """A length as a bare number of the file's unit."""
    return written(mm, fields.project.units)


def _written_angle(rad: float, step: float, fields: Fields, key: str) -> int | float | str:
    """An angle to half a degree (a tenth when fine), with its unit when the file gives one."""
    fine = 0.5 if step >= 0.5 else 0.1 if step > _FREE else 0.01
    degrees = round(round(rad * _DEGREES / fine) * fine, 2)
    if degrees == 0.0 and key.endswith(".angle"):
        degrees = math.copysign(fine, rad)
    plain = int(degrees) if float(degrees).is_integer() else degrees
    return f"{plain} deg" if isinstance(fields.said(key), str) else plain


def _radius(radius: float, key: str, grain: float, fields: Fields) -> int | float | str:
    """A signed radius to its grain; "straight" when it is very large.

    A dimension may be the radius of an arc too: it stays above zero and a number.
    """
    if key.startswith("dimensions."):
        return _length(max(_snapped(min(abs(radius), _FLATTEST), grain), grain), fields)
    if abs(radius) > _FLATTEST:
        return "straight"
    return _length(_snapped(radius, grain) or math.copysign(grain, radius), fields)


def _grain(radius: float, step: float) -> float:
    """A step that can still be seen on a large radius: half a hundredth of it, in tens."""
    if step <= _FREE:
        return step
    grain = step
    while grain * 10.0 <= 0.01 * radius * min(step, 1.0):
        grain *= 10.0
    return grain


# -- reading a size off the pointer -------------------------------------------------------


def _along_line(handle: Handle, x: float, y: float) -> float:
    """Distance along a line's own direction."""
    f = handle.frame
    return (x - f["x"]) * math.cos(f["heading"]) + (y - f["y"]) * math.sin(f["heading"])


def _eased(handle: Handle, x: float, y: float) -> float:
    """Length of an easement whose end follows the pointer along its chord."""
    f = handle.frame
    reach = (x - f["x"]) * math.cos(f["toward"]) + (y - f["y"]) * math.sin(f["toward"])
    return f["size"] * reach / f["reach"]


def _middle(handle: Handle, x: float, y: float) -> float:
    """Radius of an arc whose middle follows the pointer, the angle kept."""
    f = handle.frame
    half, side = 0.5 * abs(f["angle"]), math.copysign(1.0, f["angle"])
    tangent = np.array([math.cos(f["heading"]), math.sin(f["heading"])])
    normal = side * np.array([-tangent[1], tangent[0]])
    to_middle = math.sin(half) * tangent + (1.0 - math.cos(half)) * normal
    pointer = np.array([x - f["x"], y - f["y"]])
    return float(pointer @ to_middle / (to_middle @ to_middle))


def _angle(handle: Handle, x: float, y: float) -> float:
    """Angle of an arc whose end follows the pointer, the radius kept."""
    f = handle.frame
    side = math.copysign(1.0, f["angle"])
    cx = f["x"] - side * f["radius"] * math.sin(f["heading"])
    cy = f["y"] + side * f["radius"] * math.cos(f["heading"])
    first = math.atan2(f["y"] - cy, f["x"] - cx)
    swept = side * (math.atan2(y - cy, x - cx) - first)
    swept = (swept - abs(f["angle"]) + math.pi) % (2.0 * math.pi) - math.pi + abs(f["angle"])
    return side * min(max(swept, 0.5 / _DEGREES), 350.0 / _DEGREES)


def _heading(handle: Handle, x: float, y: float) -> float:
    """Direction of a lever; one behind the start is pulled the other way."""
    f = handle.frame
    way = f["way"]
    angle = math.atan2(way * (y - f["y"]), way * (x - f["x"]))
    return f["angle"] + (angle - f["angle"] + math.pi) % (2.0 * math.pi) - math.pi


def _bend(
    handle: Handle, key: str, x: float, y: float, step: float, fields: Fields
) -> int | float | str:
    """Signed radius of an easement's end whose tooth of the comb is pulled longer or shorter."""
    f = handle.frame
    pulled = (x - handle.x) * f["ux"] + (y - handle.y) * f["uy"]
    kappa = f["kappa"] + f["sign"] * pulled / f["per"]
    if key.startswith("dimensions."):
        kappa = max(f["sign"] * kappa, 1.0 / _FLATTEST)
    radius = 1.0 / kappa if abs(kappa) > 1e-12 else math.inf
    return _radius(radius, key, _grain(min(abs(radius), _FLATTEST), step), fields)


def _along_curve(handle: Handle, x: float, y: float) -> float:
    """Place along the curve that is nearest to the pointer."""
    return nearest(handle.curve, x, y) if handle.curve is not None else 0.0


_Reader = Callable[[Handle, float, float], float]
_TURNING: dict[str, _Reader] = {"angle": _angle, "heading": _heading}
_SIZES: dict[str, _Reader] = {
    "x": lambda _handle, x, _y: x,
    "y": lambda _handle, _x, y: y,
    "line": _along_line,
    "length": _eased,
    "radius": _middle,
    "along": _along_curve,
}
