"""Every error Overbend raises on purpose.

::

    OverbendError
    ├── InputError          something a person gave cannot be used
    │   ├── ProjectError    the project file: syntax, key, value
    │   │   └── ExpressionError   an ``= ...`` value: name, cycle, dimension
    │   ├── UnitError       a length, angle or temperature that cannot be read
    │   ├── CurveError      a curve or offset that cannot exist
    │   ├── LayupError      plies that cannot be bent or computed as asked
    │   ├── WoodError       a species, moisture or climate outside what is known
    │   ├── SteamError      a box, blank or run that cannot be computed
    │   ├── StockError      boards or strips that cannot be cut as described
    │   ├── FrameError      parts that cannot be placed or joined as described
    │   ├── TrialError      a trial bend that contradicts itself
    │   └── DrawingFileError   a DXF or SVG that cannot be read
    ├── LedgerError         the shop's ledger cannot be opened, read or written
    └── OutputError         a result that cannot be written

Each message says where (file, line or part), what was given, what is allowed and
what to do. Infeasible work or broken wood is a result, never one of these.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = [
    "CurveError",
    "DrawingFileError",
    "ExpressionError",
    "FrameError",
    "InputError",
    "LayupError",
    "LedgerError",
    "OutputError",
    "OverbendError",
    "ProjectError",
    "SteamError",
    "StockError",
    "TrialError",
    "UnitError",
    "WoodError",
]


@dataclass
class OverbendError(Exception):
    """Root of the tree.

    Parameters
    ----------
    problem : what is wrong, one sentence, with the value given.
    where : file, line, key or part it belongs to; "" when the caller knows it better.
    allowed : what would be accepted.
    todo : what the maker can do about it.
    """

    problem: str
    where: str = ""
    allowed: str = ""
    todo: str = ""

    def __str__(self) -> str:
        """Join the parts that are there into one message."""
        head = f"{self.where}: {self.problem}" if self.where else self.problem
        tail = [f"Allowed: {self.allowed}"] if self.allowed else []
        tail += [f"Do: {self.todo}"] if self.todo else []
        return "\n  ".join([head, *tail])

    def at(self, where: str) -> OverbendError:
        """Return the same error with a place in front of the place it already names.

        Examples
        --------
        >>> str(UnitError("cannot read 'x'").at("part.leg.width"))
        "part.leg.width: cannot read 'x'"
        """
        place = f"{where}: {self.where}" if self.where else where
        return type(self)(self.problem, place, self.allowed, self.todo)


class InputError(OverbendError):
    """Something a person gave cannot be used."""


class ProjectError(InputError):
    """The project file cannot be read or does not describe a piece."""


class ExpressionError(ProjectError):
    """A value written as an expression cannot be computed."""


class UnitError(InputError):
    """A length, angle or temperature cannot be read."""


class CurveError(InputError):
    """A curve, or an offset of it, cannot exist."""


class LayupError(InputError):
    """Plies that cannot be bent or computed as asked."""


class WoodError(InputError):
    """A species, moisture or climate outside what is known."""


class SteamError(InputError):
    """A steam box, blank or run that cannot be computed."""


class TrialError(InputError):
    """A trial bend, or what was measured on it, that contradicts itself."""


class StockError(InputError):
    """Boards, strips or a cutting list that cannot be used as described."""


class FrameError(InputError):
    """Parts that cannot be placed in the piece or joined as described."""


class DrawingFileError(InputError):
    """A DXF or SVG file that cannot be read as a curve."""


class LedgerError(OverbendError):
    """The shop's ledger cannot be opened, read or written; what it holds is untouched."""


class OutputError(OverbendError):
    """A result that cannot be written."""
