"""Curves of a project: from a curve table, and from an offset to a curve of its own."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import starmap
from pathlib import Path

import numpy as np

from overbend.curve import build
from overbend.curve.core import Curve, Floats, OffsetCurve, Piece
from overbend.curve.fair import through
from overbend.curve.read import read_curve
from overbend.errors import CurveError, OverbendError, ProjectError
from overbend.project.schema import Project
from overbend.project.shapes import CurveTable, Easement, Segment

__all__ = ["build_curve", "curve_from_offset"]

_MOST_HALVINGS = 9
_COARSE = 0.01  # mm; a fit this coarse may do without any cut
_LEAST_RADIUS_LEFT = 0.02  # of the base's radius: less is a fold drawn with a pen's width


def build_curve(name: str, project: Project, folder: Path = Path()) -> Curve:
    """Curve of a curve table, as it is drawn.

    Parameters
    ----------
    name : the curve table's name.
    project : the project.
    folder : folder that a drawing's path starts from.

    Raises
    ------
    CurveError, DrawingFileError
        When the curve cannot exist or the drawing cannot be read, with the key in front.

    Examples
    --------
    >>> table = {"segment": [{"line": 100}, {"arc": {"radius": 200, "angle": 90}}]}
    >>> piece = {"schema": 1, "name": "Hoop", "units": "mm", "curve": {"hoop": table}}
    >>> round(build_curve("hoop", Project.model_validate(piece)).length, 3)
    414.159
    """
    table = project.curve[name]
    key = f"curve.{name}.{table.source}"
    try:
        if table.segment is not None:
            curve = _from_segments(table.segment, table, key)
        elif table.through is not None:
            curve = through(np.array(table.through), table.start_heading, table.end_heading)
        else:
            curve = _from_file(table, folder)
        return _with_stations(curve, table.stations, f"curve.{name}.stations")
    except OverbendError as error:
        raise error if error.where.startswith("curve.") else error.at(key) from error


# -- from the table ------------------------------------------------------------------


def _from_segments(segments: tuple[Segment, ...], table: CurveTable, key: str) -> Curve:
    """Chain lines, arcs and easements; a named segment puts a station at its end."""
    pieces = []
    for i, segment in enumerate(segments):
        try:
            pieces.append(_piece(segments, i, segment))
        except OverbendError as error:
            raise error.at(f"{key}[{i + 1}]") from error
    ends = np.cumsum([piece.length for piece in pieces])
    stations = {
        segment.name: float(end)
        for segment, end in zip(segments, ends, strict=True)
        if segment.name is not None
    }
    start = table.start or (0.0, 0.0)
    return build.chain(*pieces, start=start, heading=table.heading or 0.0, stations=stations)


def _piece(segments: tuple[Segment, ...], i: int, segment: Segment) -> Piece:
    if segment.line is not None:
        return build.line(segment.line)
    if segment.arc is not None:
        return build.arc(segment.arc.radius, segment.arc.angle)
    easement = segment.easement
    if easement is None:
        raise ProjectError("nothing is drawn", allowed="exactly one of line, arc, easement")
    before = segments[i - 1] if i else None
    after = segments[i + 1] if i + 1 < len(segments) else None
    return build.easement(
        easement.length,
        _curvature(easement.from_radius, before, "to_radius", "from_radius"),
        _curvature(easement.to_radius, after, "from_radius", "to_radius"),
    )


def _curvature(radius: float | None, neighbour: Segment | None, far: str, own: str) -> float:
    """Curvature at one end of an easement: its own, or else the neighbour's."""
    if radius is not None:
        return 1.0 / radius
    if neighbour is None or neighbour.line is not None:
        return 0.0
    if neighbour.arc is not None:
        return math.copysign(1.0 / neighbour.arc.radius, neighbour.arc.angle)
    other = _radius(neighbour.easement, far)
    if other is None:
        raise CurveError(
            "two easements meet and neither says with what radius",
            allowed='a radius, or "straight"',
            todo=f"give {own} here, or {far} of the easement beside it",
        )
    return 1.0 / other


def _radius(easement: Easement | None, end: str) -> float | None:
    radius: float | None = getattr(easement, end)
    return radius


def _from_file(table: CurveTable, folder: Path) -> Curve:
    """Read a drawing; start and heading, when given, move it there."""
    curve = read_curve(folder / str(table.file), unit=table.unit, layer=table.layer)
    if table.reverse:
        curve = curve.reversed()
    if table.heading is not None:
        x, y = curve.start
        curve = curve.moved(-x, -y).moved(turn=table.heading - curve.heading).moved(x, y)
    if table.start is not None:
        curve = replace(curve, start=table.start)
    return curve


def _with_stations(curve: Curve, stations: dict[str, float], key: str) -> Curve:
    twice = set(stations) & set(curve.stations)
    if twice:
        raise ProjectError(f"station {min(twice)!r} is named twice", key, "each name once")
    try:
        return replace(curve, stations={**curve.stations, **stations})
    except CurveError as error:
        raise error.at(key) from error


# -- from an offset ---------------------------------------------------------


def curve_from_offset(offset: OffsetCurve, tolerance: float = 0.001) -> Curve:
    """Offset of a curve as a curve of its own.

    Offsets of lines and arcs are lines and arcs, exactly. The curvature of an easement's
    offset is not linear; it is drawn with a chain of easements whose curvature runs on
    without a jump and whose headings agree, cut finer until every place is near enough.

    Parameters
    ----------
    offset : the offset.
    tolerance : greatest distance between matching places [mm].

    Raises
    ------
    CurveError
        An offset that all but folds over: less than a fiftieth of the radius is left.

    Examples
    --------
    >>> from overbend.curve.build import arc, chain
    >>> outer = curve_from_offset(chain(arc(100.0, 1.0)).offset(-10.0))
    >>> round(outer.length, 9), round(1 / outer.tightest[1], 9)
    (110.0, 110.0)
    """
    if (1.0 - offset.base.rows[:, 1:] * offset.d).min() >= _LEAST_RADIUS_LEFT:
        for halvings in range(0 if tolerance >= _COARSE else 2, _MOST_HALVINGS + 1):
            curve = _chained(offset, 2**halvings)
            if _greatest_gap(curve, offset, 200 if tolerance >= _COARSE else 800) <= tolerance:
                return curve
    raise CurveError(
        f"an offset of {abs(offset.d):.4g} mm all but folds over",
        allowed="an offset well inside the tightest radius",
        todo="ease the curve at its tightest place or make the part thinner",
    )


def _chained(offset: OffsetCurve, cuts: int) -> Curve:
    """Offset with every easement cut into `cuts` pieces."""
    base = offset.base
    even = base.rows[:, 1] == base.rows[:, 2]
    rows = np.zeros((len(even), cuts, 3))
    rows[even, :1] = _fitted(base.rows[even], 1, offset.d)
    rows[~even] = _fitted(base.rows[~even], cuts, offset.d)
    pieces = tuple(starmap(Piece, rows[rows[:, :, 0] > 0.0].tolist()))
    x, y = offset.point(0.0)
    curve = Curve(pieces, (float(x), float(y)), base.heading)
    along = np.clip(offset.along(list(base.stations.values())), 0.0, curve.length)
    return replace(curve, stations=dict(zip(base.stations, along.tolist(), strict=True)))


def _fitted(rows: Floats, cuts: int, d: float) -> Floats:
    """Easements over the offsets of pieces, each cut in `cuts`, turning as much as it does.

    Rows are length and curvature at both ends; the result has the shape (pieces, cuts, 3).
    """
    length, k0, k1 = rows.T[:, :, None]
    u = length * np.linspace(0.0, 1.0, cuts + 1)
    base = k0 + (k1 - k0) * u / length
    kappa = base / (1.0 - base * d)
    turns = np.diff(u * k0 + 0.5 * u**2 * (k1 - k0) / length)
    lengths = np.diff(u) - d * turns
    if cuts > 1:
        short = turns / lengths - 0.5 * (kappa[:, 1:] + kappa[:, :-1])
        kappa[:, 1:-1] += 0.5 * (short[:, 1:] + short[:, :-1])
        left = turns.sum(axis=1) - (0.5 * (kappa[:, 1:] + kappa[:, :-1]) * lengths).sum(axis=1)
        inside = lengths.sum(axis=1) - 0.5 * (lengths[:, 0] + lengths[:, -1])
        kappa[:, 1:-1] += (left / inside)[:, None]
    return np.stack([lengths, kappa[:, :-1], kappa[:, 1:]], axis=-1)


def _greatest_gap(curve: Curve, offset: OffsetCurve, places: int) -> float:
    """Greatest distance between matching places [mm]."""
    s = offset.base.grid(offset.base.length / places)
    own = np.clip(offset.along(s), 0.0, curve.length)
    return float(np.hypot(*(curve.point(own) - offset.point(s)).T).max())
