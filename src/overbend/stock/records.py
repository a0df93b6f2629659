"""What goes into a cutting plan: what is wanted, what there is to cut it from, the shop."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from overbend.errors import StockError
from overbend.stock.strips import MachineLimits

__all__ = ["Demand", "Grain", "Per", "Shop", "Stock", "Way", "whole"]

Grain = Literal["any", "edge", "flat"]
Way = Literal["edge", "flat"]
Per = Literal["piece", "metre", "volume"]


def whole(mm: float) -> int:
    """Millimetres as whole nanometres, in which every 64th of an inch is exact.

    Examples
    --------
    >>> whole(25.4 / 64)
    396875
    """
    return round(mm * 1e6)


def _above_zero(where: str, **sizes: float) -> None:
    for what, value in sizes.items():
        if not 0 < value < 1e6:
            raise StockError(f"{what} {value:g} mm", where, "above zero, below 1000 m")


@dataclass(frozen=True)
class Demand:
    """Strips or blanks of one kind.

    Parameters
    ----------
    name : what the maker calls them, unique in a plan.
    wood : of which wood.
    length : to cut, with trim at both ends [mm].
    width : as milled, with clean-up [mm].
    thickness : finished; planing comes on top [mm].
    count : how many, with spares.
    grain : how the piece lies in the plank. "flat": its wide face parallel to the plank's face
        (resawn); "edge": its wide face parallel to the plank's edge (ripped, standing on edge);
        "any": either.
    part : stack it belongs to, for colour; "" for none.
    per_part : strips of this kind in one stack; 0 when they need not stay together.
    finished_width : what `width` becomes where its edges are planed before they are used; None:
        it is kept [mm].

    Raises
    ------
    StockError
        For a size or count that is not above zero, or a finished width above the width.
    """

    name: str
    wood: str
    length: float
    width: float
    thickness: float
    count: int
    grain: Grain = "any"
    part: str = ""
    per_part: int = 0
    finished_width: float | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be cut."""
        sizes = {"length": self.length, "width": self.width, "thickness": self.thickness}
        _above_zero(self.name, **sizes)
        if self.count < 1 or self.per_part < 0:
            raise StockError(f"count {self.count}", self.name, "one or more")
        if not 0 < self.finished <= self.width:
            raise StockError(
                f"finished width {self.finished:g} mm", self.name, f"up to {self.width:g} mm"
            )

    @property
    def finished(self) -> float:
        """Finished width [mm]."""
        return self.width if self.finished_width is None else self.finished_width

    @property
    def volume(self) -> float:
        """Wood in all of them, finished [mm3]."""
        return self.count * self.length * self.finished * self.thickness


@dataclass(frozen=True)
class Stock:
    """Boards of one kind: in the yard's list, or one on the rack.

    Parameters
    ----------
    name : what the maker calls it, unique in a plan.
    wood : of which wood.
    length, width, thickness : as it lies there [mm].
    price : per piece, per metre of length or per cubic metre, see `per`; 0 when it is paid for.
    per : what the price is for.
    count : how many there are; None when there is no limit.
    defects : unusable spans, from and to, measured along the board from its marked end [mm].
    surfaced : bought planed and straight: nothing comes off faces and edges. A piece that is as
        thick or as wide as the board when finished is not planed there.
    sawn_edge : whether an edge of it, though straight, may be as the saw left it: its width is no
        finished one.

    Raises
    ------
    StockError
        For a size that is not above zero, a price or count below zero, or a defect that ends
        before it begins.
    """

    name: str
    wood: str
    length: float
    width: float
    thickness: float
    price: float = 0.0
    per: Per = "piece"
    count: int | None = None
    defects: tuple[tuple[float, float], ...] = ()
    surfaced: bool = False
    sawn_edge: bool = False

    def __post_init__(self) -> None:
        """Refuse what cannot be a board."""
        sizes = {"length": self.length, "width": self.width, "thickness": self.thickness}
        _above_zero(self.name, **sizes)
        if not 0 <= self.price < 1e9:
            raise StockError(f"price {self.price:g}", self.name, "zero or more")
        if self.count is not None and self.count < 0:
            raise StockError(f"count {self.count}", self.name, "zero or more, or no limit")
        for a, b in self.defects:
            if not a <= b:
                raise StockError(f"defect from {a:g} to {b:g} mm", self.name, "from before to")

    @property
    def volume(self) -> float:
        """Wood in one board [mm3]."""
        return self.length * self.width * self.thickness

    @property
    def cost(self) -> float:
        """Cost of one board.

        Examples
        --------
        >>> Stock("plank", "ash", 3000.0, 200.0, 50.0, price=1200.0, per="volume").cost
        36.0
        """
        size = {"piece": 1.0, "metre": self.length / 1e3, "volume": self.volume / 1e9}
        return self.price * size[self.per]


@dataclass(frozen=True)
class Shop:
    """How the shop cuts.

    Parameters
    ----------
    saw, surfacing, thicknessing : least sizes of the machines, typed from their manuals.
    kerf : of crosscut and rip [mm]. Common practice, no source: 3 mm.
    resaw_kerf : of cuts through the plank's thickness; None: as `kerf` [mm].
    planing : taken off a strip's thickness, both faces together [mm]. Common practice, no
        source: 1.5 mm.
    end_trim : cut off each end of a board, to square it and past the end checks [mm]. Assumed.
    edge_trim : off the width to straighten and joint the edges, in all [mm]. Assumed.
    face_trim : off the thickness to flatten both faces, in all [mm]. Assumed.
    keep_length : shortest off-cut worth keeping; None: none is kept [mm].
    keep_width : narrowest strip left over along a length that is worth keeping; None: none [mm].
    rip_depth, resaw_depth : greatest depth of cut; None: not limited [mm].

    Raises
    ------
    StockError
        For a size below zero.
    """

    saw: MachineLimits
    surfacing: MachineLimits
    thicknessing: MachineLimits
    kerf: float = 3.0
    resaw_kerf: float | None = None
    planing: float = 1.5
    end_trim: float = 25.0
    edge_trim: float = 3.0
    face_trim: float = 2.0
    keep_length: float | None = None
    keep_width: float | None = None
    rip_depth: float | None = None
    resaw_depth: float | None = None

    def __post_init__(self) -> None:
        """Refuse sizes below zero."""
        for what in ("kerf", "planing", "end_trim", "edge_trim", "face_trim"):
            value = getattr(self, what)
            if not 0 <= value < 1e5:
                raise StockError(f"{what} {value:g} mm", "shop", "zero or more")

    @property
    def through_kerf(self) -> float:
        """Kerf of cuts through the thickness [mm]."""
        return self.kerf if self.resaw_kerf is None else self.resaw_kerf

    @property
    def machines(self) -> tuple[MachineLimits, ...]:
        """The machines in the order the wood goes through them."""
        return (self.surfacing, self.saw, self.thicknessing)

    @property
    def least_length(self) -> float:
        """Shortest length that all machines take; 0 where not typed [mm]."""
        return max(m.least_length or 0.0 for m in self.machines)

    def sawn(self, demand: Demand) -> float:
        """Thickness a strip is sawn to, planing on top [mm]."""
        return demand.thickness + self.planing
