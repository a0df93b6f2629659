"""Saw settings for the end of a straight part: mitre gauge and blade tilt."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from overbend.curve import Floats
from overbend.errors import FrameError
from overbend.frame.solid import Body

__all__ = ["EndCut", "SawAngles", "end_cut", "saw_angles"]


@dataclass(frozen=True)
class SawAngles:
    """How to set a saw for one end of a board.

    Parameters
    ----------
    mitre : turn of the mitre gauge off square [rad]; above zero the far side of the end,
        towards the second face direction, runs shorter.
    tilt : tilt of the blade off upright [rad]; above zero the upper face runs shorter.
    """

    mitre: float
    tilt: float

    @property
    def square(self) -> bool:
        """Whether it is a plain square cut, to a hundredth of a degree."""
        return max(abs(self.mitre), abs(self.tilt)) < math.radians(0.01)


@dataclass(frozen=True)
class EndCut:
    """The cut at one end of a straight part.

    Parameters
    ----------
    end : 0 its start, 1 its end.
    flat : settings with its wider face on the table.
    edge : settings with its narrower face on the table.
    """

    end: int
    flat: SawAngles
    edge: SawAngles


def saw_angles(
    normal: Sequence[float] | Floats, along: Floats, side: Floats, up: Floats
) -> SawAngles:
    """Mitre gauge and blade tilt for a plane that ends a board.

    The board lies on the table; the plane meets its upper face in a line whose angle with
    the square cut the gauge is turned by, and leans off the upright by the tilt:
    ``n = cos(tilt) (cos(mitre) along + sin(mitre) side) + sin(tilt) up``.

    Parameters
    ----------
    normal : outward normal of the plane, shape (3,).
    along : direction of the board towards this end, shape (3,).
    side : direction across it on the table, shape (3,).
    up : direction square to the table, shape (3,).

    Raises
    ------
    FrameError
        When the plane runs along the board.

    Examples
    --------
    >>> x, y, z = np.eye(3)
    >>> cut = saw_angles([1.0, 1.0, 0.0], x, y, z)
    >>> round(math.degrees(cut.mitre), 9), cut.tilt
    (45.0, 0.0)
    """
    n = np.asarray(normal, float) / np.linalg.norm(normal)
    ahead = float(n @ along)
    if ahead < 1e-6:
        raise FrameError("a cut that runs along the part", allowed="a plane across it")
    return SawAngles(
        math.atan2(float(n @ side), ahead), math.asin(max(-1.0, min(1.0, float(n @ up))))
    )


def end_cut(body: Body, end: int) -> EndCut:
    """Saw settings for one end of a straight part.

    Parameters
    ----------
    body : a straight part.
    end : 0 its start, 1 its end.

    Raises
    ------
    FrameError
        For a bent part.
    """
    if not body.line.straight:
        raise FrameError("saw settings for a bent part", body.id, "a straight part")
    axes = body.axes(0.0)
    along = axes[:, 0] * (2.0 * end - 1.0)
    normal = body.end_normal(end)
    thick, wide = axes[:, 1], axes[:, 2]
    if body.depth > body.width:
        thick, wide = wide, thick
    return EndCut(
        end, saw_angles(normal, along, wide, thick), saw_angles(normal, along, thick, wide)
    )
