"""From the drawn curve to the target: the part's middle line, as the bench sees it.

The target runs from the reference end and has its tightest bend to the left, so that the
outside, where plies are counted from, is on its right.
"""

from __future__ import annotations

from dataclasses import dataclass

from overbend.curve import ArcPath, Curve, OffsetCurve, arc_path
from overbend.project import BentPart, curve_from_offset

__all__ = ["Target", "target_of"]


@dataclass(frozen=True)
class Target:
    """The middle line of a part at rest.

    Parameters
    ----------
    curve : middle line from the reference end, tightest bend to the left.
    mirrored : whether it was reflected in the x axis to bring the tightest bend left.
    reversed : whether the reference end is the drawn curve's last point.
    """

    curve: Curve
    mirrored: bool
    reversed: bool

    def as_drawn(self, line: Curve | OffsetCurve, tolerance: float = 0.002) -> ArcPath:
        """Return a line of the bench's frame as lines and arcs, seen as the maker drew it."""
        path = arc_path(line, tolerance)
        return self.path_as_drawn(path)

    def path_as_drawn(self, path: ArcPath) -> ArcPath:
        """Return a path of the bench's frame, seen as the maker drew it."""
        return path.mirrored() if self.mirrored else path


def target_of(drawn: Curve, part: BentPart, tolerance: float = 0.001) -> Target:
    """Middle line of a bent part from the line that was drawn.

    Parameters
    ----------
    drawn : the part's curve, as drawn.
    part : says which line of the part it is, which end is the reference, how deep it is.
    tolerance : greatest error of the middle line of a part drawn by a face [mm].

    Raises
    ------
    CurveError
        When the part is too thick for a line drawn on its face.
    """
    turns_left = drawn.tightest[1] >= 0.0
    inwards = 1.0 if turns_left else -1.0
    shift = {"middle": 0.0, "outside": 0.5, "inside": -0.5}[part.line] * part.depth * inwards
    middle = curve_from_offset(drawn.offset(shift), tolerance) if shift else drawn
    back = part.reference == "end"
    line = middle.reversed() if back else middle
    mirrored = turns_left == back  # running it backwards swaps left and right
    return Target(line.mirrored() if mirrored else line, mirrored, back)
