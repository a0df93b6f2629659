"""The cross-section of what lies in the box or is carried to the form."""

from __future__ import annotations

import math
from dataclasses import dataclass

from overbend.errors import SteamError
from overbend.steam.assumed import LAYER

__all__ = ["Section"]


@dataclass(frozen=True)
class Section:
    """A rectangle across the grain.

    Parameters
    ----------
    width : along the axis of the bend [mm].
    thickness : in the plane of the bend [mm]; for a bundle, of all its strips together.

    Raises
    ------
    SteamError : a size that is not above zero.

    Examples
    --------
    >>> Section(50.0, 3.0).stacked(9)
    Section(width=50.0, thickness=27.0)
    """

    width: float
    thickness: float

    def __post_init__(self) -> None:
        sizes = (self.width, self.thickness)
        if not all(math.isfinite(v) and v > 0.0 for v in sizes):
            raise SteamError(
                f"a section of {self.width:g} by {self.thickness:g} mm",
                allowed="width and thickness above zero",
                todo="check the part's width, thickness and count",
            )

    def stacked(self, count: int) -> Section:
        """Return `count` of these on each other without stickers, as one solid."""
        if count < 1:
            raise SteamError(f"a stack of {count} strips", allowed="1 or more")
        return Section(self.width, self.thickness * count)

    @property
    def area(self) -> float:
        """Area [mm2]."""
        return self.width * self.thickness

    @property
    def layer(self) -> float:
        """Depth of the convex face layer [mm]: 1 mm, or a tenth of the thickness if less."""
        return min(LAYER.value, self.thickness / 10.0)
