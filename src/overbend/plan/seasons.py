"""How bends move with the seasons of the piece's home."""

from __future__ import annotations

from dataclasses import dataclass

from overbend.bend.seasonal import seasonal_change
from overbend.plan.bent import BentPlan
from overbend.wood import Value, find_climate

__all__ = ["SEASONS", "Season", "seasons_of"]

SEASONS = ("heated-house-winter", "house-summer")
"""The two climates a year swings between, unless a home is described otherwise; assumed."""


@dataclass(frozen=True)
class Season:
    """Change of a bend's angle from the shop's air to another.

    Parameters
    ----------
    name : of the air.
    moisture : it holds wood at [%].
    change : of the angle between the part's ends [rad]; positive closes the bend.
    """

    name: str
    moisture: float
    change: Value


def seasons_of(part: BentPlan, shop: float, home: float) -> tuple[Season, ...]:
    """Change of the angle in the home's air, and in a heated winter and a summer.

    Parameters
    ----------
    part : a bent part.
    shop : moisture at which it is made [%].
    home : moisture that the home's air holds wood at [%].
    """
    airs = {"home": home} | {
        find_climate(name).name: find_climate(name).moisture().value for name in SEASONS
    }
    plies = [(part.woods[s.wood].species, s.thickness) for s in part.strips_used]
    angle = abs(part.target.curve.turn)
    return tuple(
        Season(name, moisture, seasonal_change(angle, plies, "unknown", shop, moisture))
        for name, moisture in airs.items()
    )
