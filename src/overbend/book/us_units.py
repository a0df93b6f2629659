"""Finished sentences that name metric figures, for readers in inches.

Rules, sources and messages from the inner rooms are written once, in metric. A reader in
inches gets the US figure first and the metric one, which is the one that was written down,
in brackets.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from overbend.units import Display, format_force, format_length, format_mass, format_pressure

__all__ = ["stiffness_in_psi", "us_words"]

_INCHES = Display("in")
_FINE = Display("in", inch_denominator=64)
_NUMBER = r"-?\d+(?:\.\d+)?"
_UNITS = r"mm|GPa|MPa|kPa|°C|C|kN|N|kg|g|cm²|cm³"
_METRIC = re.compile(
    rf"(?<![\w.,/(-])\(?(?P<values>{_NUMBER}(?:(?: to | by | and | x ){_NUMBER})*)"
    rf" (?P<unit>{_UNITS})(?![\w/²³·-]| clamp)"
)
_WRITTEN = re.compile(r"(?: in| psi| °F| lbf| lb| oz| in²| in³) \($")


def us_words(text: str, *, metric: bool = True) -> str:
    """Return a sentence with its metric figures in US units.

    Lengths are rounded to the nearest 1/32 in, below 10 mm to 1/64; below 3 mm they are decimals.

    Parameters
    ----------
    text : a finished sentence.
    metric : whether the metric figure follows in brackets.

    Examples
    --------
    >>> us_words("length two thirds of the way through, 5 mm left behind")
    'length two thirds of the way through, 13/64 in (5 mm) left behind'
    >>> us_words("a room of 32 to 38 C"), us_words("11090 MPa", metric=False)
    ('a room of 90 to 100 °F (32 to 38 °C)', '1.61 million psi')
    >>> us_words(us_words("a strip of 40 by 6 mm"))
    'a strip of 1-9/16 by 15/64 in (40 by 6 mm)'
    """

    def both(found: re.Match[str]) -> str:
        if _WRITTEN.search(text[: found.start() + 1]):
            return found[0]
        opening = "(" if found[0].startswith("(") else ""
        return opening + _said(found["values"], found["unit"], metric, bool(opening))

    return _METRIC.sub(both, text)


def _said(values: str, unit: str, metric: bool, inside: bool) -> str:
    """US figures, and the metric ones behind them: in brackets, or a comma inside brackets."""
    us = _WAYS[unit](values)
    if not metric:
        return us
    was = f"{values} {'°C' if unit == 'C' else unit}"
    return f"{us}, {was}" if inside else f"{us} ({was})"


def _each(values: str, change: Callable[[float], str]) -> str:
    """Change every number of a text, and leave what stands between them."""
    return re.sub(_NUMBER, lambda found: change(float(found[0])), values)


def _inches(mm: float) -> str:
    if 0.0 < abs(mm) < 3.0:
        return f"{mm / 25.4:.{2 if abs(mm) >= 1.0 else 3}f}"
    return format_length(mm, _INCHES if abs(mm) >= 10.0 else _FINE, unit=False)


def _lengths(values: str) -> str:
    return f"{_each(values, _inches)} in"


def _temperatures(values: str) -> str:
    return f"{_each(values, lambda celsius: f'{celsius * 1.8 + 32.0:.0f}')} °F"


def _areas(values: str) -> str:
    return f"{_each(values, lambda cm2: _three(cm2 / 2.54**2))} in²"


def _volumes(values: str) -> str:
    return f"{_each(values, lambda cm3: _three(cm3 / 2.54**3))} in³"


def _three(value: float) -> str:
    """Three figures, no exponent."""
    decimals = 2 - math.floor(math.log10(abs(value))) if value else 0
    return f"{round(value, decimals):.{max(decimals, 0)}f}"


def _spread(size: float, write: Callable[[float], str]) -> Callable[[str], str]:
    """Change figures whose US unit may differ from one to the next, such as oz and lb."""
    return lambda values: _each(values, lambda value: write(size * value))


def _pressure(mpa: float) -> str:
    return stiffness_in_psi(mpa) if mpa >= 1000.0 else format_pressure(mpa, _INCHES)


def stiffness_in_psi(mpa: float) -> str:
    """Modulus of elasticity as US handbooks write it.

    Examples
    --------
    >>> stiffness_in_psi(12000.0)
    '1.74 million psi'
    """
    return f"{mpa / 6894.757:.2f} million psi"


_WAYS: dict[str, Callable[[str], str]] = {
    "mm": _lengths,
    "GPa": _spread(1000.0, _pressure),
    "MPa": _spread(1.0, _pressure),
    "kPa": _spread(0.001, _pressure),
    "°C": _temperatures,
    "C": _temperatures,
    "N": _spread(1.0, lambda n: format_force(n, _INCHES)),
    "kN": _spread(1000.0, lambda n: format_force(n, _INCHES)),
    "kg": _spread(1.0, lambda kg: format_mass(kg, _INCHES)),
    "g": _spread(0.001, lambda kg: format_mass(kg, _INCHES)),
    "cm²": _areas,
    "cm³": _volumes,
}
