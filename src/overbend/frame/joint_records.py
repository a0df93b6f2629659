"""What a joint is: what was asked, what is cut, and what was checked."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from overbend.curve import Floats
from overbend.frame.contact import Contact

__all__ = [
    "END_KINDS",
    "KINDS",
    "Block",
    "Check",
    "Cut",
    "Filler",
    "Joint",
    "JointKind",
    "JointSpec",
    "Word",
    "at_least",
    "at_most",
    "worst_word",
]

JointKind: TypeAlias = Literal[
    "mortise-tenon", "round-tenon", "dowels", "housed", "lapped", "wedge", "coped", "screw"
]
System: TypeAlias = Literal["mm", "in"]
Word: TypeAlias = Literal["holds", "close", "fails"]
Cut: TypeAlias = Literal[
    "tenon", "mortise", "housing", "dowel", "dowel hole", "screw", "pilot hole", "clearance hole"
]

KINDS: tuple[JointKind, ...] = (
    "mortise-tenon", "round-tenon", "dowels", "housed", "lapped", "wedge", "coped", "screw",
)  # fmt: skip
END_KINDS = frozenset({"mortise-tenon", "round-tenon", "housed", "coped"})
"""Kinds for which an end of the first part comes to the second."""

CLOSE = 1.25  # a size less than this above its least is called close
_WORDS: tuple[Word, ...] = ("holds", "close", "fails")


@dataclass(frozen=True)
class JointSpec:
    """What is asked of a joint; what is None is found by rule.

    Parameters
    ----------
    name : of the joint.
    kind : how it is made.
    part : the part that goes in or lies on: its name or the id of one of its instances.
    to : the part it goes into or lies on.
    thickness, width, length : of a tenon; length is also how deep a housing is [mm].
    diameter : of a round tenon, of dowels, of screws [mm].
    count : how many dowels or screws; 0: none, where the joint can do without.
    spacing : between the outermost dowels or screws [mm].
    through : whether a tenon goes right through.
    reach : widest gap between the parts that this joint bridges [mm].
    system : "mm" or "in": which tool sizes are usual.
    """

    name: str
    kind: JointKind
    part: str
    to: str
    thickness: float | None = None
    width: float | None = None
    length: float | None = None
    diameter: float | None = None
    count: int | None = None
    spacing: float | None = None
    through: bool = False
    reach: float | None = None
    system: System = "mm"


@dataclass(frozen=True)
class Check:
    """One size that was checked.

    Parameters
    ----------
    what : the size, in words.
    value : what it is [mm, or rad for an angle].
    limit : what it must be at least, or at most.
    least : whether the limit is a least one.
    word : "holds", "close" or "fails".
    part : id of the part it is about.
    angle : whether the numbers are angles.
    s : station of the hole, for what is left towards the part's end [mm]; else None.
    """

    what: str
    value: float
    limit: float
    least: bool
    word: Word
    part: str = ""
    angle: bool = False
    s: float | None = None


def at_least(what: str, value: float, limit: float, part: str = "") -> Check:
    """Check of a size that must not be less than a limit.

    Examples
    --------
    >>> at_least("wall", 7.0, 6.0).word, at_least("wall", 5.9, 6.0).word
    ('close', 'fails')
    """
    word: Word = "fails" if value < limit - 1e-9 else "close"
    return Check(what, value, limit, True, "holds" if value >= CLOSE * limit else word, part)


def at_most(what: str, value: float, good: float, most: float, part: str = "") -> Check:
    """Check of a size that must not exceed a limit; up to `good` it holds.

    Examples
    --------
    >>> at_most("gap", 0.3, 0.2, 0.5).word
    'close'
    """
    word: Word = "fails" if value > most + 1e-9 else "close"
    return Check(what, value, most, False, "holds" if value <= good + 1e-9 else word, part)


def worst_word(words: Iterable[Word]) -> Word:
    """Return the worst of several verdicts; "holds" for none.

    Examples
    --------
    >>> worst_word(["holds", "fails", "close"])
    'fails'
    """
    return max(words, key=_WORDS.index, default="holds")


@dataclass(frozen=True, eq=False)
class Block:
    """Something straight that is cut, bored or put in: a box or a rod.

    Parameters
    ----------
    what : "tenon", "mortise", "dowel hole" and so on.
    part : id of the part it is cut in or belongs to; "" for a dowel or screw.
    round : whether its section is a circle.
    mouth : middle of its open end, or of a tenon's shoulder, shape (3,) [mm].
    axis : direction from there inwards, shape (3,).
    across : direction of its width, shape (3,).
    width, thickness : of its section; both the diameter when round [mm].
    length : along the axis [mm].
    """

    what: Cut
    part: str
    round: bool
    mouth: Floats
    axis: Floats
    across: Floats
    width: float
    thickness: float
    length: float

    @property
    def section(self) -> float:
        """Area of its section [mm2]."""
        return math.pi / 4.0 * self.width**2 if self.round else self.width * self.thickness

    @property
    def volume(self) -> float:
        """Volume [mm3]."""
        return self.section * self.length

    @property
    def frame(self) -> Floats:
        """Directions along, across its width and across its thickness, as columns (3, 3)."""
        return np.stack([self.axis, self.across, np.cross(self.axis, self.across)], axis=1)

    @property
    def corners(self) -> Floats:
        """Corners of the box round it, shape (8, 3) [mm]."""
        steps = np.array([[k, i, j] for k in (0.0, 1.0) for i in (-0.5, 0.5) for j in (-0.5, 0.5)])
        return self.mouth + (steps * [self.length, self.width, self.thickness]) @ self.frame.T


@dataclass(frozen=True, eq=False)
class Filler:
    """A piece that fills the wedge between a flat face and a bent part.

    Parameters
    ----------
    x : places across the flat face from its middle, shape (n,) [mm].
    thickness : of the filler there, square to the flat face, shape (n,) [mm].
    length : along the flat face's part [mm].
    angle : between its two faces, from edge to edge [rad].
    hollow : greatest departure of the bent side from flat [mm]; above zero it bulges.
    thick_edge : which way its thicker edge looks: "top", "front" and so on.
    way : direction of x in the piece, shape (3,).
    normal : of the flat face, towards the bent part, shape (3,).
    """

    x: Floats
    thickness: Floats
    length: float
    angle: float
    hollow: float
    thick_edge: str
    way: Floats
    normal: Floats

    @property
    def section(self) -> Floats:
        """Outline of its section: along the flat face, then back along the bent side, (2n, 2)."""
        flat = np.column_stack([self.x, np.zeros(len(self.x))])
        bent = np.column_stack([self.x, self.thickness])[::-1]
        return np.concatenate([flat, bent])

    @property
    def volume(self) -> float:
        """Volume [mm3]."""
        return float(np.trapezoid(self.thickness, self.x)) * self.length


@dataclass(frozen=True, eq=False)
class Joint:
    """One joint between two parts.

    Parameters
    ----------
    id : name of the joint and the parts that meet, such as "rail:rail:leg/left".
    spec : what was asked.
    contact : where the parts meet.
    blocks : what is cut and put in.
    sizes : sizes by name, as marked out [mm, rad].
    checks : what was checked.
    rules : how the sizes that were not given were found.
    closing : direction in which the first part is pushed home, shape (3,).
    guided : whether tenon, dowel or housing lets it close in that direction only.
    glue_area : [mm2].
    filler : the wedge piece, for that kind.
    """

    id: str
    spec: JointSpec
    contact: Contact
    blocks: tuple[Block, ...]
    sizes: dict[str, float]
    checks: tuple[Check, ...]
    rules: tuple[str, ...]
    closing: Floats
    guided: bool
    glue_area: float
    filler: Filler | None = None

    @property
    def word(self) -> Word:
        """Worst verdict of its checks."""
        return worst_word(check.word for check in self.checks)

    def cut_in(self, part: str) -> tuple[Block, ...]:
        """Mortises and holes cut in a part."""
        return tuple(b for b in self.blocks if b.part == part and b.what != "tenon")
