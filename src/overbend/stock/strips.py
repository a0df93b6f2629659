"""The strips of a bent part: what length, width and thickness to mill, and how many.

Each ply is measured at its own radius on the form: between the part's ends it is
``length = (s1 - s0) - z (theta1 - theta0)`` long, where z is the distance of the ply's
middle from mid-depth, positive to the left of the curve. To that come trim at both ends,
the clean-up of the edges on the width and the planing on the thickness.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from overbend.curve import Curve
from overbend.errors import LayupError

__all__ = ["Allowances", "MachineLimits", "Strip", "cutting_holds", "strips_for", "total_wood"]


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
    """Least sizes a machine takes, typed from its manual; None where not typed [mm]."""

    name: str
    least_length: float | None = None
    least_width: float | None = None
    least_thickness: float | None = None

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
    depth = math.fsum(t for _, t in plies)
    rows: dict[tuple[str, float], Strip] = {}
    z = -depth / 2
    for place, (wood, t) in enumerate(plies, start=1):
        net = glued.length - (z + t / 2) * glued.turn
        z += t
        new = _strip(part, wood, place, t, width, net, count, allow)
        old = rows.get((wood, t))
        rows[wood, t] = new if old is None else _merged(old, new)
    return tuple(rows.values())


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


def cutting_holds(strips: Sequence[Strip], machines: Sequence[MachineLimits]) -> tuple[str, ...]:
    """Say why no cutting instruction may be printed for these strips; empty when it may.

    Parameters
    ----------
    strips : what is to be milled.
    machines : least sizes of the machines the strips go through.

    Returns
    -------
    One sentence for each machine whose least sizes were not typed from its manual, and for
    each strip that is shorter, narrower or thinner than a machine takes.
    """
    holds = [
        f"Type the least length, width and thickness of the {m.name} from its manual: "
        "until then no cutting instruction is printed."
        for m in machines
        if not m.known
    ]
    holds += [
        f"{s.part}: a strip of {value:g} mm {what} is below what the {m.name} takes ({least:g} mm)."
        for m in machines
        for s in strips
        for what, value, least in (
            ("length", s.length, m.least_length),
            ("width", s.width, m.least_width),
            ("thickness", s.thickness, m.least_thickness),
        )
        if least is not None and value < least
    ]
    return tuple(holds)
