"""Whether the strips of a part take the bend of its form, and how many to mill."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property, partial

from overbend.bend.breakage import BreakRisk, break_risk, governing, limits
from overbend.bend.calibrate import Face, Treatment
from overbend.bend.capacity import (
    Capacity,
    cold_capacity,
    cold_compression,
    hot_compression,
    hot_tension,
)
from overbend.bend.hot import HotWood
from overbend.bend.spares import Spares, spares_needed
from overbend.bend.strain import BendWay, PartStrain, StripBend, part_strain
from overbend.curve import Curve
from overbend.plan.layup import StripUse
from overbend.project import BentPart
from overbend.project.shop_state import ShopState
from overbend.stock import Strip
from overbend.wood import Wood

__all__ = [
    "PartRisk",
    "StripStrength",
    "WoodStrength",
    "hot_wood",
    "part_risk",
    "strip_strength",
    "wood_strength",
]


@dataclass(frozen=True)
class StripStrength:
    """What one strip stands, in both faces, and how it is bent.

    Parameters
    ----------
    bend : thickness, way of bending and limits, for the strain along the form.
    tension, compression : what the convex and the concave face stand.
    """

    bend: StripBend
    tension: Capacity
    compression: Capacity


@dataclass(frozen=True, eq=False)
class PartRisk:
    """Strain and breakage of a part on its form.

    Parameters
    ----------
    strain : of every strip along the form, with the verdict.
    strengths : of every strip, outside in.
    risks : likeliest way each strip breaks, outside in.
    spares : how many to mill of each row of strips, against luck.
    asked_again : computes `doubted`.
    """

    strain: PartStrain
    strengths: tuple[StripStrength, ...]
    risks: tuple[BreakRisk, ...]
    spares: tuple[Spares, ...]
    asked_again: Callable[[], tuple[Spares, ...]]

    @cached_property
    def doubted(self) -> tuple[Spares, ...]:
        """How many to mill if the figures for this wood themselves are doubted."""
        return self.asked_again()

    @property
    def worst(self) -> BreakRisk:
        """The strip likeliest to break."""
        return governing(self.risks)


@dataclass(frozen=True)
class WoodStrength:
    """What the wood of a strip stands, before the shop's own trial bends, and how it is bent.

    Parameters
    ----------
    species : id of its species.
    treatment : how it is bent, as the shop's trial bends are told apart.
    way : how it is bent.
    tension, compression : what the convex and the concave face stand.
    """

    species: str
    treatment: Treatment
    way: BendWay
    tension: Capacity
    compression: Capacity


def wood_strength(part: BentPart, wood: Wood, slope: float) -> WoodStrength:
    """What the wood of a strip stands; the same whatever the curve.

    Parameters
    ----------
    part : says whether it is bent hot and with a strap.
    wood : the strip's wood.
    slope : slope of grain, rise over run.
    """
    if part.method == "laminate":
        mor, moe = wood.need("mor").value, wood.need("moe").value
        tension, compression = cold_capacity(mor, moe, slope=slope), cold_compression()
        return WoodStrength(wood.species.id, "cold", BendWay(), tension, compression)
    kiln, unbroken = wood.dried == "kiln", wood.species.fact("unbroken")
    share = None if unbroken is None else min(max(unbroken.value / 100.0, 0.01), 0.99)
    tension = hot_tension(slope=slope, kiln_dried=kiln, unbroken=share)
    compression = hot_compression(kiln_dried=kiln, unbroken=share)
    way = BendWay(hot_wood(wood), strap=part.form.strap > 0.0)
    return WoodStrength(wood.species.id, "steam", way, tension, compression)


def strip_strength(
    strip: StripUse, wood: WoodStrength, shop: ShopState, ratio: float
) -> StripStrength:
    """What one strip of a part stands, corrected by the shop's own trial bends.

    Parameters
    ----------
    strip : its thickness.
    wood : what its wood stands.
    shop : what the shop has learnt.
    ratio : thickness of the strip over its radius at the tightest place.
    """

    def learnt(capacity: Capacity, face: Face) -> Capacity:
        if not ratio > 0.0:
            return capacity
        found = shop.break_strain_for(wood.species, wood.treatment, strip.thickness, ratio, face)
        return capacity if found is None else found.of(capacity)

    tension, compression = learnt(wood.tension, "convex"), learnt(wood.compression, "concave")
    holds, fails = limits(tension, compression)
    return StripStrength(StripBend(strip.thickness, wood.way, holds, fails), tension, compression)


def hot_wood(wood: Wood) -> HotWood:
    """Hot wood from the dry figures at 12 % as tabulated."""
    modulus = wood.need("moe", 12.0).value
    crushing = wood.strength("comp_parallel", 12.0) or wood.estimate("comp_parallel", 12.0)
    return HotWood.from_dry(modulus, crushing.value)


def part_risk(
    form: Curve,
    strengths: Sequence[StripStrength],
    rows: Sequence[Strip],
    *,
    strips_per_board: int,
    confidence: float,
) -> PartRisk:
    """Strain along the form, chance of breaking and spares.

    Parameters
    ----------
    form : middle line of the part on its form.
    strengths : of its strips, outside in.
    rows : strips to mill; each row's good strips are its count.
    strips_per_board : how many strips come from one board.
    confidence : chance that enough are left, such as 0.95.
    """
    strain = part_strain(form, [s.bend for s in strengths])
    risks = tuple(
        governing([break_risk(e, s.tension), break_risk(c, s.compression)])
        for s, e, c in zip(strengths, strain.tension, strain.compression, strict=True)
    )
    worst = [governing([risks[place - 1] for place in row.plies]) for row in rows]

    def spares(doubted: bool) -> tuple[Spares, ...]:
        return tuple(
            spares_needed(
                row.count,
                *risk.scenarios(doubted),
                strips_per_board=strips_per_board,
                confidence=confidence,
            )
            for row, risk in zip(rows, worst, strict=True)
        )

    return PartRisk(strain, tuple(strengths), risks, spares(False), partial(spares, True))
