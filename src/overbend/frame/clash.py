"""Parts that take the same room: the volume two solids share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from overbend.frame.solid import Body, bounding_pairs

if TYPE_CHECKING:
    from manifold3d import Manifold

__all__ = ["Clash", "clashes", "shared_volume"]

LEAST = 1.0  # mm3: less is what the meshes' own tolerance makes


@dataclass(frozen=True)
class Clash:
    """Two parts that take the same room.

    Parameters
    ----------
    a, b : ids of the parts.
    volume : that they share [mm3].
    joint : whether a joint between them lets one into the other.
    """

    a: str
    b: str
    volume: float
    joint: bool


def shared_volume(a: Body, b: Body, tolerance: float = 0.02) -> float:
    """Volume that two parts share, from closed meshes [mm3].

    Parameters
    ----------
    a, b : the parts.
    tolerance : of the meshes [mm].

    Examples
    --------
    >>> from overbend.frame.midline import straight_line
    >>> from overbend.frame.placement import plane_pose
    >>> bar = Body("a", "a", straight_line(100.0), 30.0, 20.0, plane_pose("side"))
    >>> across = Body("b", "b", straight_line(100.0), 30.0, 20.0,
    ...               plane_pose("side", (50.0, 0.0, -50.0), turn=np.pi / 2))
    >>> round(shared_volume(bar, across), 6)
    12000.0
    """
    return float((_solid(a, tolerance) ^ _solid(b, tolerance)).volume())


def clashes(
    bodies: Sequence[Body], joined: Iterable[tuple[str, str]] = (), tolerance: float = 0.02
) -> tuple[Clash, ...]:
    """Every pair of parts that take the same room.

    Parameters
    ----------
    bodies : the parts.
    joined : pairs of ids with a joint that lets one into the other.
    tolerance : of the meshes [mm].
    """
    pairs = bounding_pairs(bodies, -0.01)
    allowed = {frozenset(pair) for pair in joined}
    solids = {i: _solid(bodies[i], tolerance) for i in {i for pair in pairs for i in pair}}
    found = []
    for i, j in pairs:
        volume = float((solids[i] ^ solids[j]).volume())
        if volume > LEAST:
            ids = bodies[i].id, bodies[j].id
            found.append(Clash(*ids, volume, frozenset(ids) in allowed))
    return tuple(found)


def _solid(body: Body, tolerance: float) -> Manifold:
    """Closed mesh for boolean operations; in double precision."""
    from manifold3d import Manifold, Mesh64

    mesh = body.mesh(tolerance)
    return Manifold(
        Mesh64(np.ascontiguousarray(mesh.vertices), np.ascontiguousarray(mesh.triangles, np.uint64))
    )
