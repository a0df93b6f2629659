"""Quantities with their dimension, and arithmetic on them.

An expression of the project file mixes lengths, angles and plain numbers. Each carries
its powers of length and angle, so that an area is never taken for a length.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from overbend import units
from overbend.errors import ExpressionError

__all__ = ["Arithmetic", "Quantity"]

_LARGEST = 1e15
_WORDS = {
    (0, 0): "a plain number",
    (1, 0): "a length",
    (2, 0): "an area",
    (3, 0): "a volume",
    (0, 1): "an angle",
    (1, 1): "a length times an angle",
}


@dataclass(frozen=True)
class Quantity:
    """A value with its powers of length and angle.

    Parameters
    ----------
    value : in mm to the power `length` and rad to the power `angle`.
    length, angle : the powers.
    """

    value: float
    length: int = 0
    angle: int = 0

    @property
    def dimension(self) -> tuple[int, int]:
        """Powers of length and angle."""
        return self.length, self.angle

    @property
    def words(self) -> str:
        """What it is, in words."""
        other = f"a quantity of length^{self.length} angle^{self.angle}"
        return _WORDS.get(self.dimension, other)


@dataclass(frozen=True)
class Arithmetic:
    """Operators and functions of expressions.

    A plain number beside a length takes the file's unit, beside an angle it is in degrees.

    Parameters
    ----------
    system : unit of the file.

    Examples
    --------
    >>> Arithmetic("in").add(Quantity(25.4, length=1), Quantity(2.0))
    Quantity(value=76.19999999999999, length=1, angle=0)
    """

    system: units.System = "mm"

    def like(self, a: Quantity, other: Quantity) -> Quantity:
        """Give a plain number the unit that `other` asks for."""
        if a.dimension == other.dimension or a.dimension != (0, 0):
            return a
        if other.dimension == (1, 0):
            return Quantity(units.parse_length(a.value, self.system), length=1)
        if other.dimension == (0, 1):
            return Quantity(math.radians(a.value), angle=1)
        return a

    def aligned(self, *given: Quantity, doing: str = "compare") -> list[Quantity]:
        """All quantities in one dimension."""
        dimensioned = next((q for q in given if q.dimension != (0, 0)), given[0])
        aligned = [self.like(q, dimensioned) for q in given]
        for q in aligned:
            if q.dimension != dimensioned.dimension:
                raise ExpressionError(
                    f"cannot {doing} {dimensioned.words} and {q.words}",
                    allowed="quantities of the same kind",
                    todo="give a plain number its unit where it is written"
                    if (0, 0) in (dimensioned.dimension, q.dimension)
                    else "",
                )
        return aligned

    def add(self, a: Quantity, b: Quantity) -> Quantity:
        """Sum."""
        a, b = self.aligned(a, b, doing="add")
        return _bounded(replace(a, value=a.value + b.value))

    def subtract(self, a: Quantity, b: Quantity) -> Quantity:
        """Difference."""
        a, b = self.aligned(a, b, doing="subtract")
        return _bounded(replace(a, value=a.value - b.value))

    def multiply(self, a: Quantity, b: Quantity) -> Quantity:
        """Product."""
        return _bounded(Quantity(a.value * b.value, a.length + b.length, a.angle + b.angle))

    def divide(self, a: Quantity, b: Quantity) -> Quantity:
        """Quotient."""
        if b.value == 0.0:
            raise ExpressionError("a division by zero", allowed="a divisor other than zero")
        return _bounded(Quantity(a.value / b.value, a.length - b.length, a.angle - b.angle))

    def power(self, a: Quantity, b: Quantity) -> Quantity:
        """Power, with a plain exponent."""
        whole = b.value == round(b.value)
        if b.dimension != (0, 0) or abs(b.value) > 20 or not (whole or a.dimension == (0, 0)):
            raise ExpressionError(
                f"cannot take a power of {b.value:g} of {a.words}",
                allowed="a whole exponent from -20 to 20; any such number for a plain number",
            )
        try:
            value = float(a.value) ** b.value
        except (OverflowError, ZeroDivisionError) as error:
            raise ExpressionError(f"{a.value:g} ^ {b.value:g} has no value") from error
        if isinstance(value, complex):
            raise ExpressionError(f"{a.value:g} ^ {b.value:g} has no value")
        n = round(b.value)
        return _bounded(Quantity(value, a.length * n, a.angle * n))

    def negative(self, a: Quantity) -> Quantity:
        """Negative of a quantity."""
        return replace(a, value=-a.value)

    def absolute(self, a: Quantity) -> Quantity:
        """Quantity without its sign."""
        return replace(a, value=abs(a.value))

    def smallest(self, first: Quantity, *rest: Quantity) -> Quantity:
        """Least of several."""
        return min(self.aligned(first, *rest), key=lambda q: q.value)

    def largest(self, first: Quantity, *rest: Quantity) -> Quantity:
        """Greatest of several."""
        return max(self.aligned(first, *rest), key=lambda q: q.value)

    def rounded(self, a: Quantity, step: Quantity = Quantity(1.0)) -> Quantity:
        """Nearest multiple of a step; 1 of the file's unit, 1 degree or 1 when left out."""
        a, step = self.aligned(a, step)
        if step.value <= 0.0:
            raise ExpressionError("round() to a step that is not above zero")
        return replace(a, value=math.floor(a.value / step.value + 0.5) * step.value)

    def root(self, a: Quantity) -> Quantity:
        """Square root."""
        if a.value < 0.0 or a.length % 2 or a.angle % 2:
            raise ExpressionError(
                f"sqrt() of {a.words}, {a.value:g}",
                allowed="a plain number or an area of zero or more",
            )
        return Quantity(math.sqrt(a.value), a.length // 2, a.angle // 2)

    def of_angle(self, function: Callable[[float], float]) -> Callable[[Quantity], Quantity]:
        """Make a function of one angle that gives a plain number."""

        def apply(a: Quantity) -> Quantity:
            angle = self.like(a, Quantity(0.0, angle=1))
            if angle.dimension != (0, 1):
                raise ExpressionError(f"{function.__name__}() of {a.words}", allowed="an angle")
            return _bounded(Quantity(function(angle.value)))

        return apply

    def to_angle(self, function: Callable[[float], float]) -> Callable[[Quantity], Quantity]:
        """Make a function of one plain number that gives an angle."""

        def apply(a: Quantity) -> Quantity:
            if a.dimension != (0, 0):
                raise ExpressionError(
                    f"{function.__name__}() of {a.words}", allowed="a plain number"
                )
            try:
                return Quantity(function(a.value), angle=1)
            except ValueError as error:
                raise ExpressionError(
                    f"{function.__name__}() of {a.value:g}", allowed="-1 to 1"
                ) from error

        return apply

    def direction(self, y: Quantity, x: Quantity) -> Quantity:
        """Angle of the direction (x, y)."""
        y, x = self.aligned(y, x)
        return Quantity(math.atan2(y.value, x.value), angle=1)

    @property
    def functions(self) -> dict[str, Callable[..., Quantity]]:
        """Functions by the name an expression uses."""
        return {
            "sqrt": self.root,
            **{f.__name__: self.of_angle(f) for f in (math.sin, math.cos, math.tan)},
            **{f.__name__: self.to_angle(f) for f in (math.asin, math.acos, math.atan)},
            "atan2": self.direction,
            "min": self.smallest,
            "max": self.largest,
            "abs": self.absolute,
            "round": self.rounded,
        }


def _bounded(q: Quantity) -> Quantity:
    """Refuse what is not a number a shop could use."""
    if not abs(q.value) <= _LARGEST:
        raise ExpressionError(f"a result of {q.value:g}", allowed=f"{_LARGEST:g} at most")
    return q
