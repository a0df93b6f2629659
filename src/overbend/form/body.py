"""The closed outline of a form's body: its face, its ends and a back that clamps can use.

Three backs:

- *straight*, where the face turns little: one saw cut, and the form stands on it. Ends are
  square to the face, to the asked depth, where that leans outwards, else square to the back.
- *parallel*, where the face turns far: a back at one depth behind the face everywhere, so
  that a clamp's two jaws are parallel at every place along the bend. Where the depth is
  more than the bend's radius, the back's inside corner is rounded for the saw.
- *solid*, where the bend is so tight that nothing worth sawing out is left inside: the
  clamps then need holes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Literal

import numpy as np

from overbend.curve import ArcPath, Floats, Piece, arc_path
from overbend.errors import CurveError
from overbend.form.face import Face

if TYPE_CHECKING:
    import shapely
    from shapely.geometry.base import BaseGeometry

__all__ = ["SLOT", "STRAIGHT_TURN", "Back", "Body", "back_for", "body_of"]

Back = Literal["straight", "parallel", "solid"]

STRAIGHT_TURN = math.radians(60.0)  # a straight back serves faces that turn no further
SLOT = 60.0  # mm: a narrower gap takes no clamp and is left solid; common practice, no source
_SOLID = 1.6  # ray through the body over its depth, above which it counts as solid
_OVERHANG = 50.0  # mm: an end that would lean out further turns square to the back
_FLAT = 0.01  # mm: outlines are looked at as polygons within this
_TURN = 0.02  # rad turned by one cell of the band behind a face
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
    """

    face: Face
    depth: float
    back: Back
    outline: ArcPath

    @cached_property
    def shape(self) -> shapely.Polygon:
        """The outline as a polygon within 0.01 mm."""
        import shapely

        return shapely.Polygon(self.outline.flatten(_FLAT))

    @property
    def area(self) -> float:
        """Area of the outline [mm2]."""
        return float(self.shape.area)

    def through(self, s: Floats, direction: Floats) -> Floats:
        """Way through the body from face points along unit directions, shape of s [mm]."""
        at = self.face.point(s)
        far = 4.0 * (self.depth + math.dist(self.outline.bounds[:2], self.outline.bounds[2:]))
        return np.array(
            [_first_exit(self.shape, p, v, far) for p, v in zip(at, direction, strict=True)]
        )

    def squareness(self, point: Floats, direction: Floats) -> float:
        """Angle between a clamp's line and the square to the outline where it ends [rad]."""
        ring = self.outline.flatten(_FLAT)
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
    home = _at_home(face)
    if back == "straight":
        outline = _straight(home, depth, _at_home(along or face))
    else:
        outline = _parallel(home, depth)
    start, turn = face.glued.start, face.glued.heading
    body = Body(face, depth, back, outline.moved(start[0], start[1], turn))
    if not (body.shape.is_valid and body.area > 0):
        raise CurveError(
            f"no {back}-backed form {depth:g} mm deep fits behind the face",
            allowed="a body that does not cross itself",
            todo="give the form less depth, or shorten its run-outs",
        )
    return replace(body, back="solid") if back != "straight" and _is_solid(body) else body


def _at_home(face: Face) -> Face:
    """Return the face with its curve laid from the origin along x, where all outlines are built."""
    return replace(face, glued=replace(face.glued, start=(0.0, 0.0), heading=0.0))


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
    return outline if _filled(shape, wood).area - shape.area < touches else None


def _trimmed_parallel(face: Face, depth: float) -> ArcPath:
    """Outline of all that lies within the depth behind the face, slots filled."""
    wood = _wood(face)
    shape = _biggest(_band(face, depth).difference(wood))
    shape = _filled(shape, wood)
    return face.path().joined(ArcPath.polyline(_back_of(shape, face)), closed=True)


def _band(face: Face, depth: float) -> BaseGeometry:
    """Everything within a depth behind the face (in front of it when below zero)."""
    import shapely

    s = _cells(face)
    p, q = face.point(s), face.behind(s, depth)
    corners = np.stack([p[:-1], p[1:], q[1:], q[:-1]], axis=1)
    return shapely.union_all(shapely.convex_hull(shapely.multipoints(corners)))


def _cells(face: Face) -> Floats:
    """Arc lengths between which the face turns little."""
    base = face.line.base
    parts = [
        np.linspace(s, s + p.length, _cell_count(p) + 1)[:-1]
        for s, p in zip(base.knots, base.pieces, strict=False)
    ]
    return np.append(np.concatenate(parts), base.length) - face.reach


def _cell_count(piece: Piece) -> int:
    swept = 0.5 * (abs(piece.kappa0) + abs(piece.kappa1)) * piece.length
    return max(1, math.ceil(swept / _TURN))


def _wood(face: Face) -> BaseGeometry:
    """What lies on the face, at least a few millimetres of it."""
    return _band(face, -max(2.0 * abs(face.d), 5.0))


def _filled(shape: shapely.Polygon, wood: BaseGeometry) -> shapely.Polygon:
    """Fill gaps too narrow for a clamp and round inside corners.

    What is added is kept where it is as thick as it is wide, so that no horns grow where
    two ends come near each other.
    """
    half = SLOT / 2
    grown = shape.buffer(half, quad_segs=32).buffer(-half, quad_segs=32).difference(wood)
    stout = grown.buffer(-half / 2, quad_segs=32).buffer(half / 2, quad_segs=32)
    return _biggest(shape.union(stout.difference(wood)))


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


def _is_solid(body: Body) -> bool:
    """Whether some way straight through the body is much longer than its depth."""
    s = body.face.samples(15.0)
    return bool((body.through(s, body.face.inward(s)) > _SOLID * body.depth).any())


def _first_exit(shape: shapely.Polygon, point: Floats, direction: Floats, far: float) -> float:
    """Length of the first stretch inside a polygon from a point on its edge."""
    import shapely

    start = point + 0.05 * direction
    ray = shapely.LineString([start, point + far * direction])
    inside = ray.intersection(shape)
    first = min(
        (g for g in getattr(inside, "geoms", [inside]) if not g.is_empty),
        key=lambda g: g.distance(shapely.Point(start)),
        default=None,
    )
    return 0.0 if first is None else float(first.length) + 0.05
