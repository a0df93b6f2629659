"""What a hot face loses to the air of the shop: convection, radiation, evaporation.

The film is free convection on an upright face, driven by the density of the moist air at the
face (vapour is lighter than air); vapour leaves by the same film with the outward flow it
makes itself (Stefan flow), which also thins the sensible part (Ackermann).

References
----------
Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1323-1329: the laminar form for an
upright plate. IAPWS-IF97, equation 30: saturation pressure. Bird, Stewart and Lightfoot,
*Transport Phenomena*, chapters on film theory: Stefan flow and the Ackermann factor. Air
properties are power laws of the absolute temperature. All from memory, checked by the tests
against values of the steam tables and by the table of cooling times of the design.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from overbend.curve import Floats
from overbend.errors import SteamError
from overbend.steam.assumed import AIR_HUMIDITY, AIR_TEMPERATURE, DRAUGHT, EMISSIVITY, PLUME_HEIGHT

__all__ = ["Air", "Loss", "face_loss", "latent_heat", "loss_table", "saturation_pressure"]

_STEFAN_BOLTZMANN = 5.670374419e-8
_GAS = 8.314462618
_KELVIN = 273.15
_AIR_MOLE, _WATER_MOLE = 0.028965, 0.018015  # kg/mol
_PRANDTL = 0.71
_VAPOUR_CP = 1900.0
_GRAVITY = 9.80665

_N = (
    0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5,
    -0.32325550322333e7, 0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6,
    -0.23855557567849, 0.65017534844798e3,
)  # fmt: skip


@dataclass(frozen=True)
class Air:
    """The air a hot piece is carried through. Every default is assumed.

    Parameters
    ----------
    temperature : [deg C], -10 to 60.
    humidity : relative humidity [%], above 0, to 100.
    draught : convection and vapour as a multiple of those in still air [-].
    emissivity : of the wood's surface [-].
    plume : height of the face that the air film climbs [mm]; the film goes with its fourth root.
    pressure : of the air [Pa].

    Raises
    ------
    SteamError : air no workshop has.
    """

    temperature: float = AIR_TEMPERATURE.value
    humidity: float = AIR_HUMIDITY.value
    draught: float = DRAUGHT.value
    emissivity: float = EMISSIVITY.value
    plume: float = PLUME_HEIGHT.value
    pressure: float = 101325.0

    def __post_init__(self) -> None:
        if not 0.0 < self.humidity <= 100.0:
            raise SteamError(
                f"a relative humidity of {self.humidity:g} %",
                where="air",
                allowed="above 0 and up to 100 %; no workshop has perfectly dry air",
                todo="read a hygrometer, or leave it at 50 %",
            )
        if not -10.0 <= self.temperature <= 60.0:
            raise SteamError(
                f"air of {self.temperature:g} C",
                where="air",
                allowed="-10 to 60 C",
                todo="check the temperature and its unit",
            )
        positive = (self.draught, self.emissivity, self.plume, self.pressure)
        if not all(math.isfinite(v) and v > 0.0 for v in positive):
            raise SteamError(
                "draught, emissivity, plume height and pressure of the air must be above zero",
                where="air",
            )

    @property
    def vapour_pressure(self) -> float:
        """Pressure of the vapour in the air [Pa]."""
        return self.humidity / 100.0 * float(saturation_pressure(np.array(self.temperature)))


class Loss(NamedTuple):
    """What a face loses: heat [W/m2] and water [kg/(m2 s)], shape of the temperatures."""

    heat: Floats
    water: Floats


def saturation_pressure(T: Floats) -> Floats:
    """Pressure of saturated steam [Pa] at T deg C.

    Range 0 to 350 C. IAPWS-IF97, equation 30 (region 4).

    Examples
    --------
    >>> round(float(saturation_pressure(np.array(300.0 - 273.15))), 2)
    3536.59
    """
    kelvin = np.asarray(T, float) + _KELVIN
    x = kelvin + _N[8] / (kelvin - _N[9])
    a = x * x + _N[0] * x + _N[1]
    b = _N[2] * x * x + _N[3] * x + _N[4]
    c = _N[5] * x * x + _N[6] * x + _N[7]
    return np.asarray(1e6 * (2.0 * c / (np.sqrt(b * b - 4.0 * a * c) - b)) ** 4)


def latent_heat(T: Floats) -> Floats:
    """Heat to evaporate water at T deg C [J/kg], 0 to 100 C, within 0.4 %.

    A straight line, 2501 kJ/kg at 0 C and 2265 at 100 C (steam tables 2257), from memory.
    """
    return np.asarray(2.501e6 - 2361.0 * np.asarray(T, float))


def _moist_density(vapour: Floats, T: Floats, pressure: float) -> Floats:
    mole = _AIR_MOLE + (_WATER_MOLE - _AIR_MOLE) * vapour / pressure
    return pressure * mole / (_GAS * (T + _KELVIN))


def face_loss(T: Floats, air: Air, activity: float | None) -> Loss:
    """Heat and water leaving a face at T deg C.

    Parameters
    ----------
    T : face temperature [deg C], 0 to 200.
    air : the air.
    activity : water activity of the face, 0 to 1; None is a dry face.

    Returns
    -------
    Heat [W/m2] and water [kg/(m2 s)]; both negative where the face gains.
    At boiling a wet face loses without limit; the figure is then cut at a millionth of the
    air's pressure.

    Examples
    --------
    >>> round(float(face_loss(np.array(90.0), Air(), None).heat))
    1086
    """
    T = np.asarray(T, float)
    film = 0.5 * (T + air.temperature) + _KELVIN
    warmth = film / _KELVIN
    k, nu, mix = 0.0241 * warmth**0.82, 1.33e-5 * warmth**1.77, 2.11e-5 * warmth**1.94
    alpha = nu / _PRANDTL
    there = air.vapour_pressure
    dry = activity is None
    here = np.full_like(T, there) if dry else (activity or 0.0) * saturation_pressure(T)
    here = np.minimum(here, air.pressure * (1.0 - 1e-6))
    far = _moist_density(np.array(there), np.array(air.temperature), air.pressure)
    near = _moist_density(here, T, air.pressure)
    h = _free_convection(2.0 * (far - near) / (far + near), k, nu * alpha, air)
    radiated = air.emissivity * _STEFAN_BOLTZMANN * ((T + _KELVIN) ** 4 - _sky(air))
    if dry:
        return Loss(h * (T - air.temperature) + radiated, np.zeros_like(T))
    transfer = h * mix / k * (alpha / mix) ** (1.0 / 3.0)
    mole = air.pressure / (_GAS * film)
    log = np.log((air.pressure - there) / (air.pressure - here))
    water = _WATER_MOLE * transfer * mole * log
    sensible = h * _ackermann(water * _VAPOUR_CP / h) * (T - air.temperature)
    return Loss(sensible + radiated + water * latent_heat(T), water)


def _sky(air: Air) -> float:
    return (air.temperature + _KELVIN) ** 4


def _free_convection(lift: Floats, k: Floats, drag: Floats, air: Air) -> Floats:
    """Film coefficient of an upright face for a relative density difference [W/(m2 K)]."""
    height = air.plume / 1e3
    rayleigh = _GRAVITY * np.abs(lift) * height**3 / drag
    shape = (1.0 + (0.492 / _PRANDTL) ** (9.0 / 16.0)) ** (4.0 / 9.0)
    return np.asarray(air.draught * (0.68 + 0.670 * rayleigh**0.25 / shape) * k / height)


def _ackermann(a: Floats) -> Floats:
    """Share of the sensible heat left by vapour flowing the same way: a / (e^a - 1)."""
    small = np.abs(a) < 1e-6
    safe = np.where(small, 1.0, a)
    return np.where(small, 1.0 - 0.5 * a, safe / np.expm1(safe))


@lru_cache(maxsize=64)
def loss_table(air: Air, activity: float | None, top: float) -> tuple[Floats, Loss]:
    """Losses at face temperatures from 0 to `top` deg C, finer towards boiling.

    Returns
    -------
    Face temperatures, shape (800,) [deg C], and the losses there.
    """
    T = np.linspace(0.0, top, 800)
    return T, face_loss(T, air, activity)
