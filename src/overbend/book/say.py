"""Numbers as the maker reads them."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from overbend.book.us_units import Reader, stiffness_in_psi
from overbend.units import (
    Display,
    format_angle,
    format_force,
    format_length,
    format_mass,
    format_temperature,
)

__all__ = ["Say"]


@dataclass(frozen=True)
class Say:
    """Formats numbers for one reader.

    Parameters
    ----------
    display : units and precision.
    kept : names of the piece with a figure in them, which no sentence changes; see `names_of`.
    """

    display: Display
    kept: tuple[str, ...] = ()

    def length(self, mm: float) -> str:
        """A length; a straight line's radius in words."""
        return "straight" if math.isinf(mm) else format_length(mm, self.display)

    def bare(self, mm: float) -> str:
        """A length without its unit, for columns that name it in the header."""
        return "straight" if math.isinf(mm) else format_length(mm, self.display, unit=False)

    def fine(self, mm: float) -> str:
        """A length where tenths matter: 0.1 mm or 1/64 in and finer in decimals."""
        if self.display.system == "in":
            return f"{mm / 25.4:.3f} in"
        return f"{mm:.2f} mm"

    def thick(self, mm: float) -> str:
        """A thickness to mill: 0.1 mm, or a 64th where it is one, else thousandths of an inch."""
        if self.display.system == "mm":
            return format_length(mm, self.display)
        inches = mm / 25.4
        if abs(inches * 64 - round(inches * 64)) < 0.05:
            return format_length(mm, replace(self.display, inch_denominator=64))
        return f"{inches:.3f} in"

    def sharp(self, mm: float) -> str:
        """A length on a form, without its unit: 0.1 mm or the nearest 1/64 in."""
        return format_length(mm, replace(self.display, inch_denominator=64), unit=False)

    def cell(self, mm: float) -> str:
        """A length in a table's column, without its unit: always 0.1 mm, or the nearest 1/64 in."""
        if self.display.system == "in" or math.isinf(mm):
            return "straight" if math.isinf(mm) else self.sharp(mm)
        text = f"{mm:.1f}"
        return text.removeprefix("-") if float(text) == 0.0 else text

    def force(self, newton: float) -> str:
        """A force, rounded up to two or three figures: never less than computed."""
        by = 1.0 if self.display.system == "mm" else 4.4482216
        step = (10.0 if newton < 1000.0 * by else 100.0) * by
        return format_force(step * math.ceil(newton / step), self.display)

    def stiffness(self, mpa: float) -> str:
        """A modulus of elasticity: in GPa, or in millions of psi as US handbooks have it."""
        return f"{mpa / 1000.0:.1f} GPa" if self.unit == "mm" else stiffness_in_psi(mpa)

    def temperature(self, celsius: float) -> str:
        """A temperature."""
        return format_temperature(celsius, self.display)

    def mass(self, kg: float) -> str:
        """A mass."""
        return format_mass(kg, self.display)

    def area(self, mm2: float) -> str:
        """A small area in square centimetres or inches."""
        return f"{mm2 / 100.0:.1f} cm²" if self.unit == "mm" else f"{mm2 / 25.4**2:.2f} in²"

    def volume(self, mm3: float) -> str:
        """A small volume in cubic centimetres or inches."""
        return f"{mm3 / 1000.0:.1f} cm³" if self.unit == "mm" else f"{mm3 / 25.4**3:.2f} in³"

    def timber(self, mm3: float) -> str:
        """A volume of wood in litres or board feet."""
        if self.unit == "in":
            return f"{mm3 / 25.4**3 / 144:.2f} board feet"
        return f"{mm3 / 1e6:.2f} litres"

    def water(self, litres: float) -> str:
        """A volume of water in litres or US gallons."""
        return f"{litres:.1f} litres" if self.unit == "mm" else f"{litres / 3.785:.1f} US gallons"

    def words(self, text: str) -> str:
        """A finished sentence; its metric figures in US units first for readers in inches."""
        return self.reader.words(text)

    @property
    def reader(self) -> Reader:
        """Who reads: rewords messages that were written in metric."""
        return Reader(self.display.system, self.kept)

    @property
    def unit(self) -> str:
        """The unit of lengths."""
        return self.display.system

    @property
    def unit_word(self) -> str:
        """The unit of lengths in a sentence."""
        return "mm" if self.unit == "mm" else "inches"

    def angle(self, rad: float) -> str:
        """An angle in degrees."""
        return format_angle(rad)

    def between(self, low: float, high: float) -> str:
        """A range of lengths, the unit once."""
        a, b = sorted((low, high))
        return f"{self.bare(a)} to {self.length(b)}"

    @staticmethod
    def share(part: float) -> str:
        """A share in per cent, two figures that matter."""
        percent = 100.0 * part
        return f"{percent:.1f} %" if abs(percent) < 10 else f"{percent:.0f} %"
