"""Lay a planned form where its curve lies.

Forms are planned with the curve starting at the origin along x, and then moved: where a
curve lies never changes its form.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from overbend.curve import Curve
from overbend.form.body import Body
from overbend.form.clamps import Clamp, Hole
from overbend.form.marks import Mark, Stop
from overbend.form.pins import Pin

__all__ = ["Placing", "at_home"]

Pair = tuple[float, float]


def at_home(glued: Curve) -> Curve:
    """The curve laid from the origin along x.

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> at_home(chain(arc(100.0, 1.0), start=(5.0, 6.0), heading=0.7)).start
    (0.0, 0.0)
    """
    return replace(glued, start=(0.0, 0.0), heading=0.0)


@dataclass(frozen=True)
class Placing:
    """Move of what was planned at home to where the curve lies.

    Parameters
    ----------
    glued : the curve.

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> there = Placing(chain(arc(100.0, 1.0), start=(5.0, 6.0), heading=math.pi / 2))
    >>> [round(v, 9) for v in there.point((10.0, 1.0))]
    [4.0, 16.0]
    """

    glued: Curve

    def direction(self, v: Pair) -> Pair:
        """Turn a direction."""
        c, s = math.cos(self.glued.heading), math.sin(self.glued.heading)
        return c * v[0] - s * v[1], s * v[0] + c * v[1]

    def point(self, xy: Pair) -> Pair:
        """Turn and move a point [mm]."""
        x, y = self.direction(xy)
        return x + self.glued.start[0], y + self.glued.start[1]

    def body(self, body: Body) -> Body:
        """Turn and move a body."""
        start, turn = self.glued.start, self.glued.heading
        outline = body.outline.moved(start[0], start[1], turn)
        return replace(body, face=replace(body.face, glued=self.glued), outline=outline)

    def clamp(self, clamp: Clamp) -> Clamp:
        """Turn and move a clamp."""
        return replace(
            clamp,
            point=self.point(clamp.point),
            direction=self.direction(clamp.direction),
            seat=self.point(clamp.seat),
        )

    def hole(self, hole: Hole) -> Hole:
        """Turn and move a hole."""
        return replace(hole, centre=self.point(hole.centre))

    def pin(self, pin: Pin) -> Pin:
        """Turn and move a pin."""
        return replace(pin, centre=self.point(pin.centre))

    def mark(self, mark: Mark) -> Mark:
        """Turn and move a mark."""
        a, b = mark.line
        return replace(mark, line=(self.point(a), self.point(b)))

    def stop(self, stop: Stop) -> Stop:
        """Turn and move the stop."""
        start, turn = self.glued.start, self.glued.heading
        return replace(stop, outline=stop.outline.moved(start[0], start[1], turn))
