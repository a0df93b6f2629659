"""What can be taken hold of on a curve, and where it stands.

Points of a curve run through points move as they are. On segments a handle changes the one
size it stands for: the end of a line its length, the middle of an arc its radius, the end of
an arc its angle, the end of an easement its length, the tip of a tooth of the comb the radius
an easement begins or ends with. A lever turns the direction at an end, the start moves the
whole curve, a named place runs along it. A value that is only the name of a dimension changes
the dimension; any other expression holds its handle still.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from overbend.curve import Curve, Floats
from overbend.project.shapes import CurveTable, Segment
from overbend.units import format_angle, format_length
from overbend.web.fields import Fields
from overbend.web.grip import Handle, Lever, Move
from overbend.web.pulls import moved, stepped
from overbend.web.scene import Pane
from overbend.web.segments import carries_on
from overbend.web.words import words

__all__ = ["Handle", "Lever", "Move", "handles_of", "moved", "shown", "stepped"]

_NAME = re.compile(r"=\s*([A-Za-z_][A-Za-z0-9_]*)\s*")
_SEGMENT_ACTS = ("line", "arc", "easement", "split", "remove")


def handles_of(
    curve_name: str, curve: Curve, fields: Fields, lever: Lever | None = None
) -> list[Handle]:
    """Handles of a curve table.

    Parameters
    ----------
    curve_name : of the curve table.
    curve : built from it.
    fields : the project's values.
    lever : how far from the curve levers and tips stand.
    """
    table, lever = fields.project.curve[curve_name], lever or Lever()
    found: list[Handle] = []
    if table.through is not None:
        points = enumerate(table.through)
        found = [_point(curve_name, i, x, y, fields) for i, (x, y) in points]
    elif table.segment is not None:
        found = list(_segments(curve_name, table.segment, curve, fields, lever))
    places = _stations(curve_name, table, curve, fields)
    return [*found, *_ends(curve_name, table, curve, fields, lever), *places]


def _point(curve: str, i: int, x: float, y: float, fields: Fields) -> Handle:
    key, number = f"curve.{curve}.through.{i}", i + 1
    moves, why = _free([(f"{key}.0", "x"), (f"{key}.1", "y")], fields)
    place = ", ".join(format_length(v, fields.display, unit=False) for v in (x, y))
    label = words("handle.point", number=number, place=place, unit=fields.display.system)
    values = (
        (f"{key}.0", words("curves.point.x", number=number)),
        (f"{key}.1", words("curves.point.y", number=number)),
    )
    acts = ("point", "remove")
    return Handle(f"point.{i}", x, y, label, "point", moves, why, values=values, acts=acts, index=i)


def _free(keys: list[tuple[str, str]], fields: Fields) -> tuple[tuple[Move, ...], str]:
    """Which of some values may be moved, and which expressions hold the others."""
    moves, held = [], []
    for key, along in keys:
        said = fields.said(key)
        name = _NAME.fullmatch(said) if isinstance(said, str) else None
        if name and _plain(fields.said(f"dimensions.{name[1]}")):
            moves.append(Move(f"dimensions.{name[1]}", along))
        elif isinstance(said, str) and said.lstrip().startswith("="):
            held.append(said)
        else:
            moves.append(Move(key, along))
    return tuple(moves), words("handle.held", value=", ".join(held)) if held else ""


def _plain(said: object) -> bool:
    """Whether a dimension is a value of its own, no expression of others."""
    if isinstance(said, str):
        return not said.lstrip().startswith("=")
    return isinstance(said, int | float)


# -- segments -----------------------------------------------------------------------------


def _segments(
    name: str, segments: tuple[Segment, ...], curve: Curve, fields: Fields, lever: Lever
) -> Iterator[Handle]:
    for i, (segment, start, piece) in enumerate(
        zip(segments, curve.knots, curve.pieces, strict=False)
    ):
        key = f"curve.{name}.segment.{i}"
        s0, s1 = float(start), float(start + piece.length)
        made: Iterator[Handle]
        if segment.line is not None:
            made = iter([_line(i, key, segment.line, curve, (s0, s1), fields)])
        elif segment.arc is not None:
            made = _arc(i, key, segment, curve, (s0, s1), fields)
        else:
            made = _easement(i, key, segments, curve, (s0, s1), fields, lever)
        acts = (*_SEGMENT_ACTS, "before") if i == 0 else _SEGMENT_ACTS
        end = (f"{key}.name", words("curves.label.name", number=i + 1))
        for handle in made:
            yield replace(handle, values=(*handle.values, end), acts=acts, index=i)


def _frame(curve: Curve, s: float) -> dict[str, float]:
    x, y = (float(v) for v in curve.point(s))
    return {"x": x, "y": y, "heading": float(curve.angle(s))}


def _line(
    i: int, key: str, length: float, curve: Curve, span: tuple[float, float], fields: Fields
) -> Handle:
    size = format_length(length, fields.display)
    spec = ("end", f"{key}.line", words("handle.line", number=i + 1, size=size))
    values = ((f"{key}.line", words("curves.label.line", number=i + 1)),)
    frame = {**_frame(curve, span[0]), "size": length}
    return _sized(f"segment.{i}.end", curve.point(span[1]), spec, frame, fields, values)


def _arc(
    i: int, key: str, segment: Segment, curve: Curve, span: tuple[float, float], fields: Fields
) -> Iterator[Handle]:
    arc = segment.arc
    if arc is None:
        return
    frame = {**_frame(curve, span[0]), "radius": arc.radius, "angle": arc.angle, "size": arc.radius}
    values = (
        (f"{key}.arc.radius", words("curves.label.radius", number=i + 1)),
        (f"{key}.arc.angle", words("curves.label.angle", number=i + 1)),
    )
    radius = format_length(arc.radius, fields.display)
    spec = ("middle", f"{key}.arc.radius", words("handle.radius", number=i + 1, size=radius))
    yield _sized(f"segment.{i}.middle", curve.point(sum(span) / 2), spec, frame, fields, values)
    turned = format_angle(arc.angle)
    spec = ("end", f"{key}.arc.angle", words("handle.angle", number=i + 1, size=turned))
    yield _sized(f"segment.{i}.end", curve.point(span[1]), spec, frame, fields, values)


def _easement(
    i: int, key: str, segments: tuple[Segment, ...], curve: Curve, span: tuple[float, float],
    fields: Fields, lever: Lever,
) -> Iterator[Handle]:  # fmt: skip
    easement = segments[i].easement
    if easement is None:
        return
    values = (
        (f"{key}.easement.length", words("curves.label.ease", number=i + 1)),
        (f"{key}.easement.from_radius", words("curves.label.from", number=i + 1)),
        (f"{key}.easement.to_radius", words("curves.label.to", number=i + 1)),
    )
    size = format_length(easement.length, fields.display)
    spec = ("end", f"{key}.easement.length", words("handle.ease", number=i + 1, size=size))
    frame, end = _frame(curve, span[0]), curve.point(span[1])
    dx, dy = float(end[0] - frame["x"]), float(end[1] - frame["y"])
    frame |= {"reach": math.hypot(dx, dy), "size": easement.length, "toward": math.atan2(dy, dx)}
    yield _sized(f"segment.{i}.end", end, spec, frame, fields, values)
    for which in ("from", "to"):
        yield _tip(i, which, key, segments, curve, span, fields, lever, values)


def _tip(
    i: int, which: str, key: str, segments: tuple[Segment, ...], curve: Curve,
    span: tuple[float, float], fields: Fields, lever: Lever, values: tuple[tuple[str, str], ...],
) -> Handle:  # fmt: skip
    """The tooth of the comb at one end of an easement."""
    piece = curve.pieces[i]
    kappa = piece.kappa0 if which == "from" else piece.kappa1
    other = piece.kappa1 if which == "from" else piece.kappa0
    s = span[0] if which == "from" else span[1]
    sign = math.copysign(1.0, kappa or other or 1.0)
    out = -sign * curve.normal(s)
    root = curve.point(s)
    at = root + (lever.gap + lever.per * abs(kappa)) * out
    under = f"{key}.easement.{which}_radius"
    size = words("strip.straight") if kappa == 0.0 else format_length(1.0 / kappa, fields.display)
    spec = ("tip", under, words(f"handle.{which}", number=i + 1, size=size))
    frame = {"kappa": kappa if kappa else sign * 1e-12, "per": lever.per, "sign": sign,
             "ux": float(out[0]), "uy": float(out[1])}  # fmt: skip
    handle = _sized(f"segment.{i}.{which}", at, spec, frame, fields, values, "bend")
    handle = replace(handle, root=(float(root[0]), float(root[1])))
    if carries_on(segments, i, f"{which}_radius"):
        return replace(handle, moves=(), why=words("handle.carries"))
    return handle


def _sized(
    id: str, at: Floats, spec: tuple[str, str, str], frame: dict[str, float], fields: Fields,
    values: tuple[tuple[str, str], ...], along: str = "",
) -> Handle:  # fmt: skip
    shape, key, label = spec
    moves, why = _free([(key, along or key.rsplit(".", 1)[-1])], fields)
    return Handle(id, float(at[0]), float(at[1]), label, shape, moves, why, frame, values=values)


# -- ends and named places ----------------------------------------------------------------


def _ends(
    name: str, table: CurveTable, curve: Curve, fields: Fields, lever: Lever
) -> Iterator[Handle]:
    """The start of a curve that may be moved, and the levers that turn its directions."""
    if table.through is not None:
        yield _lever(name, "start_heading", curve, 0.0, fields, lever)
        yield _lever(name, "end_heading", curve, curve.length, fields, lever)
        return
    key = f"curve.{name}.start"
    x, y = (float(v) for v in curve.point(0.0))
    place = ", ".join(format_length(v, fields.display, unit=False) for v in (x, y))
    label = words("handle.start", place=place, unit=fields.display.system)
    values: tuple[tuple[str, str], ...] = ()
    if table.start is None:
        moves: tuple[Move, ...] = (Move(key, "place"),)
        why = ""
    else:
        moves, why = _free([(f"{key}.0", "x"), (f"{key}.1", "y")], fields)
        values = ((f"{key}.0", words("handle.start.x")), (f"{key}.1", words("handle.start.y")))
    yield Handle("start", x, y, label, "start", moves, why, values=values)
    yield _lever(name, "heading", curve, 0.0, fields, lever)


def _lever(name: str, which: str, curve: Curve, s: float, fields: Fields, lever: Lever) -> Handle:
    """A lever along the direction at an end; behind the start it points backwards."""
    key, way = f"curve.{name}.{which}", -1.0 if s == 0.0 else 1.0
    root, angle = curve.point(s), float(curve.angle(s))
    at = root + way * lever.reach * curve.tangent(s)
    free = fields.said(key) is None and which != "heading"
    size = format_angle(angle)
    label = words(f"handle.{which}.free" if free else f"handle.{which}", size=size)
    frame = {"x": float(root[0]), "y": float(root[1]), "angle": angle, "way": way}
    values = ((key, words(f"handle.{which}.label")),)
    moves, why = _free([(key, "heading")], fields)
    acts = () if fields.said(key) is None else ("free",)
    return Handle(
        which, float(at[0]), float(at[1]), label, "lever", moves, why, frame,
        root=(float(root[0]), float(root[1])), values=values, acts=acts,
    )  # fmt: skip


def _stations(name: str, table: CurveTable, curve: Curve, fields: Fields) -> Iterator[Handle]:
    """Named places; one whose name has a dot in it cannot be reached by a key and stays."""
    for station, s in table.stations.items():
        key = f"curve.{name}.stations.{station}"
        x, y = (float(v) for v in curve.point(min(max(s, 0.0), curve.length)))
        label = words("handle.station", name=station, size=format_length(s, fields.display))
        values: tuple[tuple[str, str], ...] = ((key, words("handle.station.label", name=station)),)
        moves, why = _free([(key, "along")], fields)
        if "." in station:
            moves, why, values = (), words("handle.dotted"), ()
        acts = () if "." in station else ("remove",)
        yield Handle(
            f"station.{station}", x, y, label, "station", moves, why, {"size": s}, curve,
            values=values, acts=acts,
        )  # fmt: skip


# -- on the page --------------------------------------------------------------------------


def shown(handle: Handle, pane: Pane, fields: Fields) -> dict[str, Any]:
    """A handle as the page's data: where it stands on the sheet, and its values beside it.

    Parameters
    ----------
    handle : the handle.
    pane : the sheet.
    fields : the project's values.
    """
    places = np.array([[handle.x, handle.y], handle.root or (handle.x, handle.y)])
    (x, y), (root_x, root_y) = np.round(pane.on_sheet(places), 2).tolist()
    data: dict[str, Any] = {
        "id": handle.id, "x": x, "y": y, "label": handle.label, "shape": handle.shape,
        "held": handle.why if not handle.moves else "", "why": handle.why,
        "index": handle.index, "acts": list(handle.acts),
        "values": [fields.number(key, label) for key, label in handle.values],
    }  # fmt: skip
    if handle.root is not None:
        data["root"] = [root_x, root_y]
    return data
