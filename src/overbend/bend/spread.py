"""How much woods, boards, strips, runs and forms differ: what the band is drawn from.

Strips of one board agree with each other, parts steamed in one run agree, parts off one
form agree, and a whole shop may sit to one side of the book. So the spread is given at
the level where it lives.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from typing import Literal

from overbend.errors import LayupError

__all__ = ["Method", "Spread", "set_prior", "widening"]

Method = Literal["cold", "steam"]
"""``cold``: bent at room temperature. ``steam``: steamed and dried on the form."""

_STEAMED = (0.92, 0.85)
_SLIGHT = (0.75, 1.10)
_THIN = 4.0  # mm
_GENTLE = 1.0 / 100.0  # thickness over radius


@dataclass(frozen=True)
class Spread:
    """Standard deviations by level.

    Parameters
    ----------
    modulus_species : of the wood's mean about the book's, relative. Assumed.
    modulus_board, modulus_strip : between boards, and between strips of one board,
        relative. Together 22 %, the spread between pieces; how it divides is assumed.
    thickness : of a planed strip [mm]. Assumed.
    set_species, set_run, set_strip : of the set fraction, as the standard deviation of
        ``log(phi / (1 - phi))``, between woods, between steam runs and between strips of
        one run. Assumed; :func:`set_prior` gives the whole. A ply without set keeps none.
    form : of the curvature of a form as built, relative. Assumed.
    drift : angle that moves out or in after release, mostly from drying, as a share of the
        part's angle; differs from run to run. Assumed: what the angle of flat-sawn wood
        changes by for two or three per cent of moisture.
    creep : of the loss of strips glued cold, as the standard deviation of its logarithm, from
        glue and wood that go on giving; differs from run to run. Assumed, because two readings
        are all there are: the loss grew 1.18 and 1.55 times (by 1.4 and 3.2 % of the angle)
        from the first to the tenth day, in one maker's strips of compressed beech. The root
        mean square of their logarithms is 0.33; other wood is thought to creep a little less.
        What strips with a set lose later is in the spreads of their set.
    widening : multiplies the three set spreads away from the trials' range; see
        :func:`widening`.

    References
    ----------
    The 22 % is the ratio of standard deviation to mean modulus of elasticity in the
    baldcypress and eastern hemlock rows of ASTM D2555 Table 2 (260/1184 and 0.22 by
    arithmetic).

    Examples
    --------
    >>> round(Spread().modulus_piece, 2)
    0.22
    >>> round(Spread().with_set(1.1).set_sd, 2)
    1.1
    """

    modulus_species: float = 0.08
    modulus_board: float = 0.19
    modulus_strip: float = 0.11
    thickness: float = 0.08
    set_species: float = 0.60
    set_run: float = 0.50
    set_strip: float = 0.33
    form: float = 0.003
    drift: float = 0.005
    creep: float = 0.3
    widening: float = 1.0

    def __post_init__(self) -> None:
        for f in fields(self):
            value = getattr(self, f.name)
            if not (math.isfinite(value) and value >= 0.0):
                raise LayupError(
                    f"a spread {f.name} of {value:g}",
                    allowed="zero or above",
                    todo="give the standard deviation, or leave it out for the assumed one",
                )

    @classmethod
    def none(cls) -> Spread:
        """Return no spread at all: every draw is the nominal part."""
        return cls(*[0.0] * (len(fields(cls)) - 1))

    @property
    def modulus_piece(self) -> float:
        """Relative standard deviation between pieces of one wood."""
        return math.hypot(self.modulus_board, self.modulus_strip)

    @property
    def set_sd(self) -> float:
        """Standard deviation of the set fraction's logit, all levels and widened."""
        return self.widening * math.hypot(self.set_species, self.set_run, self.set_strip)

    def with_set(self, sd_logit: float) -> Spread:
        """Scale the three set levels so that together, not widened, they give sd_logit."""
        now = math.hypot(self.set_species, self.set_run, self.set_strip)
        if now == 0.0:
            return replace(self, set_species=sd_logit)
        by = sd_logit / now
        return replace(
            self,
            set_species=self.set_species * by,
            set_run=self.set_run * by,
            set_strip=self.set_strip * by,
        )


def set_prior(
    method: Method, t_over_r: float, thickness: float | None = None
) -> tuple[float, float]:
    """Set fraction before any trial bend: median and standard deviation of its logit.

    All assumed, and wide: published springback of steamed wood runs from 2 to over 50 %.

    * cold: no set, (0, 0).
    * steamed and dried on the form: median 0.92, nine in ten between 0.75 and 0.98.
      Southern pine bent to 12 thicknesses and dried under restraint lost 2 to 4 % of its
      curvature at once (Lemoine and Koch 1971); shop rules allow 10 to 15 %.
    * steamed, but up to 4 mm thick or bent to 100 thicknesses or more: median 0.75, nine
      in ten between about 0.33 and 0.95. So slight a bend strains the wood little beyond
      what it takes elastically, and a thin strip cools in seconds on the way to the form.
      1/8 in cherry steamed to 24 in lost 20 to 33 %, an ash back post steamed to a gentle
      lean 20 % (shop reports). Both limits are assumed.

    Parameters
    ----------
    method : ``"cold"`` or ``"steam"``.
    t_over_r : strip thickness over mid radius at the tightest place.
    thickness : of the strip [mm], if known.

    Raises
    ------
    LayupError
        For another method or a ratio that is not a number from 0 up to 2.

    Examples
    --------
    >>> set_prior("steam", 25 / 400)
    (0.92, 0.85)
    >>> set_prior("steam", 3.2 / 610)
    (0.75, 1.1)
    """
    if method not in ("cold", "steam"):
        raise LayupError(f"a bending method {method!r}", allowed="cold or steam")
    if not 0.0 <= t_over_r < 2.0:
        raise LayupError(f"a thickness of {t_over_r:g} times the radius", allowed="0 to below 2")
    if method == "cold":
        return 0.0, 0.0
    thin = thickness is not None and thickness <= _THIN
    return _SLIGHT if thin or t_over_r <= _GENTLE else _STEAMED


def widening(t_over_r: float, tried: tuple[float, float]) -> float:
    """How much to widen the set spread away from what trial bends covered.

    One within the range tried, and one more for every factor of two outside it. Assumed.

    Parameters
    ----------
    t_over_r : thickness over radius asked about, > 0.
    tried : least and greatest thickness over radius of the trials, > 0.

    Examples
    --------
    >>> widening(0.05, (0.02, 0.06)), round(widening(0.24, (0.02, 0.06)), 6)
    (1.0, 3.0)
    """
    low, high = tried
    if not (t_over_r > 0.0 and 0.0 < low <= high):
        raise LayupError(
            f"thickness over radius {t_over_r:g} against trials from {low:g} to {high:g}",
            allowed="values above zero, the trials' least first",
        )
    return 1.0 + max(0.0, math.log2(low / t_over_r), math.log2(t_over_r / high))
