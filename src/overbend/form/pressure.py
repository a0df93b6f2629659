"""Whether the clamps press as hard as wanted."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from overbend.form.clamps import Clamp
from overbend.form.spec import Loads

__all__ = ["Pressed", "pressed"]

_AS_WANTED = 0.999  # share that counts as all of it: sums of lengths are rounded
_CLOSE = 0.75  # share of the pressure wanted below which it fails; assumed


@dataclass(frozen=True)
class Pressed:
    """Pressure where one clamp has the most wood to press, with the verdict.

    Parameters
    ----------
    word : "holds" when it is what is wanted, "close" down to three quarters, else "fails".
    reached, wanted : there [MPa]; reached never counts more than is wanted.
    most : length of wood that clamp presses [mm].
    force : of one clamp [N].
    reason : the verdict in a sentence, in the reader's units.
    """

    word: Literal["holds", "close", "fails"]
    reached: float
    wanted: float
    most: float
    force: float
    reason: str = ""


def pressed(clamps: Iterable[Clamp], loads: Loads) -> Pressed | None:
    """Pressure that the clamps bring.

    Parameters
    ----------
    clamps : with the length of wood each presses.
    loads : pressure wanted, and what one clamp gives.

    Returns
    -------
    Pressed or None
        None when the clamps' force is not known, or there are none.
    """
    worst = max(clamps, key=lambda clamp: clamp.force, default=None)
    if worst is None or loads.clamp_force is None:
        return None
    share = min(1.0, loads.clamp_force / worst.force)
    word: Literal["holds", "close", "fails"] = "close" if share >= _CLOSE else "fails"
    if share >= _AS_WANTED:
        word, share = "holds", 1.0
    reached = share * loads.pressure
    return Pressed(word, reached, loads.pressure, worst.spacing, loads.clamp_force)
