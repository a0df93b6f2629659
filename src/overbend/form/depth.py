"""How deep a form's body has to be, by a simple beam check.

Between two clamps the body is taken as a straight beam on its clamps, loaded by the
pressure on the wood; over its whole length it carries, with the opposite sign, the moment
with which the bent strips push back. With B the thickness of all layers, D the depth, H the
diameter of the clamp holes, taken at mid-depth::

    I    = B (D^3 - H^3) / 12              section through a hole
    give = K / (E I)                       share of the bend lost, K = strip stiffness
    sag  = 5 w a^4 / (384 E I) + 1.2 w a^2 / (8 G B (D - H)),   w = pressure * width
    stress = (w a^2 / 8 + K kappa) D / (2 I)

The strips' moment is K kappa and bends the body by K kappa / (E I): a share K / (E I) of
the bend, the same everywhere. Simply supported spans (a continuous body sags less) and
shear by Timoshenko's factor for a rectangle, both from the elementary theory of beams.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from overbend.form.spec import FormMaterial, Loads

__all__ = [
    "LEAST_DEPTH",
    "MOST_GIVE",
    "MOST_SAG",
    "WALL",
    "Beam",
    "DepthNeed",
    "front_wall",
    "need",
]

MOST_GIVE = 0.003  # share of the bend the body may give away; assumed: a third of one per cent
MOST_SAG = 0.1  # mm between clamps; assumed
LEAST_DEPTH = 60.0  # mm; common practice, no source
WALL = 20.0  # mm of sheet left round holes; common practice, no source
_STEP = 5.0  # mm: depths and walls come in these
_MOST = 600.0  # mm: no form is made deeper


@dataclass(frozen=True)
class Beam:
    """A form's body as a beam.

    Parameters
    ----------
    material : what it is sawn from.
    thickness : of all layers [mm].
    width : of the wood on it [mm].
    span : between clamps [mm].
    hole : diameter of the clamp holes, 0 for none [mm].
    kappa : tightest mid-depth curvature on the form [1/mm].
    loads : what presses on it.

    Examples
    --------
    >>> from overbend.form.spec import MDF
    >>> beam = Beam(MDF, 54.0, 50.0, 80.0, 0.0, 1 / 500, Loads(1.0, 1e7))
    >>> round(beam.give(80.0), 5), round(beam.sag(80.0), 4), round(beam.stress(80.0), 2)
    (0.00174, 0.017, 1.04)
    """

    material: FormMaterial
    thickness: float
    width: float
    span: float
    hole: float
    kappa: float
    loads: Loads

    def second_moment(self, depth: float) -> float:
        """I of the section through a hole [mm4]; 0 where the hole takes the whole depth."""
        return max(0.0, self.thickness * (depth**3 - self.hole**3) / 12.0)

    @property
    def line_load(self) -> float:
        """W, load along the face [N/mm]."""
        return self.loads.pressure * self.width

    def give(self, depth: float) -> float:
        """Share of the bend that the body gives away to the strips."""
        return _over(self.loads.strip_stiffness, self.material.modulus * self.second_moment(depth))

    def sag(self, depth: float) -> float:
        """Sag between two clamps [mm]."""
        w, a, m = self.line_load, self.span, self.material
        bend = _over(5.0 * w * a**4, 384.0 * m.modulus * self.second_moment(depth))
        web = self.thickness * max(0.0, depth - self.hole)
        return bend + _over(1.2 * w * a**2, 8.0 * m.shear_modulus * web)

    def stress(self, depth: float) -> float:
        """Greatest bending stress [MPa]."""
        moment = self.line_load * self.span**2 / 8.0 + self.loads.strip_stiffness * self.kappa
        return _over(moment * depth / 2.0, self.second_moment(depth))


@dataclass(frozen=True)
class DepthNeed:
    """Depth a body needs, and what asks for it.

    Parameters
    ----------
    depth : [mm], in steps of 5 mm.
    governs : "practice", "holes", "give", "sag" or "stress".
    within : False where even 600 mm would not do.
    """

    depth: float
    governs: str
    within: bool


def need(beam: Beam, front: float) -> DepthNeed:
    """Depth that the body needs.

    Parameters
    ----------
    beam : the body.
    front : wall between face and clamp holes [mm].

    Examples
    --------
    >>> from overbend.form.spec import PLYWOOD
    >>> need(Beam(PLYWOOD, 54.0, 50.0, 80.0, 0.0, 1 / 300, Loads(1.0, 1.2e7)), 20.0)
    DepthNeed(depth=60.0, governs='practice', within=True)
    >>> need(Beam(PLYWOOD, 54.0, 50.0, 80.0, 0.0, 1 / 300, Loads(1.0, 5e7)), 20.0)
    DepthNeed(depth=90.0, governs='give', within=True)
    """
    asked = {
        "practice": LEAST_DEPTH,
        "holes": front + beam.hole + WALL if beam.hole else 0.0,
        "give": _least(lambda d: beam.give(d) <= MOST_GIVE),
        "sag": _least(lambda d: beam.sag(d) <= MOST_SAG),
        "stress": _least(lambda d: beam.stress(d) <= beam.material.bending),
    }
    governs = max(asked, key=lambda name: asked[name])
    depth = min(asked[governs], _MOST)
    return DepthNeed(math.ceil(depth / _STEP - 1e-9) * _STEP, governs, asked[governs] <= _MOST)


def front_wall(force: float, hole: float, thickness: float, material: FormMaterial) -> float:
    """Wall between face and hole that carries a clamp's force across the hole [mm].

    A simply supported strip over the hole's diameter under an even load: moment
    ``F H / 8``, shear ``F / 2``, greatest shear stress 1.5 times the mean. Rounded up to
    5 mm, never below the least wall.

    Examples
    --------
    >>> from overbend.form.spec import PLYWOOD
    >>> front_wall(6000.0, 50.0, 54.0, PLYWOOD)
    30.0
    """
    bend = math.sqrt(6.0 * force * hole / 8.0 / (thickness * material.bending))
    shear = 1.5 * force / 2.0 / (thickness * material.shear)
    return math.ceil(max(WALL, bend, shear) / _STEP - 1e-9) * _STEP


def _least(holds: Callable[[float], bool]) -> float:
    """Least depth in steps at which a check holds, or infinity [mm]."""
    steps = range(1, round(_MOST / _STEP) + 1)
    return next((i * _STEP for i in steps if holds(i * _STEP)), math.inf)


def _over(a: float, b: float) -> float:
    """Quotient of loads and stiffness; nothing to carry is no trouble for nothing."""
    if a == 0.0:
        return 0.0
    return a / b if b > 0 else math.inf
