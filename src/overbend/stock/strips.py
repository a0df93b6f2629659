"""The strips of a bent part: what length, width and thickness to mill, and how many.

Each ply is measured on the form where it keeps its length: between the part's ends it is
``length = (s1 - s0) - z (theta1 - theta0)`` long, where z is the distance of that line from
mid-depth, positive to the left of the curve. Bent cold it is the ply's middle; hot wood is
squeezed more than it stretches, so it lies towards the convex face; a strap keeps it on the
convex face of all it holds. To that come trim at both ends, the clean-up of the edges on the
width and the planing on the thickness.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from overbend.curve import Curve
from overbend.errors import LayupError

__all__ = [
    "HOT_NEUTRAL",
    "Allowances",
    "MachineLimits",
    "Strip",
    "cutting_holds",
    "neutral_lines",
    "strips_for",
    "total_wood",
]

HOT_NEUTRAL = 0.24
"""Where the neutral line of hot wood without a strap lies, as a share of its thickness from the
convex face: 0.22 to 0.25 by the bilinear section at 290 to 330 mm and 25 mm."""

_REMEDY = {
    "length": "feed two strips' length as one piece and cut it apart afterwards",
    "width": "mill them from wider stock and rip to width last",
    "thickness": "use thicker strips, or another way to bring them to thickness",
}


@dataclass(frozen=True)
class Allowances:
    """What is milled over the finished sizes.

    Parameters
    ----------
    trim : added at each end of every strip [mm].
    width : added to the width to clean up the glued stack's edges, in all [mm].
    planing : taken off from the sawn to the finished thickness, in all [mm].
    round_up : lengths are rounded up to a whole multiple of this [mm].
    """

    trim: float = 30.0
    width: float = 5.0
    planing: float = 1.0
    round_up: float = 5.0


@dataclass(frozen=True)
class MachineLimits:
    """Least sizes a machine takes, typed from its manual; None where not typed [mm].

    `finished` says whether strips leave it at their finished thickness; else they pass it at
    their sawn thickness.
    """

    name: str
    least_length: float | None = None
    least_width: float | None = None
    least_thickness: float | None = None
    finished: bool = False

    @property
    def known(self) -> bool:
        """Whether all three were typed."""
        return None not in (self.least_length, self.least_width, self.least_thickness)


@dataclass(frozen=True)
class Strip:
    """One kind of strip to mill.

    Parameters
    ----------
    part, wood : whose strip, of what.
    plies : places in the stack, 1 = outermost.
    thickness : finished [mm]; sawn_thickness : before planing [mm].
    width : milled [mm]; part_width : after clean-up [mm].
    net_length : of the longest of these plies between the part's ends, on the form [mm].
    length : to cut, with trim at both ends, rounded up [mm].
    count : for all parts of this kind; per_part : for one.
    """

    part: str
    wood: str
    plies: tuple[int, ...]
    thickness: float
    sawn_thickness: float
    width: float
    part_width: float
    net_length: float
    length: float
    per_part: int
    count: int

    @property
    def volume(self) -> float:
        """Wood in all of them at their sawn thickness [mm3]."""
        return self.count * self.length * self.width * self.sawn_thickness


def strips_for(
    part: str,
    glued: Curve,
    plies: Sequence[tuple[str, float]],
    width: float,
    count: int,
    allow: Allowances,
    neutral: Sequence[float] | None = None,
) -> tuple[Strip, ...]:
    """List the strips for `count` parts of one kind.

    Parameters
    ----------
    part : name of the part.
    glued : mid-depth curve on the form, from end to end of the part, outside on its right.
    plies : wood and finished thickness [mm] of each ply, outside in.
    width : finished width [mm].
    count : parts to be made.
    allow : what is milled over the finished sizes.
    neutral : distance from mid-depth of the line along which each ply keeps its length,
        positive to the left [mm]; None: its middle. See :func:`neutral_lines`.

    Returns
    -------
    One row per wood and thickness, in the order they come in the stack; the row's length
    is that of its longest ply, so that all strips of a row can be cut alike.

    Raises
    ------
    LayupError
        For a count or width that is not above zero.

    Examples
    --------
    >>> from overbend.curve import Piece
    >>> arc = Curve((Piece(500.0, 1 / 400, 1 / 400),))
    >>> rows = strips_for("arch", arc, [("ash", 3.0)] * 4, 40.0, 2, Allowances())
    >>> rows[0].count, round(rows[0].net_length, 2), rows[0].length
    (8, 505.62, 570.0)
    """
    if count < 1 or not width > 0:
        raise LayupError(
            f"{count} parts of {width:g} mm width", part, "one part or more, width above zero"
        )
    lines = neutral_lines([t for _, t in plies]) if neutral is None else neutral
    rows: dict[tuple[str, float], Strip] = {}
    for place, ((wood, t), z) in enumerate(zip(plies, lines, strict=True), start=1):
        net = glued.length - z * glued.turn
        new = _strip(part, wood, place, t, width, net, count, allow)
        old = rows.get((wood, t))
        rows[wood, t] = new if old is None else _merged(old, new)
    return tuple(rows.values())


def neutral_lines(
    thickness: Sequence[float], *, hot: bool = False, strap: bool = False
) -> tuple[float, ...]:
    """Distance from mid-depth of the line along which each ply keeps its length [mm].

    Parameters
    ----------
    thickness : of the plies, outside in [mm].
    hot : whether they are bent hot, each for itself.
    strap : whether a strap with stops holds the convex face of them all.

    Examples
    --------
    >>> neutral_lines([4.0, 6.0]), neutral_lines([4.0, 6.0], hot=True, strap=True)
    ((-3.0, 2.0), (-5.0, -5.0))
    """
    depth = math.fsum(thickness)
    if hot and strap:
        return (-depth / 2,) * len(thickness)
    share = HOT_NEUTRAL if hot else 0.5
    outer = [math.fsum(thickness[:i]) - depth / 2 for i in range(len(thickness))]
    return tuple(z + share * t for z, t in zip(outer, thickness, strict=True))


def _strip(
    part: str, wood: str, place: int, t: float, width: float, net: float, count: int, a: Allowances
) -> Strip:
    length = math.ceil((net + 2 * a.trim) / a.round_up - 1e-9) * a.round_up
    return Strip(
        part, wood, (place,), t, t + a.planing, width + a.width, width, net, length, 1, count
    )  # fmt: skip


def _merged(old: Strip, new: Strip) -> Strip:
    longest = max(old, new, key=lambda r: r.net_length)
    return replace(
        longest,
        plies=old.plies + new.plies,
        per_part=old.per_part + 1,
        count=old.count + new.count,
    )


def total_wood(strips: Sequence[Strip]) -> dict[str, float]:
    """Wood in the strips at their sawn sizes, by wood [mm3], without saw kerf or waste."""
    totals: dict[str, float] = {}
    for strip in strips:
        totals[strip.wood] = totals.get(strip.wood, 0.0) + strip.volume
    return totals


def cutting_holds(
    strips: Sequence[Strip],
    machines: Sequence[MachineLimits],
    length: Callable[[float], str] = "{:g} mm".format,
) -> tuple[str, ...]:
    """Say why no cutting instruction may be printed for these strips; empty when it may.

    Parameters
    ----------
    strips : what is to be milled.
    machines : least sizes of the machines the strips go through.
    length : turns mm into text in the reader's unit.

    Returns
    -------
    One sentence for each machine whose least sizes were not typed from its manual, and for
    each strip that is shorter, narrower or thinner than a machine takes.
    """
    holds = [
        f"Type the least length, width and thickness of the {m.name} from its manual: until "
        "then sizes are printed, but no instruction how to cut them."
        for m in machines
        if not m.known
    ]
    holds += [
        f"{s.part}: a strip of {length(value)} {what} is below what the {m.name} takes "
        f"({length(least)}): {_REMEDY[what]}."
        for m in machines
        for s in strips
        for what, value, least in (
            ("length", s.length, m.least_length),
            ("width", s.width, m.least_width),
            ("thickness", s.thickness if m.finished else s.sawn_thickness, m.least_thickness),
        )
        if least is not None and value < least
    ]
    return tuple(holds)
