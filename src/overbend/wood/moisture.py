"""The moisture wood comes to in a climate, and the climates of shop and home.

Two published fits give the equilibrium moisture content: equation 4-5, from which the
Handbook's table was made and which is used throughout, and equation 4-6, which can be
turned round. Both are one curve through drying and wetting; wood that is drying stays
somewhat wetter than they say, and wood that is taking up water somewhat drier.

References
----------
Wood Handbook, FPL-GTR-282 (2021), equations 4-5 to 4-7 and Table 4-2; the forms are those of
Hailwood and Horrobin (1946) as fitted by Simpson (1973), and of Glass and others (2014).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from overbend.errors import WoodError
from overbend.wood.formulas import handbook
from overbend.wood.tables import did_you_mean, meant, plain, rows
from overbend.wood.values import Status, Value, weakest

__all__ = [
    "Climate",
    "all_climates",
    "climate_ids",
    "custom_climate",
    "emc",
    "emc_glass",
    "find_climate",
    "humidity_glass",
]

_LEAST, _MOST = -1.1112, 115.6  # deg C, the span of Table 4-2: 30 to 240 F
_KELVIN = 273.15
_A, _B, _C, _D, _T_CRITICAL = -0.000612, 2.43, 0.0577, 0.430, 647.1


def emc(temperature: float, humidity: float) -> float:
    """Return the equilibrium moisture content of wood [%].

    EMC = 1800/W [K h / (1 - K h) + (K1 K h + 2 K1 K2 K^2 h^2) / (1 + K1 K h + K1 K2 K^2 h^2)]
    with W, K, K1 and K2 quadratic in temperature.

    Parameters
    ----------
    temperature : of the air [deg C], -1.1 to 115.6.
    humidity : relative humidity as a part of one, above 0 and up to 1. The Handbook's table
        ends at 0.95; above it the equation is carried on.

    Raises
    ------
    WoodError
        A temperature or humidity outside these.

    Examples
    --------
    >>> round(emc(21.1, 0.65), 1)
    12.0

    References
    ----------
    Wood Handbook, FPL-GTR-282 (2021), equation 4-5.
    """
    _check_temperature(temperature)
    _check_humidity(humidity)
    T, h = temperature, humidity
    W = 349 + 1.29 * T + 0.0135 * T**2
    K = 0.805 + 0.000736 * T - 0.00000273 * T**2
    K1 = 6.27 - 0.00938 * T - 0.000303 * T**2
    K2 = 1.91 + 0.0407 * T - 0.000293 * T**2
    Kh = K * h
    single, double = K1 * Kh, K1 * K2 * Kh**2
    return 1800 / W * (Kh / (1 - Kh) + (single + 2 * double) / (1 + single + double))


def emc_glass(temperature: float, humidity: float) -> float:
    """Return the equilibrium moisture content by the newer fit [%].

    EMC = 100 [A T (1 - T / Tc)^B ln(1 - h)]^(C T^D), T in kelvin. From 15 to 40 C and 10 to
    80 % humidity it lies within 0.8 % moisture of equation 4-5; towards freezing and 95 %
    it says up to 3 % more.

    Parameters
    ----------
    temperature : of the air [deg C], -1.1 to 115.6 as for equation 4-5.
    humidity : relative humidity as a part of one, above 0 and below 1.

    Raises
    ------
    WoodError
        A temperature or humidity outside these.

    Examples
    --------
    >>> round(emc_glass(21.1, 0.65), 1)
    12.4

    References
    ----------
    Wood Handbook, FPL-GTR-282 (2021), equation 4-6.
    """
    _check_temperature(temperature)
    _check_humidity(humidity, below_one=True)
    T = temperature + _KELVIN
    inner = _A * T * math.pow(1 - T / _T_CRITICAL, _B) * math.log1p(-humidity)
    return 100 * math.pow(inner, _C * math.pow(T, _D))


def humidity_glass(temperature: float, moisture: float) -> float:
    """Return the humidity at which wood keeps a moisture, as a part of one.

    Equation 4-6 turned round.

    Parameters
    ----------
    temperature : of the air [deg C], -1.1 to 115.6.
    moisture : of the wood [%], above 0.

    Raises
    ------
    WoodError
        A temperature outside the table, or a moisture of zero or less.

    Examples
    --------
    >>> round(humidity_glass(20.0, 8.0), 3)
    0.416

    References
    ----------
    Wood Handbook, FPL-GTR-282 (2021), equation 4-7.
    """
    _check_temperature(temperature)
    if not (math.isfinite(moisture) and moisture > 0):
        raise WoodError(
            f"a moisture of {moisture:g} %",
            allowed="above 0 %",
            todo="no air is dry enough to hold wood at 0 %; give what the wood should come to",
        )
    T = temperature + _KELVIN
    inner = math.pow(moisture / 100, math.pow(T, -_D) / _C)
    return -math.expm1(inner * math.pow(1 - T / _T_CRITICAL, -_B) / (_A * T))


def _check_temperature(temperature: float) -> None:
    if not _LEAST <= temperature <= _MOST:
        raise WoodError(
            f"air at {temperature:g} C: no moisture balance is known there",
            allowed=f"{_LEAST:.1f} to {_MOST:.1f} C (30 to 240 F)",
            todo="give the temperature in C of a place where wood is kept or dried",
        )


def _check_humidity(humidity: float, *, below_one: bool = False) -> None:
    if 0 < humidity <= 1 and not (below_one and humidity == 1):
        return
    percent = 1 < humidity <= 100
    raise WoodError(
        f"a relative humidity of {humidity:g}",
        allowed="above 0 and below 1" if below_one else "above 0 and up to 1",
        todo=f"give it as a part of one: {humidity / 100:g} for {humidity:g} %"
        if percent
        else "no room is that dry or that wet: give the meter's reading over 100",
    )


@dataclass(frozen=True)
class Climate:
    """The air wood is kept in.

    Parameters
    ----------
    id : plain id, such as ``house-summer``.
    name : name to show.
    temperature : [deg C].
    humidity : relative humidity as a part of one.
    source : where the two come from.
    status : how they stand, as for `overbend.wood.values.Value`.

    Raises
    ------
    WoodError
        A temperature or humidity for which no moisture balance is known.

    Examples
    --------
    >>> print(find_climate("house, summer").moisture())
    10.832 %
    """

    id: str
    name: str
    temperature: float
    humidity: float
    source: str
    status: Status

    def __post_init__(self) -> None:
        try:
            emc(self.temperature, self.humidity)
        except WoodError as wrong:
            raise wrong.at(f"climate {self.name}") from None

    def moisture(self) -> Value:
        """Return the moisture that wood kept there long comes to [%], by equation 4-5."""
        unit_inputs = (
            Value(self.temperature, "C", self.source, self.status, "temperature"),
            Value(100 * self.humidity, "%", self.source, self.status, "relative humidity"),
        )
        return Value(
            emc(self.temperature, self.humidity),
            "%",
            handbook("equation 4-5"),
            weakest("computed", self.status),
            f"moisture of wood, {self.name}",
            inputs=unit_inputs,
        )


@cache
def all_climates() -> tuple[Climate, ...]:
    """Return the named climates; all their figures are assumed.

    Examples
    --------
    >>> {climate.status for climate in all_climates()}
    {'assumed'}
    """
    return tuple(
        Climate(
            row["id"],
            row["name"],
            float(row["temperature"]),
            float(row["humidity"]),
            "an example: measure the room",
            "assumed",
        )
        for row in rows("climates")
    )


def climate_ids() -> tuple[str, ...]:
    """Return the ids of the named climates.

    Examples
    --------
    >>> "unheated-shop-winter" in climate_ids()
    True
    """
    return tuple(climate.id for climate in all_climates())


def find_climate(text: str) -> Climate:
    """Return a named climate by its id or name.

    Raises
    ------
    WoodError
        There is none of that name; all are listed.

    Examples
    --------
    >>> find_climate("Heated house winter").temperature
    20.0
    """
    key = plain(text)
    for climate in all_climates():
        if key in (plain(climate.id), plain(climate.name)):
            return climate
    close = did_you_mean(text, climate_ids())
    raise WoodError(
        f"no climate is called {text!r}{meant(close)}",
        allowed=", ".join(climate_ids()),
        todo="name one of these, or give temperature and relative humidity",
    )


def custom_climate(
    name: str, temperature: float, humidity: float, source: str = "your figure"
) -> Climate:
    """Return a climate of the maker's own.

    Parameters
    ----------
    name : to show.
    temperature : [deg C], -1.1 to 115.6.
    humidity : relative humidity as a part of one, above 0 and up to 1.
    source : where they come from.

    Raises
    ------
    WoodError
        Either is outside its range.

    Examples
    --------
    >>> round(custom_climate("my shop", 15.0, 0.62).moisture().value, 1)
    11.5
    """
    return Climate("-".join(name.casefold().split()), name, temperature, humidity, source, "yours")
