"""Values written as expressions of the named dimensions.

``"= seat_height - 60"`` is computed with its dimension: a length plus an area is refused,
a plain number beside a length takes the file's unit.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Iterable, Mapping
from contextlib import suppress
from difflib import get_close_matches
from functools import cached_property, lru_cache

from simpleeval import InvalidExpression, SimpleEval

from overbend import units
from overbend.errors import ExpressionError, OverbendError, UnitError
from overbend.project.expression_text import (
    CONSTANTS,
    FUNCTIONS,
    UNIT_WORDS,
    Translation,
    translate,
)
from overbend.project.quantity import Arithmetic, Quantity

__all__ = [
    "RESERVED",
    "CircleError",
    "FollowingError",
    "Quantity",
    "Scope",
    "is_expression",
    "suggestion",
]

RESERVED = frozenset({*CONSTANTS, *FUNCTIONS, *UNIT_WORDS})
"""Names a dimension cannot have: units, functions and constants."""

_MAX_CHAIN = 40


class CircleError(ExpressionError):
    """Dimensions that depend on each other in a circle."""


class FollowingError(ExpressionError):
    """An expression of a dimension that cannot itself be computed."""


def is_expression(raw: object) -> bool:
    """Whether a value of the file is an expression.

    Examples
    --------
    >>> is_expression("= seat - 60"), is_expression("450 mm")
    (True, False)
    """
    return isinstance(raw, str) and raw.lstrip().startswith("=")


def suggestion(word: str, known: Iterable[str]) -> str:
    """Return ``write NAME`` for the nearest known name, "" when none is near.

    Examples
    --------
    >>> suggestion("seat_hieght", ["seat_height", "width"])
    'did you mean seat_height?'
    """
    near = get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f"did you mean {near[0]}?" if near else ""


class Scope:
    """The named dimensions of a file, computed when first asked for.

    Parameters
    ----------
    dimensions : raw values by name: numbers, texts with units or expressions.
    system : unit of the file.

    Examples
    --------
    >>> scope = Scope({"seat": "18 in", "leg": "= seat - 1 1/2 in"}, "in")
    >>> scope.lookup("leg").value
    419.1
    """

    def __init__(
        self, dimensions: Mapping[str, object] | None = None, system: units.System = "mm"
    ) -> None:
        self.dimensions = dict(dimensions or {})
        self.units: units.System = system
        self._done: dict[str, Quantity] = {}
        self._open: list[str] = []

    def lookup(self, name: str) -> Quantity:
        """Value of a dimension or constant.

        Raises
        ------
        ExpressionError
            When there is none of that name, or it depends on itself.
        """
        if name == "pi":
            return Quantity(math.pi)
        if name not in self.dimensions:
            raise ExpressionError(
                f"there is no dimension {name!r}",
                allowed=", ".join(self.dimensions) or "none: [dimensions] is empty",
                todo=suggestion(name, self.dimensions),
            )
        if name not in self._done:
            self._done[name] = self._first(name)
        return self._done[name]

    def _first(self, name: str) -> Quantity:
        """Compute a dimension, watching for a circle."""
        if name in self._open:
            raise CircleError(
                f"dimensions depend on each other in a circle: {self._chain(name)}",
                todo="give one of them a value",
            )
        if len(self._open) >= _MAX_CHAIN:
            raise ExpressionError(
                f"dimension {name!r} is {_MAX_CHAIN} expressions deep", allowed=f"{_MAX_CHAIN}"
            )
        self._open.append(name)
        try:
            return self.quantity(self.dimensions[name])
        except (CircleError, FollowingError):
            raise
        except OverbendError as error:
            raise FollowingError(
                f"dimension {name!r}: {error.problem}", error.where, error.allowed, error.todo
            ) from error
        finally:
            self._open.pop()

    def _chain(self, name: str) -> str:
        """Circle that closes at a name, told from its first name in the file's order."""
        circle = self._open[self._open.index(name) :]
        order = list(self.dimensions)
        first = circle.index(min(circle, key=order.index))
        return " -> ".join([*circle[first:], *circle[:first], circle[first]])

    def quantity(self, raw: object) -> Quantity:
        """Quantity of a raw value whose dimension is its own.

        A bare number is plain: it takes a unit where it is used.
        """
        if isinstance(raw, bool) or not isinstance(raw, str | int | float):
            raise UnitError(
                f"{raw!r} is not a value", allowed="a number, a text with a unit, an expression"
            )
        if is_expression(raw):
            return self.evaluate(str(raw))
        return _own_kind(raw, self.units)

    def evaluate(self, text: str) -> Quantity:
        """Quantity of an expression, ``"= seat_height - 60"``.

        Raises
        ------
        ExpressionError
            Unknown names, circles, mixed dimensions, or a text that is no expression.
        """
        made = _translated(text.strip().removeprefix("="))
        names = {key: self.lookup(name) for key, name in made.names.items()}
        names |= {key: _unit(name) for key, name in made.units.items()}
        try:
            return self._run(made, names)
        except (InvalidExpression, SyntaxError, TypeError, MemoryError, RecursionError) as error:
            raise ExpressionError(
                f"cannot read {text!r} as an expression",
                allowed='such as "= (width - 2 * 18 mm) / 3"',
                todo="look for a missing operator, bracket or value",
            ) from error
        except ExpressionError as error:
            raise ExpressionError(
                f"{error.problem} in {text!r}", error.where, error.allowed, error.todo
            ) from error

    def _run(self, made: Translation, names: dict[str, Quantity]) -> Quantity:
        """Evaluate a translated expression."""
        self._evaluator.names = names
        result = self._evaluator.eval(made.source, _parsed(made.source))
        if not isinstance(result, Quantity):
            raise TypeError(made.source)
        return result

    @cached_property
    def _evaluator(self) -> SimpleEval:
        return _evaluator(Arithmetic(self.units))


_translated = lru_cache(maxsize=1024)(translate)
_parsed = lru_cache(maxsize=1024)(SimpleEval.parse)


def _own_kind(raw: str | int | float, system: units.System) -> Quantity:
    """Read as a plain number, a length or an angle, whichever fits first."""
    with suppress(UnitError):
        return Quantity(units.parse_number(raw))
    with suppress(UnitError):
        return Quantity(units.parse_length(raw, system), length=1)
    try:
        return Quantity(units.parse_angle(raw), angle=1)
    except UnitError as error:
        raise UnitError(
            error.problem,
            allowed='450, "450 mm", "1-1/8 in", "12 deg", "= width / 2"',
            todo=error.todo,
        ) from error


def _unit(name: str) -> Quantity:
    if name in units.MM:
        return Quantity(float(units.MM[name]), length=1)
    return Quantity(units.RADIANS[name], angle=1)


def _evaluator(arithmetic: Arithmetic) -> SimpleEval:
    """Something that computes with quantities and knows nothing else."""
    evaluator = SimpleEval(
        operators={
            ast.Add: arithmetic.add,
            ast.Sub: arithmetic.subtract,
            ast.Mult: arithmetic.multiply,
            ast.Div: arithmetic.divide,
            ast.Pow: arithmetic.power,
            ast.USub: arithmetic.negative,
            ast.UAdd: lambda q: q,
        },
        functions=arithmetic.functions,
        names={},
    )
    allowed = (ast.Expr, ast.Name, ast.UnaryOp, ast.BinOp, ast.Call)
    evaluator.nodes = {kind: evaluator.nodes[kind] for kind in allowed}
    evaluator.nodes[ast.Constant] = lambda node: Quantity(float(node.value))
    return evaluator
