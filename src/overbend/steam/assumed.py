"""What the steam calculations assume when the maker says nothing, each with its reason.

Every default of this folder that is not a property of wood stands here, so that a page or a
book can list them and a maker can change any of them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = [
    "ACTIVITY",
    "AIR_HUMIDITY",
    "AIR_TEMPERATURE",
    "BEND_MINUTES",
    "BEND_SECONDS",
    "BOILER_KEEP",
    "BOX_LOSS",
    "BOX_WALL",
    "CLAMP_SECONDS",
    "DIFFUSION_DOUBT",
    "DRAUGHT",
    "EMISSIVITY",
    "FILM",
    "LAYER",
    "MOISTURE_DOUBT",
    "OUT_SECONDS",
    "PLUME_HEIGHT",
    "POWER_RESERVE",
    "SECOND_HAND",
    "SETTING_MARGIN",
    "SOFTENING",
    "STEAM_MOISTURE",
    "STICKER",
    "STRAP_SECONDS",
    "STRIP_SECONDS",
    "WATER_RESERVE",
    "Assumed",
    "all_assumed",
]


@dataclass(frozen=True)
class Assumed:
    """A default no source was found for.

    Parameters
    ----------
    name : what it is, in words.
    value, unit : the default.
    low, high : the range it may well lie in.
    why : where the figure comes from, and what it decides.

    Examples
    --------
    >>> str(SOFTENING)
    'softening temperature 80 C (70 to 90), assumed'
    """

    name: str
    value: float
    unit: str
    low: float
    high: float
    why: str

    def __str__(self) -> str:
        number = f"{self.name} {self.value:g} {self.unit}".strip()
        return f"{number} ({self.low:g} to {self.high:g}), assumed"


FILM = Assumed(
    "steam film", 300.0, "W/(m2 K)", 150.0, math.inf,
    "steam and air mixed; pure condensing steam has far more. It rules thin strips.",
)  # fmt: skip
MOISTURE_DOUBT = Assumed(
    "doubt of the wood's moisture in the box", 5.0, "points", 0.0, 10.0,
    "boards differ, and the measured heating times were printed without a moisture.",
)  # fmt: skip
EMISSIVITY = Assumed(
    "emissivity of wood", 0.9, "", 0.85, 0.95,
    "usual figure for matt surfaces; it decides half of the dry loss.",
)  # fmt: skip
ACTIVITY = Assumed(
    "water activity of a wet surface", 1.0, "", 0.8, 1.0,
    "a surface dripping with condensate; at 0.8 the wet loss is a third less.",
)  # fmt: skip
AIR_TEMPERATURE = Assumed("air of the shop", 20.0, "C", 5.0, 35.0, "a workshop.")
AIR_HUMIDITY = Assumed("relative humidity of the shop", 50.0, "%", 30.0, 80.0, "a workshop.")
DRAUGHT = Assumed(
    "draught", 1.0, "times still air", 1.0, 2.0,
    "the piece is walked to the form; 2 doubles convection and vapour.",
)  # fmt: skip
PLUME_HEIGHT = Assumed(
    "height of the rising air film", 50.0, "mm", 25.0, 100.0,
    "a face of ordinary strip held on edge; the film goes with its fourth root only.",
)  # fmt: skip
SOFTENING = Assumed(
    "softening temperature", 80.0, "C", 70.0, 90.0,
    "below it wet wood stiffens fast; it falls as moisture rises and no one figure is agreed.",
)  # fmt: skip
LAYER = Assumed(
    "convex face layer", 1.0, "mm", 0.5, 2.0,
    "the layer that must stretch: 1 mm, or a tenth of the thickness where that is less.",
)  # fmt: skip
OUT_SECONDS = Assumed(
    "opening the box and walking to the form", 8.0, "s", 4.0, 20.0, "guess: time it."
)
STRIP_SECONDS = Assumed(
    "taking out and laying up one loose strip", 4.0, "s", 2.0, 8.0, "guess: time it."
)
STRAP_SECONDS = Assumed("hooking a bundle into its strap", 6.0, "s", 3.0, 15.0, "guess: time it.")
BEND_SECONDS = Assumed("pulling the stack round the form", 15.0, "s", 8.0, 40.0, "guess: time it.")
CLAMP_SECONDS = Assumed("closing one clamp", 6.0, "s", 3.0, 15.0, "guess: time it.")
SECOND_HAND = Assumed(
    "work of each further person", 0.7, "of the first", 0.4, 1.0,
    "people at one form stand in each other's way.",
)  # fmt: skip
DIFFUSION_DOUBT = Assumed(
    "doubt of moisture diffusion", 2.5, "times either way", 2.0, 5.0,
    "published coefficients differ by moisture, direction and species; no table was found.",
)  # fmt: skip
STEAM_MOISTURE = Assumed(
    "moisture of a surface in steam or water", 30.0, "%", 25.0, 30.0,
    "fibre saturation; what enters beyond it is capillary water and is not computed.",
)  # fmt: skip
SETTING_MARGIN = Assumed(
    "moisture over balance at which a bend has dried on the form", 2.0, "points", 1.0, 4.0,
    "common practice is days to a week and gives no moisture.",
)  # fmt: skip
STICKER = Assumed("gap between blanks in the box", 10.0, "mm", 6.0, 20.0, "room for steam.")
BOX_LOSS = Assumed(
    "heat the box loses", 3.5, "W/(m2 K)", 1.5, 6.0,
    "18 mm plywood without insulation; vent and door leak come on top, see the reserve.",
)  # fmt: skip
BOX_WALL = Assumed(
    "mass of the box walls", 11.0, "kg/m2", 5.0, 20.0,
    "18 mm plywood; its inside face is warmed through, its outside is not.",
)  # fmt: skip
BEND_MINUTES = Assumed(
    "one bend, until the bender is ready for the next", 6.0, "min", 3.0, 15.0,
    "bend, close the clamps, set out the next form; guess: time it.",
)  # fmt: skip
BOILER_KEEP = Assumed(
    "water that must stay in the boiler", 0.25, "of its fill", 0.1, 0.5,
    "a bare heater burns out; its manual gives the mark.",
)  # fmt: skip
WATER_RESERVE = Assumed(
    "water reserve", 1.5, "times", 1.3, 2.0, "steam blown through the vent, and a late bend."
)
POWER_RESERVE = Assumed(
    "power reserve", 1.3, "times", 1.2, 2.0, "hose and vent losses, a cold day."
)


def all_assumed() -> tuple[Assumed, ...]:
    """Every assumed default of the steam calculations, in the order of the job.

    Examples
    --------
    >>> len(all_assumed()) > 20
    True
    """
    return tuple(v for v in globals().values() if isinstance(v, Assumed))
