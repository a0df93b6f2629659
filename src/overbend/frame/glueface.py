"""Whether parts slide when a joint is clamped, and what keeps them from it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from overbend.curve import Floats
from overbend.errors import FrameError
from overbend.frame.joint_records import Joint, Word
from overbend.frame.solid import Body
from overbend.wood import Value

__all__ = ["WET_FRICTION", "GlueFace", "PegPlan", "WedgeCaul", "glue_face"]

WET_FRICTION = Value(
    0.15,
    "",
    "wood on wood with wet glue between; no source, some glues grab later and slide more at first",
    "assumed",
    "friction of a wet glue face",
    0.1,
    0.25,
)
"""Friction coefficient of a face with wet glue: assumed, with its doubt."""

_THIN = 6.0  # mm a caul is thick at its thin edge


@dataclass(frozen=True, eq=False)
class PegPlan:
    """Two locating dowels that keep a glue face from sliding.

    Parameters
    ----------
    points : where they stand on the face, shape (2, 3) [mm].
    axis : direction they are bored in, shape (3,).
    diameter : [mm].
    depth : into each part [mm].
    """

    points: Floats
    axis: Floats
    diameter: float
    depth: float


@dataclass(frozen=True)
class WedgeCaul:
    """A caul that turns the clamp square to the glue face.

    Parameters
    ----------
    angle : between its two faces [rad].
    length : along the slope [mm].
    width : across it [mm].
    thin, thick : thickness at its two edges [mm].
    on : id of the part it lies on, on the side away from the joint.
    """

    angle: float
    length: float
    width: float
    thin: float
    thick: float
    on: str


@dataclass(frozen=True, eq=False)
class GlueFace:
    """A joint's glue face under its clamp.

    Parameters
    ----------
    joint : id of the joint.
    clamp : direction of the clamp, shape (3,).
    off : angle between the clamp and the square to the glue face [rad].
    hold : friction angle, with its doubt: low, middle, high [rad].
    word : "holds" when it stays put whatever the doubt, "close" within it, "fails" beyond.
    guided : whether tenon, dowel or housing keeps the parts in place anyway.
    pegs, caul : what to add where it slides; None where nothing is needed.
    """

    joint: str
    clamp: Floats
    off: float
    hold: tuple[float, float, float]
    word: Word
    guided: bool
    pegs: PegPlan | None
    caul: WedgeCaul | None


def glue_face(
    joint: Joint, a: Body, b: Body, friction: Value = WET_FRICTION, clamp: Floats | None = None
) -> GlueFace:
    """Compare the direction of the clamp with the square to the glue face.

    A face pressed at an angle slides once the tangent of the angle exceeds the friction
    coefficient.

    Parameters
    ----------
    joint : the joint.
    a, b : its two parts.
    friction : of the wet glue face.
    clamp : direction in which it presses, from a towards b; None: square to the outer face
        of part a, where a straight clamp with flat jaws sits.

    Raises
    ------
    FrameError
        A friction coefficient that is not above zero.
    """
    if not friction.value > 0.0:
        raise FrameError(f"a friction coefficient of {friction.value:g}", allowed="above zero")
    press = _clamp(joint, a) if clamp is None else clamp / np.linalg.norm(clamp)
    off = math.acos(min(abs(float(press @ joint.contact.normal)), 1.0))
    low, mid, high = (
        math.atan(m) for m in (friction.low or friction.value, friction.value,
                               friction.high or friction.value)
    )  # fmt: skip
    word: Word = "holds" if off <= low else "close" if off <= high else "fails"
    guided = joint.guided
    needs = word != "holds" and not guided
    return GlueFace(
        joint.id, press, off, (low, mid, high), word, guided,
        _pegs(joint, a, b) if needs else None,
        _caul(joint, a, off) if word == "fails" else None,
    )  # fmt: skip


def _clamp(joint: Joint, a: Body) -> Floats:
    """Direction of a clamp whose jaw lies flat on the outer face of the first part.

    Along the part itself for an end; for two faces square to the face of a that meets,
    which is parallel to its outer one.
    """
    c = joint.contact
    return joint.closing if c.how == "end" else a.face_normal(c.face_a, c.s_a)


def _pegs(joint: Joint, a: Body, b: Body) -> PegPlan:
    """Two dowels at the quarter points of the longer side of the glue face."""
    c = joint.contact
    side = b.axes(c.s_b)
    half = 0.25 * (c.span_b[1] - c.span_b[0])
    points = np.stack([c.point - half * side[:, 0], c.point + half * side[:, 0]])
    thinner = min(a.depth, a.width, b.depth, b.width)
    d = 6.0 if thinner >= 14.0 else 4.0
    return PegPlan(points, -c.normal, d, min(2.0 * d, 0.5 * thinner))


def _caul(joint: Joint, a: Body, off: float) -> WedgeCaul:
    """Wedge under the clamp's jaw that makes up the angle."""
    c = joint.contact
    wide = a.width if c.face_a in ("left", "right") else a.depth
    if c.how == "end":
        long, wide = 1.5 * max(a.width, a.depth), min(a.width, a.depth)
    else:
        long = max(c.span_a[1] - c.span_a[0], 20.0)
    return WedgeCaul(off, long, wide, _THIN, _THIN + long * math.tan(off), c.b)
