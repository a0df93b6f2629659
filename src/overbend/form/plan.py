"""The whole form for one bent part: faces, bodies, clamps, layers, marks and checks."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from overbend.curve import ArcPath, Curve, Floats
from overbend.form import words
from overbend.form.body import Back, Body, back_for, body_of
from overbend.form.check import FaceCheck, check_face
from overbend.form.clamps import Clamp, Hole, Rack, back_clamps, bored_clamps
from overbend.form.depth import LEAST_DEPTH, WALL, Beam, DepthNeed, front_wall, need
from overbend.form.face import Face, faces_of, heading_range
from overbend.form.layers import Layers, layer_count, layers_of
from overbend.form.marks import Mark, Stop, marks_of, stop_of
from overbend.form.pins import Pin, pins_of
from overbend.form.placing import Placing, at_home
from overbend.form.spacing import JAW, Pitch, pitch_for, stations
from overbend.form.spec import FormSpec, Loads
from overbend.units import Display

__all__ = ["USUAL_HOLES", "FormPart", "FormPlan", "plan_form"]

USUAL_HOLES = (35.0, 50.0)  # mm, take the head of a bar clamp; common practice, no source
_AS_USUAL = FormSpec()
_UNLOADED = Loads()
_METRIC = Display()
_CROWDS = (1.08, 1.18, 1.3, 1.5, 1.8)  # shares by which crowded clamps are spread, in turn
_SQUARE = math.radians(10.0)  # a jaw holds on a surface this far from square to its line


@dataclass(frozen=True, eq=False)
class FormPart:
    """One body of the form, as it is sawn.

    Parameters
    ----------
    body : face, outline, kind of back and depth.
    holes : clamp holes.
    pins : dowels and screws that hold the layers in line.
    marks : witness marks on the face.
    check : numbers to verify the face by.
    layers : sheets.
    """

    body: Body
    holes: tuple[Hole, ...]
    pins: tuple[Pin, ...]
    marks: tuple[Mark, ...]
    check: FaceCheck
    layers: Layers

    @property
    def face(self) -> Face:
        """The working face."""
        return self.body.face

    @property
    def outline(self) -> ArcPath:
        """The closed outline."""
        return self.body.outline


@dataclass(frozen=True, eq=False)
class FormPlan:
    """A form, ready to be drawn and sawn.

    Parameters
    ----------
    glued : mid-depth line of the part on the form.
    depth_of_stack, width : of the wood on it [mm].
    spec, loads : what was asked.
    parts : the first form, and the second where there is one.
    clamps : in the order of the curve.
    stop : reference stop on the first form.
    pitch : spacing of clamps allowed, and what allows it.
    need : depth that the body needs, and what asks for it.
    give : share of the bend that the first body gives away to the strips.
    sag : of the body between clamps [mm].
    stress : greatest bending stress in the body [MPa].
    reasons : why it is as it is.
    warnings : what to look at before sawing.
    """

    glued: Curve
    depth_of_stack: float
    width: float
    spec: FormSpec
    loads: Loads
    parts: tuple[FormPart, ...]
    clamps: tuple[Clamp, ...]
    stop: Stop
    pitch: Pitch
    need: DepthNeed
    give: float
    sag: float
    stress: float
    reasons: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class _Built:
    """Bodies, and what they were built to."""

    bodies: tuple[Body, ...]
    beam: Beam
    need: DepthNeed
    front: float

    @property
    def hole(self) -> float:
        return self.beam.hole


@dataclass(frozen=True, eq=False)
class _Clamped:
    """Clamps, their holes, and how many stations the spacing asked for."""

    clamps: tuple[Clamp, ...]
    holes: tuple[Hole, ...]
    wanted: int

    @property
    def left_out(self) -> int:
        return self.wanted - len(self.clamps)

    @property
    def widest(self) -> float:
        return max((c.spacing for c in self.clamps), default=math.inf)


def plan_form(
    glued: Curve,
    depth_of_stack: float,
    width: float,
    spec: FormSpec = _AS_USUAL,
    *,
    loads: Loads = _UNLOADED,
    display: Display = _METRIC,
) -> FormPlan:
    """Work out the form for a part.

    Parameters
    ----------
    glued : overbent mid-depth line on the form, from finished end to finished end; turns
        left at its tightest place, so that the part's concave face is on the left.
    depth_of_stack : h, thickness of the wood [mm].
    width : of the wood as it lies on the form, with what is cleaned up later [mm].
    spec : what is asked.
    loads : what presses on it.
    display : units that reasons and warnings are written in.

    Returns
    -------
    FormPlan
        In the same coordinates as the curve. A shortcoming is a warning in it.

    Raises
    ------
    CurveError
        When a face would fold over, the wood would lie across itself, or the curve turns
        right at its tightest.
    InputError
        For sizes that are not above zero.

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> plan = plan_form(chain(arc(900.0, 0.7)), 16.0, 50.0, loads=Loads(strip_stiffness=4e6))
    >>> plan.parts[0].body.back, plan.parts[0].body.depth, len(plan.clamps)
    ('straight', 85.0, 10)
    >>> plan.reasons[1]
    'The back is straight: the face turns only 40.1°, and a straight back is one cut and stands by itself.'
    """  # noqa: E501
    home = at_home(glued)
    faces = faces_of(home, depth_of_stack, spec)
    thickness = layer_count(width, spec.sheet_thickness) * spec.sheet_thickness
    outer = spec.caul_thickness if spec.parts == 1 else LEAST_DEPTH
    pitch = pitch_for(spec, loads, depth_of_stack, width, outer)
    built = _build(faces, spec, loads, width, thickness, pitch.widest)
    clamped = _clamp(built, spec, loads, depth_of_stack, width, pitch)
    there = Placing(glued)
    parts = tuple(
        _finish(b, i, clamped.holes, spec, width, there) for i, b in enumerate(built.bodies)
    )
    depth = built.bodies[0].depth
    beam = built.beam if clamped.holes else replace(built.beam, hole=0.0)
    plan = FormPlan(
        glued, depth_of_stack, width, spec, loads, parts,
        tuple(map(there.clamp, clamped.clamps)),
        there.stop(stop_of(faces[0], spec, depth_of_stack, thickness)), pitch, built.need,
        beam.give(depth), beam.sag(depth), beam.stress(depth), (), (),
    )  # fmt: skip
    turned = heading_range(glued)
    lean = _lean(faces[0]) if back_for(turned) == "straight" else turned / 2
    facts = words.Facts(turned, lean, clamped.left_out, built.hole, built.front)
    return words.explained(plan, facts, display)


def _build(
    faces: tuple[Face, ...],
    spec: FormSpec,
    loads: Loads,
    width: float,
    thickness: float,
    span: float,
) -> _Built:
    """Decide on back, holes and depth, and close the faces to bodies."""
    back = back_for(heading_range(faces[0].glued))
    force = span * loads.pressure * width
    kappa = abs(faces[0].glued.tightest[1])

    def built(hole: float) -> _Built:
        front = front_wall(force, hole, thickness, spec.material) if hole else 0.0
        beam = Beam(spec.material, thickness, width, span, hole, kappa, loads)
        needed = need(beam, front)
        depth = spec.depth or needed.depth
        bodies = tuple(body_of(face, depth, back, faces[0]) for face in faces)
        return _Built(bodies, beam, needed, front)

    if spec.clamp_hole is not None:
        return built(spec.clamp_hole)
    usual = min(max(5.0 * math.floor((span - WALL) / 5.0), USUAL_HOLES[0]), USUAL_HOLES[1])
    first = built(usual if _wants_holes(faces, back) else 0.0)
    if not first.hole and not all(b.reach for b in first.bodies):
        first = built(usual)
    short = spec.depth is not None and spec.depth < first.front + first.hole + WALL
    return built(0.0) if first.hole and short else first


def _wants_holes(faces: tuple[Face, ...], back: Back) -> bool:
    """Whether jaws on a straight back would stand too far from square."""
    return len(faces) == 1 and back == "straight" and _lean(faces[0]) > _SQUARE


def _lean(face: Face) -> float:
    """Greatest angle between the face and its chord [rad]."""
    s = face.samples(10.0)
    a, b = face.point(s[[0, -1]])
    chord = math.atan2(*(b - a)[::-1])
    heading = face.line.angle(s + face.reach)
    middle = 0.5 * (heading.max() + heading.min())
    turns = round((middle - chord) / (2.0 * math.pi))
    return float(np.abs(heading - chord - 2.0 * math.pi * turns).max())


def _clamp(
    built: _Built, spec: FormSpec, loads: Loads, stack: float, width: float, pitch: Pitch
) -> _Clamped:
    """Set the clamps, spread so that the one with the most wood to press has the least."""
    body, face = built.bodies[0], built.bodies[0].face
    wood = (-spec.trim, face.glued.length + spec.trim)
    margin, inset = max(built.hole, JAW), pitch.widest / 4
    ends = (
        max(wood[0] + inset, face.span[0] + margin),
        min(wood[1] - inset, face.span[1] - margin),
    )
    between = stack + spec.liner + spec.strap
    rack = Rack(
        loads.pressure * width, between + spec.caul_thickness, between, built.front,
        built.hole, wood, spec.reference == "end",
    )  # fmt: skip

    def set_at(crowd: float, behind: float, apart: float) -> Floats:
        seats = [(b.face.d + b.face.side * behind, crowd * apart) for b in built.bodies]
        cauls = (face.d - face.side * rack.outside, JAW) if spec.parts == 1 else seats[0]
        return stations(face.glued, ends, pitch.widest, [*seats, cauls])

    def bored(crowd: float) -> _Clamped:
        s = set_at(crowd, built.front + built.hole / 2, built.hole + WALL)
        return _Clamped(*bored_clamps(built.bodies, s, rack), len(s))

    def on_back(crowd: float) -> _Clamped:
        s = set_at(crowd, body.depth, JAW)
        return _Clamped(back_clamps(built.bodies, s, rack), (), len(s))

    best = _least_crowded(bored) if built.hole else _least_crowded(on_back)
    return best if best.clamps else _least_crowded(on_back)


def _least_crowded(clamped: Callable[[float], _Clamped]) -> _Clamped:
    """First arrangement that leaves no clamp out, or the most even one."""
    best = clamped(1.0)
    if best.left_out:
        best = min((best, *map(clamped, _CROWDS)), key=lambda c: round(c.widest, 3))
    return best


def _finish(
    body: Body, index: int, holes: tuple[Hole, ...], spec: FormSpec, width: float, there: Placing
) -> FormPart:
    """Add marks, checks, pins and layers to a body, and lay it where it belongs."""
    own = tuple(h for h in holes if h.part == index)
    glued = body.face.glued
    marks = marks_of(body.face, spec.trim, spec.reference)
    places = {"tightest": glued.tightest[0]} | {
        m.key: m.s for m in marks if m.key == "middle" or m.key.startswith("station.")
    }
    spacing = 50.0 if glued.length > 600.0 else 25.0
    pins = pins_of(body, [(h.centre, h.diameter) for h in own])
    return FormPart(
        there.body(body),
        tuple(map(there.hole, own)),
        tuple(map(there.pin, pins)),
        tuple(map(there.mark, marks)),
        check_face(body.face, spec.reference, places, spacing),
        layers_of(body.outline, width, spec.sheet_thickness, spec.stock_sheet),
    )
