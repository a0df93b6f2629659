"""The steam box: what fits in it, and what it costs to keep hot."""

from __future__ import annotations

import math
from dataclasses import dataclass

from overbend.errors import SteamError
from overbend.steam.assumed import AIR_TEMPERATURE, BOX_LOSS, BOX_WALL, STICKER
from overbend.steam.cooling import HOTTEST
from overbend.steam.section import Section

__all__ = ["Capacity", "SteamBox", "capacity"]


@dataclass(frozen=True)
class SteamBox:
    """A steam box, inside sizes.

    Parameters
    ----------
    length, width, height : inside [mm].
    temperature : round the wood [deg C]; assumed 98, at most 101 in a vented box.
    shop : air round the box [deg C]; assumed 20.
    loss : heat through the walls [W/(m2 K)]; assumed 3.5.
    wall : mass of the walls [kg/m2]; assumed 11.
    gap : left between blanks and to the walls, the height of the stickers [mm]; assumed 10.

    Raises
    ------
    SteamError : a size not above zero, or a temperature no vented box has.
    """

    length: float
    width: float
    height: float
    temperature: float = 98.0
    shop: float = AIR_TEMPERATURE.value
    loss: float = BOX_LOSS.value
    wall: float = BOX_WALL.value
    gap: float = STICKER.value

    def __post_init__(self) -> None:
        if not all(math.isfinite(v) and v > 0.0 for v in (self.length, self.width, self.height)):
            raise SteamError(
                f"a steam box of {self.length:g} by {self.width:g} by {self.height:g} mm",
                where="steam box",
                allowed="inside length, width and height above zero",
            )
        if not self.shop < self.temperature <= HOTTEST:
            raise SteamError(
                f"a steam box at {self.temperature:g} C",
                where="steam box",
                allowed=f"hotter than the shop's {self.shop:g} C, to {HOTTEST:g} C: a vented box "
                "goes no higher",
                todo="measure the box near the wood; never seal it",
            )

    @property
    def area(self) -> float:
        """Area of the walls [m2]."""
        a, b, c = self.length / 1e3, self.width / 1e3, self.height / 1e3
        return 2.0 * (a * b + b * c + c * a)

    @property
    def loss_power(self) -> float:
        """Heat through the walls when hot [W]."""
        return self.loss * self.area * (self.temperature - self.shop)


@dataclass(frozen=True)
class Capacity:
    """How many blanks of one size fit.

    Parameters
    ----------
    along, across, layers : end to end, side by side, on stickers.
    on_edge : lying on the narrow face.
    tight : fits only without gaps: steam reaches it badly.
    """

    along: int
    across: int
    layers: int
    on_edge: bool
    tight: bool

    @property
    def total(self) -> int:
        """Blanks in one load."""
        return self.along * self.across * self.layers


def capacity(box: SteamBox, length: float, section: Section) -> Capacity:
    """How many blanks fit, flat or on edge, whichever holds more.

    ``n`` sides by side need ``n b + (n + 1) gap``; stickers part the layers and keep the lowest
    off the floor.

    Parameters
    ----------
    box : the box.
    length : of one blank [mm].
    section : of one blank, or of one strapped bundle [mm].

    Raises
    ------
    SteamError : a blank longer or thicker than the box.

    Examples
    --------
    >>> box = SteamBox(1500.0, 150.0, 150.0)
    >>> capacity(box, 1200.0, Section(50.0, 27.0)).total
    6
    """
    if not (math.isfinite(length) and length > 0.0):
        raise SteamError(f"a blank {length:g} mm long", allowed="above zero")
    w, t = section.width, section.thickness
    flat = _ways(box, length, w, t, on_edge=False)
    edge = _ways(box, length, t, w, on_edge=True)
    best = max(flat, edge, key=lambda c: c.total)
    if best.total:
        return best
    flat_in = w <= box.width and t <= box.height
    if length <= box.length and (flat_in or (t <= box.width and w <= box.height)):
        return Capacity(1, 1, 1, on_edge=not flat_in, tight=True)
    raise SteamError(
        f"a blank of {length:g} by {w:g} by {t:g} mm does not go into the steam box",
        where="steam box",
        allowed=f"up to {box.length:g} by {box.width:g} by {box.height:g} mm inside",
        todo="build a longer box, steam only the stretch that is bent, or split the part",
    )


def _ways(box: SteamBox, length: float, b: float, h: float, *, on_edge: bool) -> Capacity:
    """Count blanks b wide and h high as they lie."""
    along = math.floor((box.length + box.gap) / (length + box.gap) + 1e-9)
    across = math.floor((box.width - box.gap) / (b + box.gap) + 1e-9)
    layers = math.floor((box.height - box.gap) / (h + box.gap) + 1e-9)
    return Capacity(max(along, 0), max(across, 0), max(layers, 0), on_edge, tight=False)
