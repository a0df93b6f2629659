"""What can be taken hold of on a curve, and which values of the file follow.

Points of a curve run through points move as they are. On segments a handle changes the one
size it stands for: the end of a line its length, the middle of an arc its radius, the end of
an arc its angle, the end of an easement its length. A value that is only the name of a
dimension changes the dimension; any other expression holds its handle still.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from overbend.curve import Curve, Floats
from overbend.errors import ProjectError
from overbend.project.shapes import Segment
from overbend.units import format_angle, format_length
from overbend.web.fields import Fields
from overbend.web.words import words

__all__ = ["Handle", "Move", "handles_of", "moved", "stepped"]

_NAME = re.compile(r"=\s*([A-Za-z_][A-Za-z0-9_]*)\s*")
_DEGREES = 180.0 / math.pi


@dataclass(frozen=True)
class Move:
    """One value that a handle changes.

    Parameters
    ----------
    key : of the value in the file, the dimension's when it is named by one.
    along : how the value follows the pointer: "x", "y", or a direction for a size.
    """

    key: str
    along: str


@dataclass(frozen=True)
class Handle:
    """Something to take hold of.

    Parameters
    ----------
    id : the same from one drawing to the next.
    x, y : where it is, in the curve's own frame [mm].
    label : its name and value, in words.
    shape : "point", "end" or "middle".
    moves : values that follow; empty when expressions hold it.
    why : why it does not move, "" when it does.
    frame : of a segment: its start, heading, and what is needed to read a size off a pointer.
    """

    id: str
    x: float
    y: float
    label: str
    shape: str
    moves: tuple[Move, ...]
    why: str = ""
    frame: dict[str, float] = field(default_factory=dict)


def handles_of(curve_name: str, curve: Curve, fields: Fields) -> list[Handle]:
    """Handles of a curve table; none for a curve read from a drawing.

    Parameters
    ----------
    curve_name : of the curve table.
    curve : built from it.
    fields : the project's values.
    """
    table = fields.project.curve[curve_name]
    if table.through is not None:
        return [_point(curve_name, i, x, y, fields) for i, (x, y) in enumerate(table.through)]
    if table.segment is not None:
        return list(_segments(curve_name, table.segment, curve, fields))
    return []


def _point(curve: str, i: int, x: float, y: float, fields: Fields) -> Handle:
    key = f"curve.{curve}.through.{i}"
    moves, why = _free([(f"{key}.0", "x"), (f"{key}.1", "y")], fields)
    place = ", ".join(format_length(v, fields.display, unit=False) for v in (x, y))
    label = words("handle.point", number=i + 1, place=place, unit=fields.display.system)
    return Handle(f"point.{i}", x, y, label, "point", moves, why)


def _free(keys: list[tuple[str, str]], fields: Fields) -> tuple[tuple[Move, ...], str]:
    """Which of some values may be moved, and which expressions hold the others."""
    moves, held = [], []
    for key, along in keys:
        said = fields.said(key)
        name = _NAME.fullmatch(said) if isinstance(said, str) else None
        if name and isinstance(fields.said(f"dimensions.{name[1]}"), int | float):
            moves.append(Move(f"dimensions.{name[1]}", along))
        elif isinstance(said, str) and said.lstrip().startswith("="):
            held.append(said)
        else:
            moves.append(Move(key, along))
    return tuple(moves), words("handle.held", value=", ".join(held)) if held else ""


def _segments(
    name: str, segments: tuple[Segment, ...], curve: Curve, fields: Fields
) -> Iterator[Handle]:
    for i, (segment, start, piece) in enumerate(
        zip(segments, curve.knots, curve.pieces, strict=False)
    ):
        key = f"curve.{name}.segment.{i}"
        s0, s1 = float(start), float(start + piece.length)
        x, y = (float(v) for v in curve.point(s0))
        frame = {"x": x, "y": y, "heading": float(curve.angle(s0))}
        if segment.line is not None:
            size = format_length(segment.line, fields.display)
            spec = ("end", f"{key}.line", words("handle.line", number=i + 1, size=size))
            frame |= {"size": segment.line}
            yield _sized(f"segment.{i}.end", curve.point(s1), spec, frame, fields)
        elif segment.arc is not None:
            yield from _arc(i, key, segment, curve, (s0, s1), frame, fields)
        elif segment.easement is not None:
            size = format_length(segment.easement.length, fields.display)
            spec = ("end", f"{key}.easement.length", words("handle.ease", number=i + 1, size=size))
            end = curve.point(s1)
            frame |= {"reach": math.hypot(*(end - [x, y])), "size": segment.easement.length,
                      "toward": math.atan2(end[1] - y, end[0] - x)}  # fmt: skip
            yield _sized(f"segment.{i}.end", end, spec, frame, fields)


def _arc(
    i: int, key: str, segment: Segment, curve: Curve, span: tuple[float, float],
    frame: dict[str, float], fields: Fields,
) -> Iterator[Handle]:  # fmt: skip
    arc = segment.arc
    if arc is None:
        return
    frame = frame | {"radius": arc.radius, "angle": arc.angle, "size": arc.radius}
    radius = format_length(arc.radius, fields.display)
    spec = ("middle", f"{key}.arc.radius", words("handle.radius", number=i + 1, size=radius))
    yield _sized(f"segment.{i}.middle", curve.point(sum(span) / 2), spec, frame, fields)
    turned = format_angle(arc.angle)
    spec = ("end", f"{key}.arc.angle", words("handle.angle", number=i + 1, size=turned))
    yield _sized(f"segment.{i}.end", curve.point(span[1]), spec, frame, fields)


def _sized(
    id: str, at: Floats, spec: tuple[str, str, str], frame: dict[str, float], fields: Fields
) -> Handle:
    shape, key, label = spec
    moves, why = _free([(key, key.rsplit(".", 1)[-1])], fields)
    return Handle(id, float(at[0]), float(at[1]), label, shape, moves, why, frame)


# -- following the pointer ----------------------------------------------------------------


def moved(handle: Handle, x: float, y: float, step: float, fields: Fields) -> list[tuple[str, Any]]:
    """Values of the file for a pointer at a place of the curve's frame.

    Parameters
    ----------
    handle : what is dragged.
    x, y : where the pointer is [mm].
    step : lengths are rounded to this [mm]; angles to half a degree.
    fields : the project's values, for the unit they are written in.

    Raises
    ------
    ProjectError
        When expressions hold the handle.
    """
    _check(handle)
    read: dict[str, Callable[[], float]] = {
        "x": lambda: x,
        "y": lambda: y,
        "line": lambda: _along(handle, x, y),
        "length": lambda: _eased(handle, x, y),
        "radius": lambda: _radius(handle, x, y),
    }
    values: list[tuple[str, Any]] = []
    for move in handle.moves:
        if move.along == "angle":
            values.append((move.key, _written_angle(_angle(handle, x, y), step, fields, move.key)))
        else:
            least = -math.inf if move.along in "xy" else step
            snapped = max(round(read[move.along]() / step) * step, least)
            values.append((move.key, _written(snapped, fields)))
    return values


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
    if handle.shape == "point":
        return moved(handle, handle.x + way[0] * step, handle.y + way[1] * step, step, fields)
    key, more = handle.moves[0].key, way[0] + way[1]
    if handle.moves[0].along == "angle":
        angle = handle.frame["angle"]
        grain = (5.0 if step >= 5.0 else 0.5 if step >= 0.5 else 0.1) / _DEGREES
        size = max(abs(angle) + more * grain, grain)
        return [(key, _written_angle(math.copysign(size, angle), step, fields, key))]
    return [(key, _written(max(handle.frame["size"] + more * step, step), fields))]


def _check(handle: Handle) -> None:
    """Refuse a handle that expressions hold."""
    if not handle.moves:
        raise ProjectError(handle.why, todo=words("handle.held.todo"))


def _written(mm: float, fields: Fields) -> int | float:
    """A length as a bare number of the file's unit."""
    value = round(mm, 2) if fields.project.units == "mm" else round(mm / 25.4, 4)
    return int(value) if float(value).is_integer() else value


def _written_angle(rad: float, step: float, fields: Fields, key: str) -> int | float | str:
    """An angle to half a degree (a tenth when fine), with its unit when the file gives one."""
    fine = 0.5 if step >= 0.5 else 0.1
    degrees = round(round(rad * _DEGREES / fine) * fine, 1) or math.copysign(fine, rad)
    plain = int(degrees) if float(degrees).is_integer() else degrees
    return f"{plain} deg" if isinstance(fields.said(key), str) else plain


def _along(handle: Handle, x: float, y: float) -> float:
    """Distance along a line's own direction."""
    f = handle.frame
    return (x - f["x"]) * math.cos(f["heading"]) + (y - f["y"]) * math.sin(f["heading"])


def _eased(handle: Handle, x: float, y: float) -> float:
    """Length of an easement whose end follows the pointer along its chord."""
    f = handle.frame
    reach = (x - f["x"]) * math.cos(f["toward"]) + (y - f["y"]) * math.sin(f["toward"])
    return f["size"] * reach / f["reach"]


def _radius(handle: Handle, x: float, y: float) -> float:
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
