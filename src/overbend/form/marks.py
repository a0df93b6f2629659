"""Witness marks: lines across the edge of the face, and the stop at the reference end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from overbend.curve import ArcPath
from overbend.form.face import STOP_LENGTH, Face
from overbend.form.spec import End, FormSpec

__all__ = ["Mark", "Stop", "marks_of", "stop_of"]

_OUT, _IN = 4.0, 12.0  # mm a mark's line runs in front of and behind the face
_STRAIGHT = 1e-9  # 1/mm: below this a curve counts as straight
_STOP_SHARE = 0.75  # of the stack, so that neither caul nor second form rests on the stop


@dataclass(frozen=True)
class Mark:
    """A line squared across the edge of the face.

    Parameters
    ----------
    key : what it marks: "wood.start", "wood.end" (ends of the wood before trimming),
        "trim.start", "trim.end" (where the part is cut to length), "tangent.start",
        "tangent.end" (where the bend runs out straight), "middle", or "station.NAME".
    s : place on the mid-depth line [mm].
    along : distance along the face from the trim line at the reference end, positive into
        the part [mm].
    line : from in front of the face to behind it, ((x, y), (x, y)) [mm].
    """

    key: str
    s: float
    along: float
    line: tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True, eq=False)
class Stop:
    """Block that the wood is pushed against.

    Parameters
    ----------
    end : end of the part it stands at.
    s : place of its working side on the mid-depth line [mm].
    from_trim : distance of its working side from the trim line, along the face [mm].
    length, height, width : along the face, off the face and across it [mm].
    outline : closed outline, seen from the side.
    """

    end: End
    s: float
    from_trim: float
    length: float
    height: float
    width: float
    outline: ArcPath


def marks_of(face: Face, trim: float, reference: End) -> tuple[Mark, ...]:
    """Witness marks of a face, in the order of the curve.

    Parameters
    ----------
    face : a form's face.
    trim : wood left beyond each finished end [mm].
    reference : end the part is measured from.

    Examples
    --------
    >>> from overbend.curve import arc, chain, line
    >>> curve = chain(line(100.0), arc(300.0, 0.8), stations={"seat": 150.0})
    >>> for mark in marks_of(Face(curve, 10.0, 60.0, 1.0), 25.0, "start"):
    ...     print(mark.key, round(mark.s, 1), round(mark.along, 1))
    wood.start -25.0 -25.0
    trim.start 0.0 0.0
    tangent.start 100.0 100.0
    station.seat 150.0 148.3
    middle 170.0 167.7
    trim.end 340.0 332.0
    tangent.end 340.0 332.0
    wood.end 365.0 357.0
    """
    length = face.glued.length
    places = {"wood.start": -trim, "trim.start": 0.0, "middle": length / 2}
    places |= dict(zip(("tangent.start", "tangent.end"), _tangents(face), strict=False))
    places |= {f"station.{name}": s for name, s in face.glued.stations.items()}
    places |= {"trim.end": length, "wood.end": length + trim}
    ordered = sorted(places.items(), key=lambda item: (item[1], item[0].startswith("tangent")))
    return tuple(_mark(face, key, s, reference) for key, s in ordered)


def stop_of(face: Face, spec: FormSpec, depth_of_stack: float, width: float) -> Stop:
    """Reference stop on the run-out beyond the wood's end.

    Parameters
    ----------
    face : the first form's face.
    spec : reference end, trim, liner and strap are read.
    depth_of_stack, width : of the wood and of the body [mm].
    """
    at_end = spec.reference == "end"
    s = face.glued.length + spec.trim if at_end else -spec.trim
    way = 1.0 if at_end else -1.0
    length = min(STOP_LENGTH, face.reach - spec.trim)
    height = spec.between + _STOP_SHARE * depth_of_stack
    low, out = face.point(s), -height * face.inward(s)
    run = way * length * face.tangent(s)
    corners = np.array([low, low + out, low + out + run, low + run])
    return Stop(
        spec.reference, s, spec.trim, length, height, width, ArcPath.polyline(corners, closed=True)
    )


def _tangents(face: Face) -> tuple[float, ...]:
    """Where the curve leaves its first straight and enters its last; none on a straight part."""
    glued = face.glued
    bent = [
        (float(s), float(s) + p.length)
        for s, p in zip(glued.knots, glued.pieces, strict=False)
        if max(abs(p.kappa0), abs(p.kappa1)) > _STRAIGHT
    ]
    return (bent[0][0], bent[-1][1]) if bent else ()


def _mark(face: Face, key: str, s: float, reference: End) -> Mark:
    along = face.along(s)
    if reference == "end":
        along = face.along(face.glued.length) - along
    a, b = face.behind(s, -_OUT), face.behind(s, _IN)
    return Mark(key, s, along, ((float(a[0]), float(a[1])), (float(b[0]), float(b[1]))))
