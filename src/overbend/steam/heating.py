"""Heating in the steam box: how long until the core is hot.

Transverse conduction in a rectangle behind a film of steam, with the heat capacity of wood
rising with temperature. The answer is a band, never one number: the film and the wood's
moisture are not known well.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from overbend.curve import Floats
from overbend.errors import SteamError
from overbend.steam.assumed import FILM, MOISTURE_DOUBT
from overbend.steam.conduction import FilmExchange, HeatStore, march
from overbend.steam.mesh import EVEN_CELLS, Mesh, even_mesh
from overbend.steam.section import Section
from overbend.steam.trace import Trace
from overbend.wood.thermal import FIBRE_SATURATION, ThermalWood

__all__ = [
    "PROOF",
    "HeatingBand",
    "HeatingCurve",
    "heat",
    "heated_section",
    "heating_band",
]

PROOF = (
    "Checked against 30 hardwood rows of the Wood Handbook, Table 20-4: mean error 7 %, worst "
    "22 %. Those rows stand at about 70 C in moist air and do not prove steaming at 100 C."
)
"""Printed beside every heating time. The validation test keeps its figures true."""

_ALMOST = 0.02
_PAST = 0.005
_LONGEST = 7.0 * 24.0 * 3600.0


@dataclass(frozen=True, eq=False)
class HeatingCurve:
    """How a section heats in the box.

    Parameters
    ----------
    section : what is heated as one solid [mm].
    start, steam : temperatures of the wood at first and of the steam [deg C].
    film : surface coefficient [W/(m2 K)]; infinite where the face is at once as hot as the steam.
    core, mean, surface : centre, mean of the section, middle of a broad face [deg C].
    """

    section: Section
    start: float
    steam: float
    film: float
    core: Trace
    mean: Trace
    surface: Trace

    @property
    def times(self) -> Floats:
        """Times of the traces [s]."""
        return self.core.times

    def time_to_core(self, target: float) -> float:
        """Time until the core reaches a target [s]; 0 when it starts hotter.

        Raises
        ------
        SteamError : the target lies above what the curve was computed to, or above the steam.
        """
        _check_target(self.steam, target)
        if target <= self.start:
            return 0.0
        time = self.core.when(target)
        if not math.isfinite(time):
            raise SteamError(
                f"a core of {target:g} C lies beyond this curve, which ends at "
                f"{self.core.values[-1]:.1f} C",
                allowed="a target given as `until` when the curve is computed",
            )
        return time


def _check_target(steam: float, target: float) -> None:
    if not target < steam:
        raise SteamError(
            f"a box of {steam:g} C cannot bring wood to {target:g} C",
            where="steam box",
            allowed="a box hotter than the target of the core",
            todo="measure the box near the wood; let out air, insulate it, give it more steam, "
            "or aim lower",
        )


def heated_section(strip: Section, count: int = 1, *, stickers: bool = True) -> Section:
    """Return what heats as one solid: each strip where stickers part them, else the stack.

    Examples
    --------
    >>> heated_section(Section(50.0, 3.0), 9, stickers=False).thickness
    27.0
    """
    return strip if stickers else strip.stacked(count)


def _film_conductance(mesh: Mesh, k: float, film: float) -> Floats:
    return np.asarray(1.0 / (1.0 / film + mesh.gap / k))


def heat(
    section: Section,
    wood: ThermalWood,
    *,
    start: float = 20.0,
    steam: float = 98.0,
    film: float = FILM.value,
    until: float | None = None,
    cells: int = EVEN_CELLS,
    tolerance: float = 0.15,
) -> HeatingCurve:
    """Heat a section in steam from an even temperature.

    Parameters
    ----------
    section : a strip, a blank, or a stack without stickers as one solid [mm].
    wood : its wood.
    start : even temperature of the wood [deg C].
    steam : temperature round the wood [deg C], above the start.
    film : surface coefficient [W/(m2 K)]; `math.inf` for none.
    until : core temperature the curve must reach; None takes 98 % of the rise.
    cells : cells across half a side.
    tolerance : error allowed in one step [K].

    Returns
    -------
    The curve.

    Raises
    ------
    SteamError : a box no hotter than the wood or than `until`, or a film not above zero.

    Notes
    -----
    Conduction across the grain only; the ends of a blank heat sooner. Conductivity is the
    Handbook's near 24 C. Heat freed where wood takes up moisture is left out. Against the exact
    product of slab series (constant properties, with a film) core times are within 0.5 %.

    Examples
    --------
    >>> board = heat(Section(50.0, 25.0), ThermalWood(0.56, 20.0), steam=100.0)
    >>> round(board.time_to_core(90.0) / 60.0)
    20
    """
    if not steam > start:
        raise SteamError(
            f"a box of {steam:g} C with wood of {start:g} C in it",
            where="steam box",
            allowed="a box hotter than the wood",
            todo="check both temperatures",
        )
    if not film > 0.0:
        raise SteamError(f"a steam film of {film:g} W/(m2 K)", allowed="above zero, or inf")
    goal = steam - _ALMOST * (steam - start) if until is None else until
    _check_target(steam, goal)
    mesh, k = even_mesh(section, cells), wood.conductivity
    store = HeatStore(wood.density, *wood.heat_line)
    through = _film_conductance(mesh, k, film)
    stop = min(goal + _PAST * (steam - start), 0.5 * (goal + steam))
    history = march(
        mesh, k, store, FilmExchange(through, steam), start,
        lambda p: float(mesh.core @ p) > stop,
        tolerance=tolerance, limit=_LONGEST,
    )  # fmt: skip
    skin = history.trace(mesh.skin)
    share = 1.0 - float(through[-1]) * mesh.skin_gap / k  # of the way from steam to cell
    surface = Trace(skin.times, steam + share * (skin.values - steam), skin.rates * share)
    core, mean = history.trace(mesh.core), history.trace(mesh.mean)
    return HeatingCurve(section, start, steam, film, core, mean, surface)


@dataclass(frozen=True, eq=False)
class HeatingBand:
    """Time until the core is hot, as a band.

    Parameters
    ----------
    target : core temperature [deg C].
    quick, middle, slow : curves at the bounds and between them.
    moistures : wood moisture of the three [%].
    """

    target: float
    quick: HeatingCurve
    middle: HeatingCurve
    slow: HeatingCurve
    moistures: tuple[float, float, float]

    @cached_property
    def low(self) -> float:
        """Shortest time [s]: no film, drier wood."""
        return self.quick.time_to_core(self.target)

    @cached_property
    def mid(self) -> float:
        """Time with the assumed film and the moisture given [s]."""
        return self.middle.time_to_core(self.target)

    @cached_property
    def high(self) -> float:
        """Longest time [s]: thick film, wetter wood."""
        return self.slow.time_to_core(self.target)


@lru_cache(maxsize=512)
def heating_band(
    section: Section,
    wood: ThermalWood,
    target: float,
    *,
    start: float = 20.0,
    steam: float = 98.0,
    film: float = FILM.value,
    films: tuple[float, float] = (FILM.low, FILM.high),
    moisture_doubt: float = MOISTURE_DOUBT.value,
) -> HeatingBand:
    """Time until the core reaches a target, with its doubt.

    Parameters
    ----------
    section, wood, start, steam, film : as in `heat`.
    target : core temperature wanted [deg C], below the steam.
    films : thick and thin end of the film [W/(m2 K)]; assumed 150 and none.
    moisture_doubt : points of moisture either way, kept between 0 and fibre saturation.

    Returns
    -------
    The band: low with no film and drier wood, high with the thick film and wetter wood.

    Notes
    -----
    The band does not hold the doubt of conductivity at 100 C, for which no data were found;
    print `PROOF` beside it.

    Examples
    --------
    >>> band = heating_band(Section(50.0, 25.0), ThermalWood(0.56, 20.0), 90.0)
    >>> band.low < band.mid < band.high
    True
    """
    middle = wood.moisture
    drier = max(0.0, middle - moisture_doubt)
    wetter = min(FIBRE_SATURATION, middle + moisture_doubt)
    moistures = (drier, middle, wetter)
    quick, mid, slow = (
        heat(section, replace(wood, moisture=M), start=start, steam=steam, film=f, until=target)
        for M, f in zip(moistures, (films[1], film, films[0]), strict=True)
    )
    return HeatingBand(target, quick, mid, slow, moistures)
