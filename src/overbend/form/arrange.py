"""Bodies and clamps together: which holes, which depth, so that every clamp finds room.

Where nothing was asked, clamp holes are tried from the usual size down to the smallest that
takes a clamp's head, and jaws on the back where they stand square on it, until the clamps
stand as close as they should. If none does that, the arrangement is taken in which the
clamp with the most wood to press has the least.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from overbend.curve import Floats
from overbend.form.body import Back, Body, back_for, body_of
from overbend.form.clamps import Clamp, Hole, Rack, back_clamps, bored_clamps
from overbend.form.depth import WALL, Beam, DepthNeed, front_wall, need
from overbend.form.face import Face, heading_range
from overbend.form.spacing import JAW, Pitch, stations
from overbend.form.spec import FormSpec, Loads

__all__ = ["USUAL_HOLES", "Arranged", "Job", "arranged", "greatest_lean"]

USUAL_HOLES = (35.0, 50.0)  # mm, take the head of a bar clamp; common practice, no source
_HOLE_STEP = 5.0  # mm between hole sizes tried
_CROWDS = (1.08, 1.18, 1.3, 1.5, 1.8)  # shares by which crowded clamps are spread, in turn
_SQUARE = math.radians(10.0)  # a jaw holds on a surface this far from square to its line
_FITS = 1.001  # spacing over what is wanted that counts as the same


@dataclass(frozen=True, eq=False)
class Job:
    """What a form is arranged for.

    Parameters
    ----------
    faces : one or two.
    spec, loads : what is asked, what presses.
    stack, width : of the wood [mm].
    thickness : of all layers [mm].
    pitch : spacing of clamps wanted.
    """

    faces: tuple[Face, ...]
    spec: FormSpec
    loads: Loads
    stack: float
    width: float
    thickness: float
    pitch: Pitch


@dataclass(frozen=True, eq=False)
class Arranged:
    """Bodies with their clamps.

    Parameters
    ----------
    bodies : one or two.
    beam, need : the first body as a beam, and the depth it needs.
    front : wall between face and clamp holes [mm].
    hole : diameter of the holes the body was laid out for [mm]; 0 for none.
    clamps, holes : in the order of the curve.
    wanted : how many stations the spacing asked for.
    """

    bodies: tuple[Body, ...]
    beam: Beam
    need: DepthNeed
    front: float
    hole: float
    clamps: tuple[Clamp, ...] = ()
    holes: tuple[Hole, ...] = ()
    wanted: int = 0

    @property
    def left_out(self) -> int:
        """Stations that found no room."""
        return self.wanted - len(self.clamps)

    @property
    def most(self) -> float:
        """Greatest length of wood that one clamp presses [mm]."""
        return max((c.spacing for c in self.clamps), default=math.inf)

    @property
    def apart(self) -> float:
        """Greatest distance between neighbouring clamps along the mid-depth line [mm]."""
        return max((b.s - a.s for a, b in pairwise(self.clamps)), default=0.0)


def arranged(job: Job) -> Arranged:
    """Choose holes and depth, and set the clamps.

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> from overbend.form.face import faces_of
    >>> from overbend.form.spacing import pitch_for
    >>> spec, loads = FormSpec(), Loads(clamp_force=3000.0)
    >>> faces = faces_of(chain(arc(900.0, 0.7)), 16.0, spec)
    >>> pitch = pitch_for(spec, loads, 16.0, 50.0, 18.0)
    >>> found = arranged(Job(faces, spec, loads, 16.0, 50.0, 54.0, pitch))
    >>> found.hole, len(found.clamps), round(found.apart, 3), pitch.widest
    (35.0, 12, 60.0, 60.0)
    """
    tried: list[Arranged] = []
    for built in _bodies(job):
        tried.append(_clamped(built, job))
        last = tried[-1]
        if not last.left_out and max(last.most, last.apart) <= _FITS * job.pitch.widest:
            return last
    return min(tried, key=lambda one: round(one.most, 3))


# -- bodies ----------------------------------------------------------------------------


def _bodies(job: Job) -> Iterator[Arranged]:
    """Bodies worth trying, the likeliest first."""
    spec, back = job.spec, back_for(heading_range(job.faces[0].glued))
    if spec.clamp_hole is not None:
        yield _built(job, back, spec.clamp_hole)
        return
    bare = None if _wants_holes(job.faces, back) else _built(job, back, 0.0)
    if bare is not None and all(body.reach for body in bare.bodies):
        yield bare
    bored = [_built(job, back, hole) for hole in _hole_sizes(job.pitch.widest)]
    fit = [one for one in bored if spec.depth is None or spec.depth >= one.front + one.hole + WALL]
    yield from fit
    if not fit:
        yield bare or _built(job, back, 0.0)


def _hole_sizes(span: float) -> list[float]:
    """Diameters to try: the largest that leaves walls between neighbours, and smaller [mm]."""
    least, most = USUAL_HOLES
    usual = min(max(_HOLE_STEP * math.floor((span - WALL) / _HOLE_STEP), least), most)
    return [usual - _HOLE_STEP * k for k in range(round((usual - least) / _HOLE_STEP) + 1)]


def _built(job: Job, back: Back, hole: float) -> Arranged:
    """Decide on the depth for one size of hole, and close the faces to bodies."""
    spec, loads, span = job.spec, job.loads, job.pitch.widest
    force = span * loads.pressure * job.width
    front = front_wall(force, hole, job.thickness, spec.material) if hole else 0.0
    kappa = abs(job.faces[0].glued.tightest[1])
    beam = Beam(spec.material, job.thickness, job.width, span, hole, kappa, loads)
    needed = need(beam, front)
    depth = spec.depth or needed.depth
    bodies = tuple(body_of(face, depth, back, job.faces[0]) for face in job.faces)
    return Arranged(bodies, beam, needed, front, hole)


def _wants_holes(faces: tuple[Face, ...], back: Back) -> bool:
    """Whether jaws on a straight back would stand too far from square."""
    return len(faces) == 1 and back == "straight" and greatest_lean(faces[0]) > _SQUARE


def greatest_lean(face: Face) -> float:
    """Greatest angle between the face and its chord [rad].

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> round(greatest_lean(Face(chain(arc(300.0, 0.8)), 10.0, 60.0, 1.0)), 6)
    0.4
    """
    s = face.samples(10.0)
    a, b = face.point(s[[0, -1]])
    chord = math.atan2(*(b - a)[::-1])
    heading = face.line.angle(s + face.reach)
    middle = 0.5 * (heading.max() + heading.min())
    turns = round((middle - chord) / (2.0 * math.pi))
    return float(np.abs(heading - chord - 2.0 * math.pi * turns).max())


# -- clamps ----------------------------------------------------------------------------


def _clamped(built: Arranged, job: Job) -> Arranged:
    """Set the clamps, spread so that the one with the most wood to press has the least."""
    spec, face, body = job.spec, built.bodies[0].face, built.bodies[0]
    wood = (-spec.trim, face.glued.length + spec.trim)
    margin, inset = max(built.hole, JAW), job.pitch.widest / 4
    ends = (
        max(wood[0] + inset, face.span[0] + margin),
        min(wood[1] - inset, face.span[1] - margin),
    )
    between = job.stack + spec.liner + spec.strap
    rack = Rack(
        job.loads.pressure * job.width, between + spec.caul_thickness, between, built.front,
        built.hole, wood, spec.reference == "end",
    )  # fmt: skip

    def set_at(crowd: float, behind: float, apart: float) -> Floats:
        seats = [(b.face.d + b.face.side * behind, crowd * apart) for b in built.bodies]
        cauls = (face.d - face.side * rack.outside, JAW) if spec.parts == 1 else seats[0]
        return stations(face.glued, ends, job.pitch.widest, [*seats, cauls])

    def bored(crowd: float) -> Arranged:
        s = set_at(crowd, built.front + built.hole / 2, built.hole + WALL)
        return _with(built, *bored_clamps(built.bodies, s, rack), len(s))

    def on_back(crowd: float) -> Arranged:
        s = set_at(crowd, body.depth, JAW)
        return _with(built, back_clamps(built.bodies, s, rack), (), len(s))

    best = _least_crowded(bored) if built.hole else _least_crowded(on_back)
    return best if best.clamps else _least_crowded(on_back)


def _with(
    built: Arranged, clamps: tuple[Clamp, ...], holes: tuple[Hole, ...], wanted: int
) -> Arranged:
    return Arranged(
        built.bodies, built.beam, built.need, built.front, built.hole, clamps, holes, wanted
    )


def _least_crowded(clamped: Callable[[float], Arranged]) -> Arranged:
    """First arrangement that leaves no clamp out, or the most even one."""
    best = clamped(1.0)
    if best.left_out:
        best = min((best, *map(clamped, _CROWDS)), key=lambda c: round(c.most, 3))
    return best
