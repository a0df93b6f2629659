"""Heat in wood: density, conductivity across the grain, heat capacity, diffusivity.

All equations are those of the Wood Handbook, chapter 4 (USDA Forest Products Laboratory,
*Wood Handbook: Wood as an Engineering Material*). Numbers of equations follow the 2010
edition (FPL-GTR-190), with those of 2021 (FPL-GTR-282) where that edition was read.
They hold below fibre saturation only.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from overbend.errors import WoodError

__all__ = [
    "CONDUCTIVITY_MOISTURE_LIMIT",
    "FIBRE_SATURATION",
    "ThermalWood",
    "conductivity",
    "density",
    "diffusivity",
    "gravity_at",
    "heat_capacity",
    "heat_capacity_line",
]

FIBRE_SATURATION = 30.0
"""Moisture at which free water begins [%], the Handbook's usual figure (ch. 4)."""

CONDUCTIVITY_MOISTURE_LIMIT = 25.0
"""Highest moisture of the conductivity equation [%] (eq. 4-17, 2021)."""

_LEAST_GRAVITY = 0.3
_CELL_WALL_GRAVITY = 1.54
_TEMPERATURES = (-20.0, 150.0)  # deg C; the equation was fitted to 7 to 147 (from memory)
_KELVIN = 273.15
_WATER_CP = 4.18


def _check_moisture(M: float) -> None:
    if not 0.0 <= M <= FIBRE_SATURATION:
        raise WoodError(
            f"a wood moisture of {M:g} %",
            allowed=f"0 to {FIBRE_SATURATION:g} % (fibre saturation): the heat equations of the "
            "Wood Handbook end there",
            todo="let green wood dry below it, or compute with 28 % and trust a timed trial blank",
        )


def gravity_at(basic_gravity: float, M: float, shrinkage: float | None = None) -> float:
    """Specific gravity on the volume at moisture M (oven-dry mass).

    ``Gx = Gb / (1 - Sx/100)`` with ``Sx = S0 (1 - M/30)`` (eq. 4-9, 4-11); when the volumetric
    shrinkage is unknown ``S0 = 26.5 Gb`` (eq. 4-12), which gives eq. 4-13.

    Parameters
    ----------
    basic_gravity : oven-dry mass over green volume [-].
    M : moisture [%], 0 to 30.
    shrinkage : volumetric shrinkage, green to oven-dry [%]; None takes eq. 4-12.

    Returns
    -------
    Gx [-].

    Raises
    ------
    WoodError : moisture over fibre saturation, or a gravity no wood has.

    References
    ----------
    Wood Handbook 2021 (FPL-GTR-282), eq. 4-9 to 4-13.

    Examples
    --------
    >>> round(gravity_at(0.5, 12.0), 4)
    0.5432
    """
    _check_moisture(M)
    if not 0.0 < basic_gravity < _CELL_WALL_GRAVITY:
        raise WoodError(
            f"a basic specific gravity of {basic_gravity:g}",
            allowed=f"above 0 and below {_CELL_WALL_GRAVITY:g}, that of the bare cell wall",
            todo="give oven-dry mass over green volume, relative to water",
        )
    full = 26.5 * basic_gravity if shrinkage is None else shrinkage
    return basic_gravity / (1.0 - full / 100.0 * (1.0 - M / FIBRE_SATURATION))


def density(basic_gravity: float, M: float, shrinkage: float | None = None) -> float:
    """Density at moisture M, water included [kg/m3].

    ``rho = 1000 Gx (1 + M/100)`` (eq. 4-14). Parameters, range and errors as in `gravity_at`.

    References
    ----------
    Wood Handbook 2021 (FPL-GTR-282), eq. 4-14.

    Examples
    --------
    >>> round(density(0.5, 12.0), 1)
    608.4
    """
    return 1000.0 * gravity_at(basic_gravity, M, shrinkage) * (1.0 + M / 100.0)


def conductivity(gravity: float, M: float) -> float:
    """Conductivity across the grain [W/(m K)].

    ``k = G (B + C M) + A`` with A = 0.01864, B = 0.1941, C = 0.004064.

    Parameters
    ----------
    gravity : specific gravity on the volume at M [-], above 0.3.
    M : moisture [%], 0 to 25. From 25 to 30 the value at 25 is kept; it is then low.

    Returns
    -------
    k [W/(m K)]. Near 24 C; along the grain it is 1.5 to 2.8 times as much.

    Raises
    ------
    WoodError : outside the range.

    References
    ----------
    Wood Handbook 2021 (FPL-GTR-282), eq. 4-17 (2010: eq. 4-15).

    Examples
    --------
    >>> round(conductivity(gravity_at(0.54, 10.0, shrinkage=12.3), 10.0), 4)
    0.1567
    """
    _check_moisture(M)
    if not gravity > _LEAST_GRAVITY:
        raise WoodError(
            f"a specific gravity of {gravity:g}",
            allowed=f"above {_LEAST_GRAVITY:g}: the conductivity equation ends there",
            todo="steam times for so light a wood are not known: time a trial blank",
        )
    wet = min(M, CONDUCTIVITY_MOISTURE_LIMIT)
    return gravity * (0.1941 + 0.004064 * wet) + 0.01864


def heat_capacity_line(M: float) -> tuple[float, float]:
    """Heat capacity as a straight line in temperature: c0 and c1 of ``cp = c0 + c1 T``.

    The Handbook's equations are linear in T at a given moisture, so nothing is lost.

    Parameters
    ----------
    M : moisture [%], 0 to 30.

    Returns
    -------
    c0 [J/(kg K)] at 0 C, c1 [J/(kg K^2)].

    Examples
    --------
    >>> c0, c1 = heat_capacity_line(12.0)
    >>> round(c0 + c1 * 20.0)
    1620
    """
    _check_moisture(M)
    wet = 1.0 + M / 100.0
    slope = 0.003867 / wet + 2.36e-4 * M
    at_zero_kelvin = (0.1031 + _WATER_CP * M / 100.0) / wet + M * (-0.06191 - 1.33e-4 * M)
    return 1000.0 * (at_zero_kelvin + slope * _KELVIN), 1000.0 * slope


def heat_capacity(T: float, M: float) -> float:
    """Heat capacity of wood with its water [J/(kg K)].

    ``cp = (cp0 + 4.18 M/100)/(1 + M/100) + Ac``, ``cp0 = 0.1031 + 0.003867 T``,
    ``Ac = M (-0.06191 + 2.36e-4 T - 1.33e-4 M)``, T in kelvin, cp in kJ/(kg K).

    Parameters
    ----------
    T : temperature [deg C], -20 to 150; the fit is stated from 7 to 147 (from memory).
    M : moisture [%], 0 to 30.

    Raises
    ------
    WoodError : outside the range.

    References
    ----------
    Wood Handbook 2010 (FPL-GTR-190), eq. 4-16a, 4-17, 4-18.

    Examples
    --------
    >>> round(heat_capacity(340.0 - 273.15, 12.0))
    1915
    """
    low, high = _TEMPERATURES
    if not low <= T <= high:
        raise WoodError(
            f"a wood temperature of {T:g} C",
            allowed=f"{low:g} to {high:g} C",
            todo="check the temperature and its unit",
        )
    c0, c1 = heat_capacity_line(M)
    return c0 + c1 * T


def diffusivity(
    basic_gravity: float, M: float, T: float = 20.0, shrinkage: float | None = None
) -> float:
    """Thermal diffusivity across the grain ``k / (rho cp)`` [mm2/s].

    Parameters
    ----------
    basic_gravity, M, shrinkage : as in `gravity_at`.
    T : temperature of the heat capacity [deg C].

    Examples
    --------
    >>> round(diffusivity(0.5, 12.0), 4)
    0.1528
    """
    return ThermalWood(basic_gravity, M, shrinkage).diffusivity(T)


@dataclass(frozen=True)
class ThermalWood:
    """A wood at a moisture, as heat sees it.

    Parameters
    ----------
    basic_gravity : oven-dry mass over green volume [-].
    moisture : moisture [%], 0 to 30.
    shrinkage : volumetric shrinkage, green to oven-dry [%]; None takes 26.5 times the gravity.

    Raises
    ------
    WoodError : a wood, or a moisture, outside the Handbook's equations.

    Notes
    -----
    Conductivity is taken near 24 C; its change towards 100 C is not in the equations and
    belongs to the doubt of every heating time.

    Examples
    --------
    >>> ash = ThermalWood(0.55, 20.0)
    >>> round(ash.density), round(ash.conductivity, 3), round(ash.heat_capacity(60.0))
    (694, 0.178, 2137)
    """

    basic_gravity: float
    moisture: float
    shrinkage: float | None = None

    def __post_init__(self) -> None:
        conductivity(self.gravity, self.moisture)

    @cached_property
    def gravity(self) -> float:
        """Specific gravity on the volume at this moisture [-]."""
        return gravity_at(self.basic_gravity, self.moisture, self.shrinkage)

    @cached_property
    def density(self) -> float:
        """Density with its water [kg/m3]."""
        return 1000.0 * self.gravity * (1.0 + self.moisture / 100.0)

    @cached_property
    def conductivity(self) -> float:
        """Conductivity across the grain [W/(m K)]."""
        return conductivity(self.gravity, self.moisture)

    @cached_property
    def heat_line(self) -> tuple[float, float]:
        """c0 [J/(kg K)] and c1 [J/(kg K^2)] of ``cp = c0 + c1 T``."""
        return heat_capacity_line(self.moisture)

    def heat_capacity(self, T: float) -> float:
        """Heat capacity at T deg C [J/(kg K)]."""
        return heat_capacity(T, self.moisture)

    def diffusivity(self, T: float) -> float:
        """Thermal diffusivity at T deg C [mm2/s]."""
        return 1e6 * self.conductivity / (self.density * self.heat_capacity(T))

    def heat_between(self, T0: float, T1: float) -> float:
        """Heat to bring one kilogram from T0 to T1 deg C [J/kg]; negative when it cools."""
        c0, c1 = self.heat_line
        return (T1 - T0) * (c0 + 0.5 * c1 * (T0 + T1))

    @property
    def doubts(self) -> tuple[str, ...]:
        """What to say beside numbers computed with this wood."""
        said = ["Conductivity is the Handbook's at 24 C; it is used up to 100 C."]
        if self.moisture > CONDUCTIVITY_MOISTURE_LIMIT:
            said.append(
                f"Conductivity is kept at its value for {CONDUCTIVITY_MOISTURE_LIMIT:g} % moisture."
            )
        if not math.isclose(self.moisture, 12.0, abs_tol=0.5):
            said.append("The measured heating times were met best with 12 % moisture.")
        return tuple(said)
