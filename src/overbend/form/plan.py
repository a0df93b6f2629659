"""The whole form for one bent part: faces, bodies, clamps, layers, marks and checks."""

from __future__ import annotations

from dataclasses import dataclass, replace

from overbend.curve import ArcPath, Curve
from overbend.form import words
from overbend.form.arrange import Arranged, Job, arranged, greatest_lean
from overbend.form.body import Body, back_for
from overbend.form.check import FaceCheck, check_face
from overbend.form.clamps import Clamp, Hole
from overbend.form.depth import LEAST_DEPTH, DepthNeed
from overbend.form.face import Face, faces_of, heading_range
from overbend.form.layers import Layers, layer_count, layers_of
from overbend.form.marks import Mark, Stop, marks_of, stop_of
from overbend.form.pins import Pin, pins_of
from overbend.form.placing import Placing, at_home
from overbend.form.pressure import Pressed, pressed
from overbend.form.spacing import Pitch, pitch_for
from overbend.form.spec import FormSpec, Loads
from overbend.units import Display

__all__ = ["FormPart", "FormPlan", "plan_form"]

_AS_USUAL = FormSpec()
_UNLOADED = Loads()
_METRIC = Display()


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
    pitch : spacing of clamps wanted, and what asks for it.
    apart : greatest distance between neighbouring clamps as they stand [mm].
    pressed : whether they press as hard as wanted; None when their force is not known.
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
    apart: float
    pressed: Pressed | None
    need: DepthNeed
    give: float
    sag: float
    stress: float
    reasons: tuple[str, ...]
    warnings: tuple[str, ...]


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
    ('straight', 80.0, 11)
    >>> plan.reasons[1]
    'The back is straight: the face turns only 40.1°, and a straight back is one cut and stands by itself.'
    """  # noqa: E501
    job, there = _job(at_home(glued), depth_of_stack, width, spec, loads), Placing(glued)
    found = arranged(job)
    parts = tuple(
        _finish(body, i, found.holes, spec, width, there) for i, body in enumerate(found.bodies)
    )
    depth, span = found.bodies[0].depth, max(found.apart, found.beam.span)
    beam = replace(found.beam, span=span, hole=found.hole if found.holes else 0.0)
    plan = FormPlan(
        glued, depth_of_stack, width, spec, loads, parts,
        tuple(map(there.clamp, found.clamps)),
        there.stop(stop_of(job.faces[0], spec, depth_of_stack, job.thickness)), job.pitch,
        found.apart, pressed(found.clamps, loads), found.need,
        beam.give(depth), beam.sag(depth), beam.stress(depth), (), (),
    )  # fmt: skip
    return words.explained(plan, _facts(plan, found, job), display)


def _job(home: Curve, stack: float, width: float, spec: FormSpec, loads: Loads) -> Job:
    """Faces, layers and the spacing of clamps wanted."""
    faces = faces_of(home, stack, spec)
    thickness = layer_count(width, spec.sheet_thickness) * spec.sheet_thickness
    outer = spec.caul_thickness if spec.parts == 1 else LEAST_DEPTH
    pitch = pitch_for(spec, loads, stack, width, outer)
    return Job(faces, spec, loads, stack, width, thickness, pitch)


def _facts(plan: FormPlan, found: Arranged, job: Job) -> words.Facts:
    """What the sentences need beside the plan."""
    turned = heading_range(job.faces[0].glued)
    straight = back_for(turned) == "straight"
    lean = greatest_lean(job.faces[0]) if straight else turned / 2
    better = _better(plan, job) if plan.pressed and plan.pressed.word != "holds" else None
    return words.Facts(turned, lean, found.left_out, found.hole, found.front, better)


def _better(plan: FormPlan, job: Job) -> words.Better | None:
    """What the clamps would reach if holes and spacing were left to the form."""
    spec = job.spec
    if plan.pressed is None or (spec.clamp_hole is None and spec.clamp_spacing is None):
        return None
    free = replace(spec, clamp_hole=None, clamp_spacing=None)
    home = job.faces[0].glued
    found = arranged(_job(home, job.stack, job.width, free, job.loads))
    other = pressed(found.clamps, job.loads)
    if other is None or other.reached < 1.05 * plan.pressed.reached:
        return None
    return words.Better(found.hole if found.holes else 0.0, other.reached, len(found.clamps))


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
