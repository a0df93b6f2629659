"""Turning the text of an expression into arithmetic on placeholders.

The text is cut into tokens first; what is handed to the evaluator holds only numbers,
operators, brackets and the names this module makes, so nothing a file says can reach
anything else.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from overbend.errors import ExpressionError
from overbend.units import MM, RADIANS, plain_characters

__all__ = ["CONSTANTS", "FUNCTIONS", "UNIT_WORDS", "Translation", "translate"]

FUNCTIONS = ("sqrt", "sin", "cos", "tan", "asin", "acos", "atan", "atan2", "min", "max", "abs",
             "round")  # fmt: skip
CONSTANTS = ("pi",)
UNIT_WORDS = frozenset({*MM, *RADIANS})

_MAX_TEXT = 300
_MAX_TOKENS = 150
_TOKEN = re.compile(
    r"\s*(?:(?P<number>\d+(?:\.\d+)?|\.\d+)|(?P<name>[A-Za-z_]\w*)"
    r"|(?P<op>\*\*|[-+*/^(),])|(?P<mark>[\"'\u00b0]))",
    re.A,
)
_HYPHENATED = re.compile(r"(?<![\w.)])(\d+)-(\d+/\d+)", re.A)
_FORMS = (
    "numbers, names of [dimensions], + - * / ^ ( ), units behind numbers (450 mm, 1 1/8 in, "
    f"12 deg) and {', '.join(FUNCTIONS)}, pi"
)


@dataclass
class Translation:
    """An expression ready to evaluate.

    Parameters
    ----------
    source : arithmetic on numbers and placeholders.
    names : dimension names it uses, by placeholder.
    units : units it uses, by placeholder.
    """

    source: str = ""
    names: dict[str, str] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)


def translate(text: str) -> Translation:
    """Translate an expression, without its leading ``=``.

    Raises
    ------
    ExpressionError
        What is not an expression, ``1-1/8`` (a subtraction or a mixed number), a unit that
        stands behind nothing, or a text too long.

    Examples
    --------
    >>> translate("2 * seat + 1 1/8 in").source
    '2.0*n0+((1+1/8)*u0)'
    """
    if len(text) > _MAX_TEXT:
        raise ExpressionError(f"an expression of {len(text)} characters", allowed=f"{_MAX_TEXT}")
    plain = plain_characters(text)
    hyphenated = _HYPHENATED.search(plain)
    if hyphenated:
        whole, part = hyphenated.groups()
        raise ExpressionError(
            f"{hyphenated[0]!r} in an expression may be a mixed number or a subtraction",
            todo=f"write {whole} {part} or ({whole} + {part}) for the sum, {whole} - {part} for "
            "the difference",
        )
    return _Translator(_tokens(plain, text)).run()


def _tokens(plain: str, given: str) -> list[tuple[str, str]]:
    """Kind and text of each token."""
    tokens: list[tuple[str, str]] = []
    at, end = 0, len(plain.rstrip())
    while at < end:
        found = _TOKEN.match(plain, at)
        if not found or len(tokens) >= _MAX_TOKENS:
            raise _unreadable(given, plain[at:].strip()[:12])
        kind = str(found.lastgroup)
        word = found[kind]
        unit = kind == "mark" or (kind == "name" and word in UNIT_WORDS)
        tokens.append(("unit" if unit else kind, word))
        at = found.end()
    if not tokens:
        raise _unreadable(given, given)
    return tokens


class _Translator:
    """One pass over the tokens of one expression."""

    def __init__(self, tokens: list[tuple[str, str]]) -> None:
        self.tokens = tokens
        self.at = 0
        self.out: list[str] = []
        self.open: list[tuple[int, bool]] = []  # where each bracket begins, and if it is a call's
        self.made = Translation()

    def run(self) -> Translation:
        """Translate all tokens."""
        while self.at < len(self.tokens):
            kind, word = self.tokens[self.at]
            starts = kind in ("number", "name") or word == "("
            if starts and self.out and self.out[-1][-1] not in "+-*/(,":
                raise self.wrong(f"an operator is missing before {word}")
            if kind == "number":
                self.number()
            elif kind == "name":
                self.name(word)
            elif kind == "unit":
                raise self.wrong(f"the unit {word} stands behind no number")
            else:
                self.operator(word)
        if self.open:
            raise self.wrong("a bracket is not closed")
        self.made.source = "".join(self.out)
        return self.made

    def kinds(self, count: int) -> list[str]:
        """Kinds of the next tokens; an operator stands for itself."""
        ahead = self.tokens[self.at : self.at + count]
        return [word if kind == "op" else kind for kind, word in ahead]

    def words(self, count: int | None = None) -> list[str]:
        """Texts of the next tokens, or of all."""
        ahead = self.tokens if count is None else self.tokens[self.at : self.at + count]
        return [word for _, word in ahead]

    def number(self) -> None:
        """Take a number, a fraction with a unit or a mixed number, and its unit."""
        taken, source = 1, repr(float(self.words(1)[0]))
        if self.kinds(4) == ["number", "number", "/", "number"]:
            whole, top, _, bottom = self.words(4)
            if not (whole + top + bottom).isdigit() or int(top) >= int(bottom):
                raise self.wrong(f"{whole} {top}/{bottom} is not a mixed number")
            taken, source = 4, f"({int(whole)}+{int(top)}/{int(bottom)})"
        elif self.kinds(4) == ["number", "/", "number", "unit"]:
            top, _, bottom = self.words(3)
            if self.out and self.out[-1] in ("/", "**"):
                raise self.wrong(f"{top}/{bottom} behind {self.out[-1]} can be read two ways")
            taken, source = 3, f"({float(top)!r}/{float(bottom)!r})"
        self.at += taken
        unit = self.unit()
        self.out.append(f"({source}*{unit})" if unit else source)

    def unit(self) -> str:
        """Placeholder of the unit that comes next, "" for none."""
        if self.kinds(1) != ["unit"]:
            return ""
        placeholder = f"u{len(self.made.units)}"
        self.made.units[placeholder] = self.words(1)[0]
        self.at += 1
        return placeholder

    def name(self, word: str) -> None:
        """Take a function, a constant or the name of a dimension."""
        self.at += 1
        if self.kinds(1) == ["("]:
            if word not in FUNCTIONS:
                raise self.wrong(f"there is no function {word}()", ", ".join(FUNCTIONS))
            self.open.append((len(self.out), True))
            self.out.append(f"{word}(")
            self.at += 1
            return
        placeholder = f"n{len(self.made.names)}"
        self.made.names[placeholder] = word
        self.out.append(placeholder)

    def operator(self, word: str) -> None:
        """Take an operator, a bracket or a comma."""
        self.at += 1
        if word == "(":
            self.open.append((len(self.out), False))
        if word == ")":
            self.close()
            return
        if word == "," and not (self.open and self.open[-1][1]):
            raise self.wrong("a comma parts the values of a function", "a point for decimals")
        self.out.append("**" if word == "^" else word)

    def close(self) -> None:
        """Take a closing bracket and the unit behind it."""
        if not self.open:
            raise self.wrong("a bracket is closed that was not opened")
        begin, _ = self.open.pop()
        inside = "".join(self.out[begin:]) + ")"
        unit = self.unit()
        self.out[begin:] = [f"({inside}*{unit})" if unit else inside]

    def wrong(self, problem: str, allowed: str = _FORMS) -> ExpressionError:
        """Error about this expression."""
        return ExpressionError(f"{problem} in '= {' '.join(self.words())}'", allowed=allowed)


def _unreadable(given: str, rest: str) -> ExpressionError:
    return ExpressionError(f"cannot read '= {given.strip()}' at {rest!r}", allowed=_FORMS)
