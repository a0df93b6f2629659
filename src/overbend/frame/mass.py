"""Volume, mass, surface and centre of gravity of parts and of the piece."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from overbend.curve import Floats
from overbend.errors import FrameError
from overbend.frame.joint_records import Block, Joint
from overbend.frame.solid import Body

__all__ = ["Mass", "PieceMass", "body_mass", "piece_mass"]

_KG = 1e-9  # kg/m3 times mm3


@dataclass(frozen=True, eq=False)
class Mass:
    """Of one part.

    Parameters
    ----------
    id : of the part; "filler" pieces carry their joint's id.
    volume : as drawn, between its shoulders [mm3].
    made : as made: with its tenons, without its mortises and holes [mm3].
    area : surface as drawn [mm2].
    kg : mass as made [kg].
    centre : centre of gravity, shape (3,) [mm].
    """

    id: str
    volume: float
    made: float
    area: float
    kg: float
    centre: Floats


@dataclass(frozen=True, eq=False)
class PieceMass:
    """Of the whole piece.

    Parameters
    ----------
    parts : one entry for every part and filler.
    """

    parts: tuple[Mass, ...]

    @property
    def kg(self) -> float:
        """Mass [kg]."""
        return sum(part.kg for part in self.parts)

    @property
    def volume(self) -> float:
        """Wood in the piece as made [mm3]."""
        return sum(part.made for part in self.parts)

    @property
    def centre(self) -> Floats:
        """Centre of gravity, shape (3,) [mm].

        Raises
        ------
        FrameError
            When no part stands anywhere.
        """
        if not self.parts:
            raise FrameError("no part stands anywhere", allowed="at least one part with a place")
        weighed = np.array([part.kg * part.centre for part in self.parts])
        return np.asarray(weighed.sum(axis=0) / self.kg)


def body_mass(body: Body, density: float, joints: Iterable[Joint] = ()) -> Mass:
    """Mass of one part with what its joints add to it and take from it.

    Parameters
    ----------
    body : the part.
    density : of its wood as it stands [kg/m3].
    joints : those of the piece.

    Notes
    -----
    A tenon beyond the shoulder is added; one that lies within the part as drawn takes away
    what stands round it. Mortises and holes are taken away. Dowels and screws are left out.

    Raises
    ------
    FrameError
        A density that is not above zero.
    """
    if not density > 0.0:
        raise FrameError(f"a density of {density:g} kg/m3", body.id, "above zero")
    pieces = [(body.volume, body.centroid)]
    for joint in joints:
        for block in joint.blocks:
            if block.part == body.id:
                middle = block.mouth + 0.5 * block.length * block.axis
                pieces.append((_change(joint, block, body), middle))
    made = sum(v for v, _ in pieces)
    centre = sum((v * at for v, at in pieces), start=np.zeros(3)) / made
    return Mass(body.id, body.volume, made, body.area, made * density * _KG, np.asarray(centre))


def _drawn_in(joint: Joint) -> bool:
    """Whether the first part as drawn already reaches into the second."""
    return joint.contact.how == "end" and joint.contact.gap < -0.5


def _change(joint: Joint, block: Block, body: Body) -> float:
    """Volume that a tenon adds, or a mortise or hole takes away [mm3]."""
    if block.what != "tenon":
        return -block.volume
    if _drawn_in(joint):
        return -(body.width * body.depth - block.section) * block.length
    return block.volume


def piece_mass(
    bodies: Sequence[Body], joints: Sequence[Joint], densities: Mapping[str, float]
) -> PieceMass:
    """Mass of every part and filler.

    Parameters
    ----------
    bodies : the parts.
    joints : between them.
    densities : by name of the part [kg/m3].
    """
    by_part: dict[str, list[Joint]] = {}
    for joint in joints:
        for name in {joint.contact.a, joint.contact.b}:
            by_part.setdefault(name, []).append(joint)
    parts = [body_mass(b, densities[b.kind], by_part.get(b.id, ())) for b in bodies]
    kinds = {body.id: body.kind for body in bodies}
    for joint in joints:
        if joint.filler is not None:
            volume = joint.filler.volume
            middle = joint.contact.point + 0.5 * float(joint.filler.thickness.mean()) * (
                joint.filler.normal
            )
            density = densities[kinds[joint.contact.a]]
            parts.append(Mass(joint.id, volume, volume, 0.0, volume * density * _KG, middle))
    return PieceMass(tuple(parts))
