"""The closed outline of a form's body: its face, its ends and a back that clamps can use.

Three backs:

- *straight*, where the face turns little: one saw cut, and the form stands on it. Ends are
  square to the face, to the asked depth, where that leans outwards, else square to the back.
- *parallel*, where the face turns far: a back at one depth behind the face everywhere, so
  that a clamp's two jaws are parallel at every place along the bend. Where the depth is
  more than the bend's radius, the back's inside corner is rounded for the saw.
- *solid*, where the bend is so tight that nothing worth sawing out is left inside.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Literal

import numpy as np

from overbend.curve import ArcPath, Floats, Piece, arc_path, path_distance
from overbend.errors import CurveError
from overbend.form.face import Face

if TYPE_CHECKING:
    import shapely
    from shapely.geometry.base import BaseGeometry

__all__ = ["SLOT", "STRAIGHT_TURN", "Back", "Body", "back_for", "body_of"]

Back = Literal["straight", "parallel", "solid"]

STRAIGHT_TURN = math.radians(60.0)  # a straight back serves faces that turn no further
SLOT = 60.0  # mm: a narrower gap takes no clamp and is left solid; common practice, no source
_FAR = 1.6  # way through the body over its depth, above which a clamp is out of reach
_OVERHANG = 50.0  # mm: an end that would lean out further turns square to the back
_OFF_FACE = 0.05  # mm: ways through a body start this far behind its face
_FLAT = 0.01  # mm: outlines are looked at as polygons within this
_SLIVER = 0.02  # mm: strips no wider than this come from the polygons, not the shape


@dataclass(frozen=True, eq=False)
class Body:
    """One form body.

    Parameters
    ----------
    face : its working face.
    depth : asked behind the face [mm].
    back : what kind its back is.
    outline : closed; starts along the face, from before the part's start to after its end.
    reach : whether clamps square to the face find its back near behind it everywhere.
    """

    face: Face
    depth: float
    back: Back
    outline: ArcPath
    reach: bool = True

    @cached_property
    def shape(self) -> shapely.Polygon:
        """The outline as a polygon within 0.01 mm."""
        import shapely

        return shapely.Polygon(self._ring)

    @cached_property
    def _ring(self) -> Floats:
        """Corners of that polygon."""
        return self.outline.flatten(_FLAT)

    @property
    def area(self) -> float:
        """Area of the outline [mm2]."""
        return float(self.shape.area)

    def through(self, s: Floats, direction: Floats) -> Floats:
        """Way through the body from face points along unit directions, shape of s [mm]."""
        start = self.face.point(s) + _OFF_FACE * direction
        return self.beyond(start, direction) + _OFF_FACE

    def beyond(self, points: Floats, direction: Floats) -> Floats:
        """Way from points along unit directions to where they leave the body first [mm].

        A point may lie in front of the body: the way then counts from the point, through
        the gap and the body.
        """
        edge = np.roll(self._ring, -1, axis=0) - self._ring
        to = self._ring - points[:, None]
        side = _cross(direction[:, None], to)
        crossed = (side >= 0) != np.roll(side >= 0, -1, axis=1)
        slope = _cross(direction[:, None], edge)
        ways = _cross(to, edge) / np.where(crossed, slope, 1.0)
        ways = np.sort(np.where(crossed & (ways > 0), ways, np.inf), axis=1)
        inside = np.isfinite(ways).sum(axis=1) % 2 == 1
        return np.where(inside, ways[:, 0], ways[:, 1])

    def squareness(self, point: Floats, direction: Floats) -> float:
        """Angle between a clamp's line and the square to the outline where it ends [rad]."""
        ring = self._ring
        edge = np.roll(ring, -1, axis=0) - ring
        size = np.hypot(*edge.T)
        t = np.clip(((point - ring) * edge).sum(axis=1) / size**2, 0.0, 1.0)
        near = int(np.hypot(*(ring + t[:, None] * edge - point).T).argmin())
        return math.asin(min(1.0, abs(float(edge[near] @ direction)) / float(size[near])))


def back_for(turned: float) -> Back:
    """Kind of back that suits a face whose headings span an angle [rad].

    Examples
    --------
    >>> back_for(math.radians(40)), back_for(math.radians(180))
    ('straight', 'parallel')
    """
    return "straight" if turned <= STRAIGHT_TURN + 1e-9 else "parallel"


def body_of(face: Face, depth: float, back: Back, along: Face | None = None) -> Body:
    """Close a face to a body.

    Parameters
    ----------
    face : working face.
    depth : least depth behind it [mm].
    back : "straight" or "parallel".
    along : face whose chord a straight back runs along; default the face itself. The second
        part of a form takes the first's, so that the two backs are parallel.

    Returns
    -------
    Body
        Its back may have become "solid".

    Raises
    ------
    CurveError
        When no body of that kind fits behind the face.

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> body = body_of(Face(chain(arc(800.0, 0.5)), 12.0, 60.0, 1.0), 80.0, "straight")
    >>> body.back, body.outline.closed, round(body.area / 1000)
    ('straight', True, 54)
    """
    straight = back == "straight"
    outline = _straight(face, depth, along or face) if straight else _parallel(face, depth)
    body = Body(face, depth, back, outline)
    if not (body.shape.is_valid and body.area > 0 and _clear(body)):
        raise CurveError(
            f"no {back}-backed form {depth:g} mm deep fits behind the face",
            allowed="a body that crosses neither itself nor the wood",
            todo="give the form less depth, or shorten its run-outs",
        )
    return body if straight else _judged(body)


def _clear(body: Body) -> bool:
    """Whether a body stays off the wood."""
    covered = body.shape.intersection(_wood(body.face)).area
    return bool(covered < 2.0 * _SLIVER * body.shape.length)


def _judged(body: Body) -> Body:
    """Look where clamps square to the face come out behind: far off, or at the face again."""
    face = body.face
    s = np.linspace(*face.span, math.ceil(face.line.base.length / 15.0) + 2)[1:-1]
    inward = face.inward(s)
    through = body.through(s, inward)
    far = through > _FAR * body.depth
    if not far.any():
        return body
    out = face.point(s[far]) + through[far, None] * inward[far]
    solid = path_distance(face.path(0.05), out).min() < 0.1
    return replace(body, back="solid" if solid else body.back, reach=False)


# -- straight --------------------------------------------------------------------------


def _straight(face: Face, depth: float, along: Face) -> ArcPath:
    """Face, two ends and a back along a chord, `depth` behind the face's deepest place."""
    chord = along.point(along.span[1]) - along.point(along.span[0])
    u = chord / math.hypot(*chord)
    back = face.side * np.array([-u[1], u[0]])
    path = face.path()
    level = float((path.flatten(_FLAT) @ back).max()) + depth
    after, before = (
        _end(face.point(s), face.inward(s), back, outwards, (level, depth))
        for s, outwards in ((face.span[1], u), (face.span[0], -u))
    )
    return path.joined(ArcPath.polyline(np.array([*after, *before[::-1]])), closed=True)


def _end(
    end: Floats, normal: Floats, back: Floats, outwards: Floats, reach: tuple[float, float]
) -> list[Floats]:
    """Corners from an end of the face to a straight back at a level, square for a depth."""
    level, depth = reach
    if normal @ outwards <= 0:
        return [end + back * (level - back @ end)]
    square = float((level - back @ end) / (normal @ back))
    if square <= depth or square * float(normal @ outwards) <= _OVERHANG:
        return [end + normal * square]
    knee = end + normal * depth
    return [knee, knee + back * (level - back @ knee)]


# -- parallel --------------------------------------------------------------------------


def _parallel(face: Face, depth: float) -> ArcPath:
    """Face, square ends and a back at one depth; trimmed and rounded where that folds."""
    exact = _exact_parallel(face, depth)
    return exact if exact is not None else _trimmed_parallel(face, depth)


def _exact_parallel(face: Face, depth: float) -> ArcPath | None:
    """Outline with an exact parallel back, or None where it folds or shuts a gap."""
    import shapely

    try:
        back = arc_path(face.line.base.offset(face.d + face.side * depth), 0.02)
    except CurveError:
        return None
    outline = face.path().joined(back.reversed(), closed=True)
    shape, wood = shapely.Polygon(outline.flatten(_FLAT)), _wood(face)
    touches = _SLIVER * shape.length
    if not shape.is_valid or shape.intersection(wood).area > touches:
        return None
    return (
        outline if _filled(shape, wood, _corners(face, depth)).area - shape.area < touches else None
    )


def _trimmed_parallel(face: Face, depth: float) -> ArcPath:
    """Outline of all that lies within the depth behind the face, slots filled."""
    wood = _wood(face)
    shape = _biggest(_band(face, depth).difference(wood))
    shape = _filled(shape, wood, _corners(face, depth))
    corners = _back_of(shape, face)
    if not len(corners):  # straight from one end to the other
        return ArcPath(face.path().vertices, closed=True)
    return face.path().joined(ArcPath.polyline(corners), closed=True)


def _band(face: Face, depth: float) -> BaseGeometry:
    """Everything within a depth behind the face (in front of it when below zero)."""
    import shapely

    s = _cells(face)
    p, q = face.point(s), face.behind(s, depth)
    corners = np.stack([p[:-1], p[1:], q[1:], q[:-1]], axis=1)
    return shapely.union_all(shapely.convex_hull(shapely.multipoints(corners)))


def _cells(face: Face) -> Floats:
    """Arc lengths between which the curve is flat within 0.01 mm."""
    base = face.line.base
    parts = [
        np.linspace(s, s + p.length, _cell_count(p) + 1)[:-1]
        for s, p in zip(base.knots, base.pieces, strict=False)
    ]
    return np.append(np.concatenate(parts), base.length) - face.reach


def _cell_count(piece: Piece) -> int:
    swept = 0.5 * (abs(piece.kappa0) + abs(piece.kappa1)) * piece.length
    return max(1, math.ceil(math.sqrt(piece.length * swept / (8.0 * _FLAT))))


def _wood(face: Face) -> BaseGeometry:
    """What lies on the face, at least a few millimetres of it."""
    return _band(face, -max(face.cover, 5.0))


def _corners(face: Face, depth: float) -> Floats:
    """Back corners of the two ends."""
    return face.behind(np.array(face.span), depth)


def _filled(shape: shapely.Polygon, wood: BaseGeometry, corners: Floats) -> shapely.Polygon:
    """Fill gaps too narrow for a clamp and round inside corners.

    Where the corners of two ends come near each other nothing is added unless it fills a
    gap: no horns grow there.
    """
    import shapely

    half = SLOT / 2
    grown = shape.buffer(half, quad_segs=32).buffer(-half, quad_segs=32).difference(wood)
    stout = grown.buffer(-0.95 * half, quad_segs=32).buffer(0.95 * half, quad_segs=32)
    ends = shapely.MultiPoint(corners)
    added = [
        part.buffer(2.0 * _SLIVER)
        for part in shapely.get_parts(stout.difference(shape.buffer(_SLIVER)).difference(wood))
        if part.area > half**2 or (part.area > 1.0 and part.distance(ends) > SLOT)
    ]
    return _biggest(shapely.union_all([shape, *added]).difference(wood))


def _biggest(shape: BaseGeometry) -> shapely.Polygon:
    """The biggest polygon of a shape."""
    import shapely

    parts = [p for p in shapely.get_parts(shape) if isinstance(p, shapely.Polygon)]
    return max(parts, key=lambda part: part.area)


def _back_of(shape: shapely.Polygon, face: Face) -> Floats:
    """Corners of a polygon's edge from the face's end round the back to its start."""
    import shapely
    from shapely import ops

    edge = np.asarray(shapely.get_coordinates(shapely.geometry.polygon.orient(shape).exterior))
    ring = shapely.LineString(edge if face.side > 0 else edge[::-1])
    end, start = (ring.project(shapely.Point(face.point(s))) for s in (face.span[1], face.span[0]))
    if end < start:
        run = shapely.get_coordinates(ops.substring(ring, end, start))
    else:
        pieces = [ops.substring(ring, end, ring.length), ops.substring(ring, 0.0, start)]
        run = np.concatenate([shapely.get_coordinates(p) for p in pieces])
    return shapely.get_coordinates(shapely.LineString(run).simplify(0.05))[1:-1]


def _cross(a: Floats, b: Floats) -> Floats:
    """Cross products along the last axis."""
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])
