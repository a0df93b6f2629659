"""What can be taken hold of on a curve: the records."""

from __future__ import annotations

from dataclasses import dataclass, field

from overbend.curve import Curve

__all__ = ["Handle", "Lever", "Move"]


@dataclass(frozen=True)
class Move:
    """One value that a handle changes.

    Parameters
    ----------
    key : of the value in the file, the dimension's when it is named by one.
    along : how the value follows the pointer: "x", "y", "place" for both in one list, "line",
        "length", "radius", "angle", "bend" for an end of an easement, "heading", "along" for a
        named place.
    """

    key: str
    along: str


@dataclass(frozen=True)
class Handle:
    """Something to take hold of.

    Parameters
    ----------
    id : the same from one drawing to the next.
    x, y : where it is, in the curve's own frame [mm].
    label : its name and value, in words.
    shape : "point", "end", "middle", "tip", "lever", "start" or "station".
    moves : values that follow; empty when something holds it.
    why : why it does not move, "" when it does.
    frame : what is needed to read a size off a pointer, by name.
    curve : that a named place runs along.
    root : where the line to a lever or a tip begins, in the curve's frame [mm].
    values : keys and labels of the values beside it.
    acts : what else can be done with it.
    index : of its point or segment, -1 for none.
    """

    id: str
    x: float
    y: float
    label: str
    shape: str
    moves: tuple[Move, ...]
    why: str = ""
    frame: dict[str, float] = field(default_factory=dict)
    curve: Curve | None = None
    root: tuple[float, float] | None = None
    values: tuple[tuple[str, str], ...] = ()
    acts: tuple[str, ...] = ()
    index: int = -1


@dataclass(frozen=True)
class Lever:
    """How far from the curve levers and tips stand.

    Parameters
    ----------
    reach : length of the lever that shows a direction [mm].
    gap : between the curve and the foot of its comb [mm].
    per : length of a tooth of the comb per curvature [mm of drawing per 1/mm, so mm2].
    """

    reach: float = 80.0
    gap: float = 40.0
    per: float = 20000.0
