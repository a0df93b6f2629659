"""Dowels and screws that hold the sheet layers of a form in line."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, Literal

import numpy as np

from overbend.curve import Floats
from overbend.form.body import Body

if TYPE_CHECKING:
    import shapely

__all__ = ["DOWEL", "Pin", "pins_of"]

DOWEL = 8.0  # mm; common practice, no source
_SCREW = 5.0  # mm, clearance hole; common practice, no source
_WEB = 4.0  # mm of sheet between a pin and a clamp hole
_PITCH = 150.0  # mm between pins along the face; common practice, no source


@dataclass(frozen=True)
class Pin:
    """A dowel or screw through the layers.

    Parameters
    ----------
    kind : "dowel" (two, far apart: they set the layers in line) or "screw".
    centre : [mm, mm].
    diameter : of its hole [mm].
    """

    kind: Literal["dowel", "screw"]
    centre: tuple[float, float]
    diameter: float


def pins_of(body: Body, holes: list[tuple[tuple[float, float], float]]) -> tuple[Pin, ...]:
    """Place pins about every 150 mm, clear of clamp holes and edges.

    Parameters
    ----------
    body : the form body.
    holes : centre and diameter of its clamp holes [mm].

    Returns
    -------
    Two dowels near the ends and screws between; fewer where there is no room.
    """
    import shapely

    taken = [
        shapely.Point(centre).buffer((diameter + DOWEL) / 2 + _WEB, quad_segs=16)
        for centre, diameter in holes
    ]
    clear = body.shape.buffer(-2.0 * DOWEL).difference(shapely.union_all(taken))
    at = _first_clear(body, clear)
    if not at:
        return ()
    wanted = np.linspace(
        at[0][0], at[-1][0], max(2, math.ceil((at[-1][0] - at[0][0]) / _PITCH) + 1)
    )
    places = np.array([s for s, _ in at])
    picked = [int(np.abs(places - w).argmin()) for w in wanted]
    spots: list[Floats] = []
    for i in picked:
        if all(math.dist(at[i][1], other) > 3.0 * DOWEL for other in spots):
            spots.append(at[i][1])
    dowels = max(
        combinations(range(len(spots)), 2), key=lambda ij: _apart(spots, ij), default=(0, 0)
    )
    return tuple(_pin(spot, i in dowels) for i, spot in enumerate(spots))


def _apart(spots: list[Floats], ij: tuple[int, int]) -> float:
    return round(math.dist(spots[ij[0]], spots[ij[1]]), 6)


def _first_clear(body: Body, clear: shapely.Geometry) -> list[tuple[float, Floats]]:
    """Places along the face with room for a pin, at the depth nearest the body's middle."""
    import shapely

    s = np.linspace(*body.face.span, math.ceil(body.face.line.base.length / 5.0) + 1)
    depths = body.depth * np.array([0.5, 0.4, 0.6, 0.3, 0.7, 0.25, 0.8])
    spots = np.stack([body.face.behind(s, d) for d in depths], axis=1)
    inside = shapely.contains_xy(clear, spots[..., 0], spots[..., 1])
    return [
        (float(s[i]), spots[i, int(np.argmax(inside[i]))]) for i in range(len(s)) if inside[i].any()
    ]


def _pin(at: Floats, is_dowel: bool) -> Pin:
    centre = (float(at[0]), float(at[1]))
    return Pin("dowel", centre, DOWEL) if is_dowel else Pin("screw", centre, _SCREW)
