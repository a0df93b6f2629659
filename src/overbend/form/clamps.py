"""Clamps: their stations, lines, seats and holes.

A clamp's moving jaw pushes square to the face, through caul and wood into the form. Its
fixed jaw sits in a hole bored behind the face, or on the back where that is parallel to
the face. Two parts with straight backs are drawn together along one line, square to both
backs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from overbend.curve import Floats
from overbend.form.body import Body
from overbend.form.depth import WALL
from overbend.form.spacing import JAW

__all__ = ["Clamp", "Hole", "Rack", "back_clamps", "bored_clamps", "closing_line"]

_SHARED = 2  # clamps in one hole at most: one from each edge of the form
_SLACK = 0.05  # mm: outlines are polygons here


@dataclass(frozen=True)
class Hole:
    """A clamp hole, bored square to the sheet.

    Parameters
    ----------
    centre : [mm, mm].
    diameter : [mm].
    part : 0 for the first form, 1 for the second.
    numbers : of the clamps that sit in it.
    """

    centre: tuple[float, float]
    diameter: float
    part: int
    numbers: tuple[int, ...] = ()


@dataclass(frozen=True)
class Clamp:
    """One clamp.

    Parameters
    ----------
    number : 1 at the reference end.
    s : station on the mid-depth line [mm].
    point : where its line meets the first form's face [mm, mm].
    direction : unit vector in which the moving jaw pushes, from the caul into the form.
    seat : where the fixed jaw bears [mm, mm].
    kind : "hole" or "back".
    opening : distance between the jaws [mm].
    spacing : length of wood it presses [mm].
    force : that length times pressure and width [N].
    lean : angle between its line and the square to the face [rad].
    slip : angle between its line and the square to what its fixed jaw bears on [rad].
    """

    number: int
    s: float
    point: tuple[float, float]
    direction: tuple[float, float]
    seat: tuple[float, float]
    kind: str
    opening: float
    spacing: float
    force: float
    lean: float
    slip: float


@dataclass(frozen=True)
class Rack:
    """Everything about the clamps that does not depend on where they stand.

    Parameters
    ----------
    line_load : pressure times width [N/mm].
    outside : from the first form's face to the jaw on the far side, body not counted [mm].
    between : from face to face of a two-part form [mm].
    front : wall between face and holes [mm].
    hole : diameter of holes [mm]; 0 for none.
    wood : arc lengths of the wood's ends [mm].
    from_end : number the clamps from the far end.
    """

    line_load: float
    outside: float
    between: float
    front: float
    hole: float
    wood: tuple[float, float]
    from_end: bool


def closing_line(bodies: tuple[Body, ...]) -> Floats | None:
    """Direction along which two straight-backed parts are drawn together, else None."""
    if len(bodies) < 2 or any(b.back != "straight" for b in bodies):
        return None
    face = bodies[0].face
    chord = face.point(face.span[1]) - face.point(face.span[0])
    u = chord / math.hypot(*chord)
    return face.side * np.array([-u[1], u[0]])


def back_clamps(bodies: tuple[Body, ...], s: Floats, rack: Rack) -> tuple[Clamp, ...]:
    """Clamps whose fixed jaws bear on the back.

    Parameters
    ----------
    bodies : one or two.
    s : stations [mm].
    rack : what is common to all.

    Returns
    -------
    Clamps no closer together at their seats than two jaws set from both edges.
    """
    first = bodies[0]
    line = closing_line(bodies)
    push = first.face.inward(s) if line is None else np.tile(line, (len(s), 1))
    through = first.through(s, push)
    seats = first.face.point(s) + through[:, None] * push
    keep = _apart(seats, _priority(first, s), JAW)
    far = _far_side(bodies, s, push, rack)
    rows = [(i, seats[i], through[i] + far[i], "back") for i in keep]
    return _clamps(first, s, push, rows, rack)


def bored_clamps(
    bodies: tuple[Body, ...], s: Floats, rack: Rack
) -> tuple[tuple[Clamp, ...], tuple[Hole, ...]]:
    """Clamps whose fixed jaws sit in holes.

    Parameters
    ----------
    bodies : one or two; holes are bored behind every face.
    s : stations [mm].
    rack : what is common to all.

    Returns
    -------
    Clamps and their holes. Two clamps share a hole where the bend leaves no room for two;
    stations where no hole fits are left out.
    """
    placed = [_place_holes(body, s, rack) for body in bodies]
    keep = sorted(set.intersection(*(set(where) for where in placed)))
    push = bodies[0].face.inward(s)
    centres = {i: placed[0][i] for i in keep}
    seats = {i: _rim(centres[i], bodies[0].face.point(s[i]), rack.hole) for i in keep}
    rows = []
    for i in keep:
        depth = float((seats[i] - bodies[0].face.point(s[i])) @ push[i])
        other = rack.between + rack.front if len(bodies) == 2 else rack.outside
        rows.append((i, seats[i], depth + other, "hole"))
    clamps = _clamps(bodies[0], s, push, rows, rack)
    holes = [
        hole
        for part, where in enumerate(placed)
        for hole in _holes([where[i] for i in keep], clamps, part, rack.hole)
    ]
    return clamps, tuple(holes)


def _holes(
    centres: list[Floats], clamps: tuple[Clamp, ...], part: int, diameter: float
) -> list[Hole]:
    """Each hole once, with the numbers of the clamps that share it."""
    found: dict[tuple[float, float], Hole] = {}
    for centre, clamp in zip(centres, clamps, strict=True):
        key = _pair(np.round(centre, 6))
        hole = found.get(key, Hole(_pair(centre), diameter, part))
        found[key] = replace(hole, numbers=tuple(sorted((*hole.numbers, clamp.number))))
    return list(found.values())


def _clamps(
    body: Body, s: Floats, push: Floats, rows: list[tuple[int, Floats, float, str]], rack: Rack
) -> tuple[Clamp, ...]:
    """Finish clamps: number them, share the wood out between them."""
    at = np.array([s[i] for i, *_ in rows])
    edges = np.concatenate([[rack.wood[0]], 0.5 * (at[1:] + at[:-1]), [rack.wood[1]]])
    share = np.diff(edges)
    points, inward = body.face.point(s), body.face.inward(s)
    out = []
    for n, (i, seat, opening, kind) in enumerate(rows):
        lean = math.acos(min(1.0, float(push[i] @ inward[i])))
        slip = body.squareness(seat, push[i]) if kind == "back" else 0.0
        number = len(rows) - n if rack.from_end else n + 1
        out.append(
            Clamp(number, float(s[i]), _pair(points[i]), _pair(push[i]), _pair(seat), kind,
                  float(opening), float(share[n]), float(share[n] * rack.line_load), lean, slip)
        )  # fmt: skip
    return tuple(out)


def _far_side(bodies: tuple[Body, ...], s: Floats, push: Floats, rack: Rack) -> Floats:
    """From the first face to the far jaw: a caul, or through the second body [mm]."""
    if len(bodies) == 1:
        return np.full(len(s), rack.outside)
    ways = bodies[1].beyond(bodies[0].face.point(s), -push)
    return np.where(np.isfinite(ways), ways, rack.between + bodies[1].depth)


def _priority(body: Body, s: Floats) -> list[int]:
    """Stations in the order they are given room: the ends, then the tightest first."""
    glued = body.face.glued
    kappa = np.abs(glued.kappa(np.clip(s, 0.0, glued.length)))
    kappa[(s < 0.0) | (s > glued.length)] = 0.0
    ends = [0, len(s) - 1] if len(s) > 1 else [0]
    middle = 0.5 * (len(s) - 1)
    rest = [i for i in range(len(s)) if i not in ends]
    return ends + sorted(rest, key=lambda i: (-round(float(kappa[i]), 9), abs(i - middle), i))


def _apart(points: Floats, order: list[int], least: float) -> list[int]:
    """Indices whose points stay `least` apart, taken in order, sorted."""
    kept: list[int] = []
    for i in order:
        if all(math.dist(points[i], points[j]) >= least - 1e-6 for j in kept):
            kept.append(i)
    return sorted(kept)


# -- holes -----------------------------------------------------------------------------


def _place_holes(body: Body, s: Floats, rack: Rack) -> dict[int, Floats]:
    """Hole centre of each station that finds room, two stations to a hole at most."""
    import shapely

    wanted = body.face.behind(s, rack.front + rack.hole / 2)
    room = body.shape.buffer(-(rack.hole / 2 + WALL - _SLACK))
    groups: list[tuple[Floats, list[int]]] = []
    for i in _priority(body, s):
        near = [g for g in groups if math.dist(g[0], wanted[i]) < rack.hole + WALL - 1e-6]
        if not near:
            if room.intersects(shapely.Point(wanted[i])):
                groups.append((wanted[i], [i]))
            continue
        shared = _shared(near, groups, wanted, i, rack)
        if shared is not None and room.intersects(shapely.Point(shared)):
            members = [*near[0][1], i]
            groups = [g for g in groups if g is not near[0]] + [(shared, members)]
    return {i: centre for centre, members in groups for i in members}


def _shared(
    near: list[tuple[Floats, list[int]]],
    groups: list[tuple[Floats, list[int]]],
    wanted: Floats,
    i: int,
    rack: Rack,
) -> Floats | None:
    """Centre of the hole that station i may share with the one in its way, or None."""
    if len(near) > 1 or len(near[0][1]) >= _SHARED:
        return None
    centre: Floats = wanted[[*near[0][1], i]].mean(axis=0)
    others = [g[0] for g in groups if g is not near[0]]
    clear = all(math.dist(centre, c) >= rack.hole + WALL - 1e-6 for c in others)
    return centre if clear else None


def _rim(centre: Floats, face_point: Floats, hole: float) -> Floats:
    """Where a jaw bears in its hole: the rim nearest the face."""
    way = face_point - centre
    return np.asarray(centre + way * (hole / 2 / math.hypot(*way)))


def _pair(xy: Floats) -> tuple[float, float]:
    return float(xy[0]), float(xy[1])
