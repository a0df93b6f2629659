"""Reading and writing quantities the way a maker types them.

Inside, every quantity is a plain float: mm, rad, deg C, kg, N, MPa, s. Text is read on
exact fractions, so ``"1-1/8 in"`` is 28.575 mm and nothing else. A bare number takes the
unit of the file; what can be read two ways is refused.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from overbend.errors import UnitError

__all__ = [
    "Display",
    "System",
    "format_angle",
    "format_duration",
    "format_force",
    "format_length",
    "format_mass",
    "format_pressure",
    "format_temperature",
    "parse_angle",
    "parse_duration",
    "parse_force",
    "parse_length",
    "parse_mass",
    "parse_number",
    "parse_pressure",
    "parse_temperature",
    "plain_characters",
]

System = Literal["mm", "in"]
Raw = str | int | float

MM = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction("25.4"),
    "inch": Fraction("25.4"),
    "inches": Fraction("25.4"),
    '"': Fraction("25.4"),
    "ft": Fraction("304.8"),
    "foot": Fraction("304.8"),
    "feet": Fraction("304.8"),
    "'": Fraction("304.8"),
}
"""Length units and their size [mm]. The inch is 25.4 mm exactly (1959 agreement)."""

RADIANS = {"deg": math.pi / 180, "degree": math.pi / 180, "degrees": math.pi / 180,
           "\u00b0": math.pi / 180, "rad": 1.0}  # fmt: skip
"""Angle units and their size [rad]."""

_POUND = Fraction("0.45359237")  # kg, exact by definition
_GRAVITY = Fraction("9.80665")  # m/s2, standard
_PSI = _POUND * _GRAVITY / Fraction("0.0254") ** 2 / 10**6  # MPa
_MASSES = {"kg": Fraction(1), "g": Fraction(1, 1000), "lb": _POUND, "lbs": _POUND,
           "oz": _POUND / 16}  # fmt: skip
_FORCES = {"n": Fraction(1), "kn": Fraction(1000), "kgf": _GRAVITY, "lbf": _POUND * _GRAVITY}
_PRESSURES = {"mpa": Fraction(1), "n/mm2": Fraction(1), "kpa": Fraction(1, 1000),
              "gpa": Fraction(1000), "bar": Fraction(1, 10), "psi": _PSI}  # fmt: skip
_SECONDS = {"s": 1, "sec": 1, "second": 1, "seconds": 1, "min": 60, "minute": 60, "minutes": 60,
            "h": 3600, "hour": 3600, "hours": 3600, "d": 86400, "day": 86400,
            "days": 86400}  # fmt: skip

_LENGTH_FORMS = "450, 450.5 mm, 45 cm, 1.2 m, 3/16 in, 1-1/8 in, 7' 2-1/2\""
_MAX_TEXT = 80
_LARGEST = 1e15
_DECIMAL = r"(?:\d+(?:[.,]\d+)?|[.,]\d+)"
_MIXED = r"\d+(?:-\s*|\s+)\d+\s*/\s*\d+"
_VALUE = rf"(?:{_MIXED}|\d+\s*/\s*\d+|{_DECIMAL})"
_QUANTITY = re.compile(rf"(?P<sign>[+-]?)\s*(?P<value>{_VALUE})\s*(?P<unit>[^\d\s.,+-].*)?", re.A)
_FEET = re.compile(
    rf"(?P<sign>[+-]?)\s*(?P<feet>\d+)\s*(?:ft|foot|feet|')\s*-?\s*"
    rf"(?P<inches>{_VALUE})\s*(?:in|inch|inches|\")",
    re.A,
)
_SLOPE = re.compile(rf"(?P<sign>[+-]?)\s*(?P<rise>{_VALUE})\s*(?:in|:)\s*(?P<run>{_VALUE})", re.A)
_THOUSANDS = re.compile(r"(?<![\d.])[1-9]\d{0,2}(?:,\d{3})+(?!\d)", re.A)
_PLAIN = {
    **dict.fromkeys("\u2032\u2019\u2018\u00b4`", "'"),
    **dict.fromkeys("\u2033\u201d\u201c", '"'),
    **dict.fromkeys("\u2212\u2013\u2010\u2011", "-"),
    "\u2044": "/", "\u00ba": "\u00b0", "\u00b2": "2",
}  # fmt: skip


@dataclass(frozen=True)
class Display:
    """How quantities are shown. It never changes what is stored.

    Parameters
    ----------
    system : "mm" for metric, "in" for inches, pounds and degrees Fahrenheit.
    mm_decimals : decimals of a length in mm; zeros at the end are dropped.
    inch_denominator : finest fraction of an inch shown, such as 32.
    """

    system: System = "mm"
    mm_decimals: int = 1
    inch_denominator: int = 32

    def __post_init__(self) -> None:
        if self.system not in ("mm", "in"):
            raise UnitError(f"a display in {self.system!r}", allowed='"mm" or "in"')
        if self.mm_decimals < 0 or self.inch_denominator < 1:
            raise UnitError(
                f"{self.mm_decimals} decimals, 1/{self.inch_denominator} in",
                allowed="no fewer than 0 decimals and 1/1 in",
            )


# -- reading -------------------------------------------------------------------------


def parse_length(value: Raw, unit: System = "mm") -> float:
    """Length from a number or a text.

    Parameters
    ----------
    value : a number, or a text such as ``450,5 mm``, ``3/16 in``, ``1-1/8 in``, ``1½ in``
        or ``7' 2-1/2"``.
    unit : unit of a bare number.

    Returns
    -------
    length [mm], the float nearest to the exact fraction.

    Raises
    ------
    UnitError
        For anything else, and for ``1,250 mm``, which may be 1.25 or 1250.

    Examples
    --------
    >>> parse_length("1-1/8 in"), parse_length("1 1/8", "in"), parse_length("45 cm")
    (28.575, 28.575, 450.0)
    """
    if not isinstance(value, str):
        return float(_number(value, _LENGTH_FORMS) * MM[unit])
    text = _clean(value, _LENGTH_FORMS)
    feet = _FEET.fullmatch(text)
    if feet:
        inches = _exact(feet["inches"], value, _LENGTH_FORMS)
        if inches >= 12:
            raise UnitError(f"{value!r} has 12 inches or more behind the feet", allowed="below 12")
        return float(_signed(feet["sign"], int(feet["feet"]) * 12 + inches) * MM["in"])
    amount, name = _amount_and_unit(text, value, _LENGTH_FORMS)
    if (name or unit) not in MM:
        raise _unreadable(value, _LENGTH_FORMS)
    return float(amount * MM[name or unit])


def parse_number(value: Raw, allowed: str = "a plain number") -> float:
    """Plain number from a number or a text such as ``0.5``, ``0,5`` or ``1/2``.

    Examples
    --------
    >>> parse_number("1/2")
    0.5
    """
    if not isinstance(value, str):
        return float(_number(value, allowed))
    amount, name = _amount_and_unit(_clean(value, allowed), value, allowed)
    if name:
        raise _unreadable(value, allowed)
    return float(amount)


def parse_angle(value: Raw) -> float:
    """Angle [rad] from degrees (bare, ``12 deg``, ``12°``), ``0.2 rad`` or ``1 in 8``.

    ``1 in 8`` (or ``1:8``) is a slope: 1 up for 8 along.

    Examples
    --------
    >>> round(parse_angle("12 deg"), 6), round(parse_angle("1 in 8"), 6)
    (0.20944, 0.124355)
    """
    allowed = "12, 12 deg, 12°, 0.2 rad, or a slope such as 1 in 8"
    if not isinstance(value, str):
        return math.radians(_number(value, allowed))
    text = _clean(value, allowed)
    slope = _SLOPE.fullmatch(text)
    if slope:
        rise = _signed(slope["sign"], _exact(slope["rise"], value, allowed))
        run = _exact(slope["run"], value, allowed)
        if run:
            return math.atan2(rise, run)
    amount, name = _amount_and_unit(text, value, allowed)
    if (name or "deg") not in RADIANS:
        raise _unreadable(value, allowed)
    return float(amount) * RADIANS[name or "deg"]


def parse_temperature(value: Raw) -> float:
    """Temperature [deg C] from a bare number, ``100 C`` or ``212 F``.

    Examples
    --------
    >>> parse_temperature("212 F")
    100.0
    """
    allowed = "20, 20 C or 68 F, not below absolute zero (-273.15 C)"
    if not isinstance(value, str):
        celsius = _number(value, allowed)
    else:
        amount, name = _amount_and_unit(_clean(value, allowed), value, allowed)
        scale = name.removeprefix("\u00b0").removeprefix("deg").strip() or "c"
        if scale not in ("c", "f") or name == "\u00b0":
            raise _unreadable(value, allowed)
        celsius = amount if scale == "c" else (amount - 32) * Fraction(5, 9)
    if celsius < Fraction("-273.15"):
        raise _unreadable(value, allowed)
    return float(celsius)


def parse_mass(value: Raw) -> float:
    """Mass [kg] from a bare number or kg, g, lb, oz.

    Examples
    --------
    >>> parse_mass("250 g")
    0.25
    """
    return _scaled(value, _MASSES, "kg", "2, 2 kg, 250 g, 5 lb or 3 oz")


def parse_force(value: Raw) -> float:
    """Force [N] from a bare number or N, kN, kgf, lbf.

    Examples
    --------
    >>> parse_force("300 kgf")
    2941.995
    """
    return _scaled(value, _FORCES, "n", "2500, 2500 N, 2.5 kN, 250 kgf or 560 lbf")


def parse_pressure(value: Raw, unit: Literal["MPa", "GPa"] = "MPa") -> float:
    """Pressure or modulus [MPa] from a bare number in `unit` or MPa, GPa, kPa, N/mm2, bar, psi.

    Examples
    --------
    >>> parse_pressure("150 psi") < 1.035, parse_pressure(12.5, "GPa")
    (True, 12500.0)
    """
    return _scaled(value, _PRESSURES, unit.casefold(), f"1, 1 MPa, 150 psi; bare is {unit}")


def parse_duration(value: Raw, unit: Literal["s", "min", "h"] = "min") -> float:
    """Time [s] from a bare number in `unit`, or a text such as ``45 s`` or ``1 h 30 min``.

    Examples
    --------
    >>> parse_duration("1 h 30 min"), parse_duration(20)
    (5400.0, 1200.0)
    """
    allowed = f"20, 45 s, 20 min, 1.5 h or 1 h 30 min; bare is {unit}"
    if not isinstance(value, str):
        return float(_number(value, allowed) * _SECONDS[unit])
    text = _clean(value, allowed)
    parts = re.findall(rf"({_VALUE})\s*([a-z]+)\s*", text, re.A)
    if len(parts) < 2 or "".join("".join(p) for p in parts) != text.replace(" ", ""):
        return _scaled(value, {k: Fraction(v) for k, v in _SECONDS.items()}, unit, allowed)
    sizes = [_SECONDS.get(name, 0) for _, name in parts]
    if 0 in sizes or sizes != sorted(set(sizes), reverse=True):
        raise _unreadable(value, allowed)
    return float(sum(_exact(v, value, allowed) * n for (v, _), n in zip(parts, sizes, strict=True)))


def _scaled(value: Raw, sizes: Mapping[str, Fraction], unit: str, allowed: str) -> float:
    """Read a number with one of some units."""
    if not isinstance(value, str):
        return float(_number(value, allowed) * sizes[unit])
    amount, name = _amount_and_unit(_clean(value, allowed), value, allowed)
    if (name or unit) not in sizes:
        raise _unreadable(value, allowed)
    return float(amount * sizes[name or unit])


def _number(value: int | float, allowed: str) -> Fraction:
    """Exact decimal value of a number as it was typed."""
    plain = isinstance(value, int | float) and not isinstance(value, bool)
    if not (plain and abs(value) <= _LARGEST):
        raise _unreadable(value, allowed)
    return Fraction(repr(float(value)))


def plain_characters(text: str) -> str:
    """Text with primes, dashes, vulgar fractions and the like in plain characters.

    Examples
    --------
    >>> plain_characters("2\u00bd\u2033")
    '2 1/2 "'
    """
    out = []
    for char in text:
        plain = _PLAIN.get(char, char)
        if unicodedata.category(char) == "No" and "\u2044" in unicodedata.normalize("NFKC", char):
            plain = " " + unicodedata.normalize("NFKC", char).replace("\u2044", "/") + " "
        out.append(plain)
    return "".join(out).replace("''", '"')


def _clean(text: str, allowed: str) -> str:
    """Plain characters, single spaces, lower case."""
    if len(text) > _MAX_TEXT:
        raise _unreadable(text[:30] + "...", allowed)
    cleaned = " ".join(plain_characters(text).split()).casefold()
    if _THOUSANDS.search(cleaned):
        raise UnitError(
            f"{text!r} can be read two ways: the comma may part thousands or decimals",
            allowed=allowed,
            todo="write 1250 or 1.25",
        )
    return cleaned


def _amount_and_unit(text: str, given: str, allowed: str) -> tuple[Fraction, str]:
    """Signed amount and the unit behind it, "" for none."""
    found = _QUANTITY.fullmatch(text)
    if not found:
        raise _unreadable(given, allowed)
    return _signed(found["sign"], _exact(found["value"], given, allowed)), found["unit"] or ""


def _exact(text: str, given: str, allowed: str) -> Fraction:
    """Exact value of a decimal, a fraction or a mixed number."""
    if "/" not in text:
        return Fraction(text.replace(",", "."))
    *whole, top, bottom = map(int, re.findall(r"\d+", text, re.A))
    if bottom == 0 or (whole and top >= bottom):
        raise _unreadable(given, allowed)
    return Fraction(top, bottom) + sum(whole)


def _signed(sign: str, amount: Fraction) -> Fraction:
    return -amount if sign == "-" else amount


def _unreadable(value: object, allowed: str) -> UnitError:
    return UnitError(f"cannot read {value!r}", allowed=allowed)


# -- writing -------------------------------------------------------------------------


def format_length(
    mm: float, display: Display = Display(), *, feet: bool = False, unit: bool = True
) -> str:
    """Length as text, to the display's precision.

    Parameters
    ----------
    mm : length [mm].
    display : system and precision.
    feet : in inches, split off whole feet.
    unit : whether to write the unit; feet and inches always carry theirs.

    Examples
    --------
    >>> format_length(28.575, Display("in")), format_length(450.04)
    ('1-1/8 in', '450 mm')
    >>> print(format_length(2197.1, Display("in"), feet=True))
    7' 2-1/2"
    """
    if display.system == "mm":
        return _decimal(mm, display.mm_decimals) + (" mm" if unit else "")
    size = _finite(mm) / MM["in"] * display.inch_denominator
    steps = math.floor(abs(size) + Fraction(1, 2))
    inches = Fraction(steps, display.inch_denominator)
    sign = "-" if size < 0 and steps else ""
    if feet and inches >= 12:
        return f"{sign}{inches // 12}' {_mixed(inches % 12)}\""
    return f"{sign}{_mixed(inches)}" + (" in" if unit else "")


def format_angle(rad: float, decimals: int = 1) -> str:
    """Angle in degrees as text.

    Examples
    --------
    >>> format_angle(math.radians(12.54))
    '12.5°'
    """
    return _decimal(math.degrees(rad), decimals) + "\u00b0"


def format_temperature(celsius: float, display: Display = Display(), decimals: int = 0) -> str:
    """Temperature as text, in degrees Fahrenheit when the display is in inches.

    Examples
    --------
    >>> format_temperature(100), format_temperature(100, Display("in"))
    ('100 °C', '212 °F')
    """
    if display.system == "mm":
        return _decimal(celsius, decimals) + " \u00b0C"
    return _decimal(celsius * 1.8 + 32.0, decimals) + " \u00b0F"


def format_mass(kg: float, display: Display = Display(), digits: int = 3) -> str:
    """Mass as text, to some significant digits.

    Examples
    --------
    >>> format_mass(0.25), format_mass(0.25, Display("in"))
    ('250 g', '8.82 oz')
    """
    small, large = ("g", "kg") if display.system == "mm" else ("oz", "lb")
    name = small if abs(kg) < _MASSES[large] else large
    return f"{_digits(kg, _MASSES[name], digits)} {name}"


def format_force(newton: float, display: Display = Display(), digits: int = 3) -> str:
    """Force as text, to some significant digits.

    Examples
    --------
    >>> format_force(2500), format_force(2500, Display("in"))
    ('2500 N', '562 lbf')
    """
    name = "N" if display.system == "mm" else "lbf"
    return f"{_digits(newton, _FORCES[name.casefold()], digits)} {name}"


def format_pressure(mpa: float, display: Display = Display(), digits: int = 3) -> str:
    """Pressure as text, to some significant digits.

    Examples
    --------
    >>> format_pressure(1), format_pressure(1, Display("in"))
    ('1 MPa', '145 psi')
    """
    name = "MPa" if display.system == "mm" else "psi"
    return f"{_digits(mpa, _PRESSURES[name.casefold()], digits)} {name}"


def format_duration(seconds: float) -> str:
    """Time as text, whole seconds under ten minutes and whole minutes above.

    Examples
    --------
    >>> format_duration(45), format_duration(200), format_duration(5400)
    ('45 s', '3 min 20 s', '1 h 30 min')
    """
    whole = math.floor(abs(_finite(seconds)) + Fraction(1, 2))
    sign = "-" if seconds < 0 and whole else ""
    if whole >= 600:
        whole = (whole + 30) // 60 * 60
    hours, minutes, rest = whole // 3600, whole % 3600 // 60, whole % 60
    parts = [f"{n} {u}" for n, u in ((hours, "h"), (minutes, "min"), (rest, "s")) if n]
    return sign + (" ".join(parts) or "0 s")


def _finite(value: float) -> Fraction:
    if not math.isfinite(value):
        raise UnitError(f"cannot write {value!r}", allowed="a finite number")
    return Fraction(value)


def _decimal(value: float, decimals: int) -> str:
    """Fixed decimals without zeros at the end, never -0."""
    text = f"{float(_finite(value)):.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def _digits(value: float, size: Fraction, digits: int) -> str:
    """Significant digits without exponent."""
    amount = float(_finite(value) / size)
    lead = math.floor(math.log10(abs(amount))) if amount else 0
    return _decimal(round(amount, digits - 1 - lead), max(0, digits - 1 - lead))


def _mixed(inches: Fraction) -> str:
    """Whole inches and a fraction, ``1-1/8``."""
    whole, rest = divmod(inches, 1)
    if not rest:
        return str(whole)
    return f"{whole}-{rest}" if whole else str(rest)
