"""Water and power for a run, and whether this boiler gives them.

Steam gives its latent heat to the wood, to the walls of the box and through them to the shop.
Both figures carry a reserve for what is not computed: the vent, the hose, a cold day.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from overbend.errors import SteamError
from overbend.steam.assumed import BOILER_KEEP, POWER_RESERVE, WATER_RESERVE
from overbend.steam.box import SteamBox
from overbend.steam.loading import Verdict

__all__ = ["LATENT", "Boiler", "BoilerCheck", "HeatDraw", "SteamNeed", "check_boiler", "steam_need"]

LATENT = 2.257e6
"""Heat that a kilogram of steam at 100 C gives up as it condenses [J/kg] (steam tables)."""

_WATER_CP = 4186.0
_BOILING = 100.0
_WALL_CP = 1600.0  # J/(kg K), plywood, assumed
_WALL_SHARE = 0.5  # the outside of the wall stays near the shop


@dataclass(frozen=True)
class Boiler:
    """A boiler, open to the box.

    Parameters
    ----------
    power : heater [kW].
    tank : water when full [litres].
    keep : part of the fill that must stay over the heater [-]; assumed 0.25.
    """

    power: float
    tank: float
    keep: float = BOILER_KEEP.value

    def __post_init__(self) -> None:
        if not (self.power > 0.0 and self.tank > 0.0 and 0.0 <= self.keep < 1.0):
            raise SteamError(
                f"a boiler of {self.power:g} kW with {self.tank:g} litres, {self.keep:g} of them "
                "to stay",
                where="boiler",
                allowed="power and water above zero, and less than all of it to stay",
            )


@dataclass(frozen=True)
class HeatDraw:
    """Heat one blank takes up.

    Parameters
    ----------
    start, end : when it goes in and when its core is hot [s].
    heat : [J].
    """

    start: float
    end: float
    heat: float


@dataclass(frozen=True)
class SteamNeed:
    """What a run asks of a boiler.

    Parameters
    ----------
    wood, walls, lost : heat into the wood, into the walls, through the walls [J].
    hours : the box is hot [h].
    water : to boil away, reserve included [kg = litres].
    power : at the busiest time, reserve included [kW].
    bare_power : the same without reserve [kW].
    """

    wood: float
    walls: float
    lost: float
    hours: float
    water: float
    power: float
    bare_power: float


@dataclass(frozen=True)
class BoilerCheck:
    """A boiler against a need.

    Parameters
    ----------
    verdict, reason : of its power.
    water : boiled away in the run at full power, or the need if that is more [litres].
    refills : times it must be topped up.
    minutes_between : from full to the least level at full power [min].
    minutes_to_steam : from cold to a hot box [min].
    """

    verdict: Verdict
    reason: str
    water: float
    refills: int
    minutes_between: float
    minutes_to_steam: float


def _busiest(draws: Sequence[HeatDraw]) -> float:
    """Highest sum of mean heating rates at any time [W]."""
    rates = [(d, d.heat / (d.end - d.start)) for d in draws if d.end > d.start]
    return max(
        (math.fsum(r for d, r in rates if d.start <= t.start < d.end) for t, _ in rates),
        default=0.0,
    )


def steam_need(
    box: SteamBox,
    draws: Sequence[HeatDraw],
    seconds: float,
    *,
    water_reserve: float = WATER_RESERVE.value,
    power_reserve: float = POWER_RESERVE.value,
) -> SteamNeed:
    """Water and power of a run.

    ``water = (wood + walls + loss t) / 2257 kJ/kg``; power is that lost through the walls and
    the heat of the blanks warming at the busiest time, each spread evenly over the time its
    core takes. Both times a reserve.

    Parameters
    ----------
    box : the box.
    draws : heat into each blank.
    seconds : the box is kept hot [s].
    water_reserve, power_reserve : assumed 1.5 and 1.3.

    Notes
    -----
    A cold blank draws most in its first moments; the box then sags for a while.

    Examples
    --------
    >>> box = SteamBox(1500.0, 150.0, 150.0)
    >>> need = steam_need(box, [HeatDraw(0.0, 1200.0, 3e5)], 3600.0)
    >>> round(need.water, 2), round(need.power, 2)
    (1.25, 0.66)
    """
    rise = box.temperature - box.shop
    walls = box.area * box.wall * _WALL_CP * rise * _WALL_SHARE
    wood = math.fsum(d.heat for d in draws)
    lost = box.loss_power * seconds
    water = (wood + walls + lost) / LATENT * water_reserve
    bare = (box.loss_power + _busiest(draws)) / 1e3
    return SteamNeed(wood, walls, lost, seconds / 3600.0, water, bare * power_reserve, bare)


def check_boiler(boiler: Boiler, need: SteamNeed, shop: float = 20.0) -> BoilerCheck:
    """Lay a boiler against a need.

    Parameters
    ----------
    boiler, need : the two.
    shop : temperature of the water filled in [deg C].

    Returns
    -------
    ``holds`` when its power covers the need with reserve, ``close`` without, else ``fails``;
    and its water. A boiler without a regulator boils at full power all the time.

    Examples
    --------
    >>> need = SteamNeed(1e6, 5e5, 2e6, 2.0, 2.5, 1.2, 0.9)
    >>> check = check_boiler(Boiler(2.0, 10.0), need)
    >>> check.verdict, check.refills, round(check.minutes_between)
    ('holds', 0, 141)
    """
    watts = 1e3 * boiler.power
    if boiler.power >= need.power:
        verdict: Verdict = "holds"
    else:
        verdict = "close" if boiler.power >= need.bare_power else "fails"
    usable = boiler.tank * (1.0 - boiler.keep)
    water = max(need.water, watts * need.hours * 3600.0 / LATENT)
    to_steam = (boiler.tank * _WATER_CP * (_BOILING - shop) + need.walls) / watts
    reason = (
        f"the run asks for {need.power:.1f} kW with reserve ({need.bare_power:.1f} without); "
        f"the boiler gives {boiler.power:.1f} kW"
    )
    return BoilerCheck(
        verdict,
        reason,
        water,
        max(0, math.ceil(water / usable - 1e-9) - 1),
        usable * LATENT / watts / 60.0,
        to_steam / 60.0,
    )
