"""A curve of segments, of a drawing or traced by hand as points that a fair curve runs through."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
import tomlkit

from overbend.curve import ArcPath, Curve, Floats
from overbend.curve.arcs import path_distance
from overbend.curve.fair import through
from overbend.errors import CurveError, ProjectError
from overbend.plan import named_stations
from overbend.project import Loaded, dump, read
from overbend.units import Display
from overbend.web.segments import Drawn, inline, nearest, tail_of, written
from overbend.web.words import words

__all__ = ["MOST_POINTS", "PointsOffer", "as_points", "closeness", "with_points", "with_traced"]

MOST_POINTS = 40
"""Most points a curve is turned into, and most that are taken from a tracing."""

_FEWEST, _ENOUGH = 3, 16
_NEAR = 0.3  # mm: nearer than a pencil line; fewer points are asked for nothing finer
_SAMPLES = 481  # chords of a curve; a sag of 0.003 mm at 1 m and a radius of 200 mm
_DROPPED = ("segment", "file", "unit", "layer", "reverse", "start", "heading")

TomlValue: TypeAlias = Any


@dataclass(frozen=True)
class PointsOffer:
    """A curve through points in place of another.

    Parameters
    ----------
    points : where it runs through, as they would be written, shape (n, 2) [mm].
    curve : through them.
    deviation : greatest distance of the old curve from it [mm].
    """

    points: Floats
    curve: Curve
    deviation: float


def as_points(drawn: Drawn, count: int = 0) -> PointsOffer:
    """Offer points for a curve: so many, or as few as come within 0.3 mm of it.

    Points lie closer together where the curve bends. Where its curvature jumps, as from a line
    into an arc, a fair curve cannot follow to the last hair: the deviation says how far it is
    off.

    Parameters
    ----------
    drawn : the curve table.
    count : of points, 0 to have it chosen.

    Raises
    ------
    ProjectError
        When it runs through points already, or none of the counts give a curve.
    """
    if drawn.table.through is not None:
        raise ProjectError(words("curve.points.already"))
    if count:
        found = _offer(drawn, min(max(count, _FEWEST), MOST_POINTS))
        if found is None:
            raise ProjectError(words("curve.points.none"), todo=words("curve.points.more"))
        return found
    best: PointsOffer | None = None
    for n in range(_FEWEST, _ENOUGH + 1):
        found = _offer(drawn, n)
        if found is not None and (best is None or found.deviation < 0.8 * best.deviation):
            best = found
        if best is not None and best.deviation <= _NEAR:
            break
    if best is None:
        raise ProjectError(words("curve.points.none"), todo=words("curve.points.more"))
    return best


def _offer(drawn: Drawn, n: int) -> PointsOffer | None:
    old = drawn.curve
    s = old.grid(max(old.length / 800.0, 0.5))
    bend = np.abs(old.kappa(s))
    steps = np.diff(s)
    turned = np.concatenate([[0.0], np.cumsum(0.5 * (bend[1:] + bend[:-1]) * steps)])
    share = s / old.length + turned / max(float(turned[-1]), 1e-9)
    at = np.interp(np.linspace(0.0, float(share[-1]), n), share, s)
    points = _rounded(old.point(at), drawn.loaded.project.units)
    try:
        curve = through(points)
    except CurveError:
        return None
    return PointsOffer(points, curve, _apart(old, curve))


def closeness(mm: float, display: Display) -> str:
    """How far apart two lines are, as the reader says it.

    Examples
    --------
    >>> closeness(0.184, Display()), closeness(0.184, Display("in")), closeness(0.0004, Display())
    ('0.18 mm', '0.007 in', 'less than 0.01 mm')
    """
    least, decimals, size = (0.001, 3, 25.4) if display.system == "in" else (0.01, 2, 1.0)
    if mm / size < least:
        return words("curve.less", size=f"{least:g} {display.system}")
    return f"{mm / size:.{decimals}f} {display.system}"


def _apart(old: Curve, fresh: Curve) -> float:
    """Greatest distance of either curve from the other [mm]."""
    a, b = (c.point(c.even_grid(_SAMPLES)) for c in (old, fresh))
    one = path_distance(ArcPath.polyline(b), a[::3])
    other = path_distance(ArcPath.polyline(a), b[::3])
    return float(max(one.max(), other.max()))


def _rounded(points: Floats, units: str) -> Floats:
    """Places as they are written: to a tenth of a millimetre, or 1/256 inch."""
    grain = 25.4 / 256 if units == "in" else 0.1
    return np.asarray(np.round(points / grain) * grain)


def with_points(drawn: Drawn, offer: PointsOffer) -> str:
    """Text in which a curve table runs through the offered points; named places are kept.

    A station stays at the place of the new curve that is nearest to where it was.
    """
    document = tomlkit.parse(drawn.loaded.text)
    table: Any = document["curve"][drawn.name]
    tail = _trailing(table)
    for key in _DROPPED:
        table.pop(key, None)
    tail_of(table)
    table["through"] = _list(offer.points, drawn.loaded.project.units)
    old = drawn.curve
    stations = {
        name: nearest(offer.curve, *(float(v) for v in old.point(s)))
        for name, s in named_stations(old).items()
    }
    _put_stations(table, stations, drawn.loaded.project.units)
    for item in tail or [tomlkit.nl()]:
        table.add(item)
    return _readable(document, drawn.loaded)


def with_traced(loaded: Loaded, points: Floats, part: str, name: str) -> tuple[str, str]:
    """Text with a new curve through traced points, and what is to be said about it.

    Parameters
    ----------
    loaded : the project.
    points : as traced, shape (n, 2) [mm].
    part : the part that follows the curve from now on, "" for none.
    name : of the curve; another number is added when it is taken.

    Raises
    ------
    ProjectError, CurveError
        When the points give no curve or the name cannot be used.
    """
    if not 2 <= len(points) <= MOST_POINTS:
        raise ProjectError(words("trace.count", count=len(points)), allowed=f"2 to {MOST_POINTS}")
    points = _rounded(points, loaded.project.units)
    curve = through(points)
    known = loaded.project.curve
    free = next(n for n in (name, *(f"{name}-{i}" for i in range(2, 1000))) if n not in known)
    document = tomlkit.parse(loaded.text)
    stations: dict[str, float] = {}
    if part:
        old = Drawn(loaded, loaded.project.bent[part].curve).curve
        stations = {n: s / old.length * curve.length for n, s in named_stations(old).items()}
    table = tomlkit.table()
    holder: Any = document.setdefault("curve", tomlkit.table(is_super_table=True))
    table["through"] = _list(points, loaded.project.units)
    _put_stations(table, stations, loaded.project.units)
    table.add(tomlkit.nl())
    holder[free] = table
    said = words("trace.made", name=free, count=len(points))
    if part:
        document["part"][part]["curve"] = free
        said = words("trace.follows", part=part, count=len(points))
        if stations:
            said += " " + words("trace.stations", names=", ".join(stations))
    return _readable(document, loaded), said


def _list(points: Floats, units: str) -> TomlValue:
    """Points as a list of the file, one on a line."""
    rows = tomlkit.array()
    for x, y in points:
        rows.append([written(float(x), units), written(float(y), units)])
    return rows.multiline(True)


def _put_stations(table: TomlValue, stations: dict[str, float], units: str) -> None:
    """Write named places; those that stand already keep their lines."""
    grain = 25.4 / 64 if units == "in" else 0.1
    said = {name: written(round(s / grain) * grain, units) for name, s in stations.items()}
    if said and "stations" not in table:
        table["stations"] = inline(said)
        return
    for name, value in said.items():
        table["stations"][name] = value


def _trailing(table: TomlValue) -> list[Any]:
    """Comments after the last segment, which belong to what follows."""
    segments = table.get("segment")
    if segments is None or not hasattr(segments, "body"):
        return []
    return tail_of(segments[-1])


def _readable(document: tomlkit.TOMLDocument, loaded: Loaded) -> str:
    text = dump(document)
    read(text, loaded.folder / "piece.toml")
    return text
