"""What is left round a mortise or a hole: walls, bottom, end, and holes that meet."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from overbend.curve import Floats
from overbend.frame.joint_records import Block, Check, Joint, at_least
from overbend.frame.joint_rules import BEHIND, end_rule, wall_rule
from overbend.frame.probe import local, way_out
from overbend.frame.solid import Body

__all__ = ["MeetingHoles", "hole_checks", "meeting_holes", "mouth_spans", "way_through"]


def way_through(body: Body, mouth: Floats, axis: Floats) -> float:
    """Way from a place on a part's surface through it [mm]; 0 when there is none."""
    hit = way_out(body, mouth + 1e-6 * axis, axis)
    return 0.0 if hit is None else hit.t


def mouth_spans(body: Body, block: Block) -> tuple[tuple[float, float], tuple[float, float]]:
    """Where a hole opens on a part's face: stations along it, and from its middle across [mm]."""
    here = local(body, block.mouth[None])
    s, face = float(here.s[0]), here.face(0)
    axes = body.axes(s)
    side, off = (
        (axes[:, 2], float(here.w[0])) if face in ("left", "right") else (axes[:, 1],
        float(here.z[0]))
    )  # fmt: skip
    corners = _on_face(block, body.face_normal(face, s))
    along = float(np.abs(corners @ axes[:, 0]).max())
    over = float(np.abs(corners @ side).max())
    return (s - along, s + along), (off - over, off + over)


def _on_face(block: Block, normal: Floats) -> Floats:
    """Corners of a block's section, slid along its axis on to a face, about the mouth, (4, 3)."""
    _, across, thick = block.frame.T
    corners = np.array([
        0.5 * (i * block.width * across + j * block.thickness * thick)
        for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    ])  # fmt: skip
    slope = float(block.axis @ normal)
    return np.asarray(corners - np.outer(corners @ normal / slope, block.axis))


def hole_checks(body: Body, block: Block, what: str, deep: float | None = None) -> list[Check]:
    """Check the wood left round a mortise, housing or hole.

    Parameters
    ----------
    body : the part it is cut in.
    block : the hole.
    what : its name in words.
    deep : way through the part there [mm]; None: the hole goes right through, or nothing
        behind it can break out.

    Returns
    -------
    list of Check
        Wall beside it, wood behind it, wood towards the nearer end.
    """
    here = local(body, block.mouth[None])
    s, face = float(here.s[0]), here.face(0)
    axes, normal = body.axes(s), body.face_normal(here.face(0), float(here.s[0]))
    corners = _on_face(block, normal)
    checks = []
    if face in ("start", "end"):
        sides = [(axes[:, 1], body.depth, float(here.z[0])),
                 (axes[:, 2], body.width, float(here.w[0]))]  # fmt: skip
    elif face in ("left", "right"):
        sides = [(axes[:, 2], body.width, float(here.w[0]))]
    else:
        sides = [(axes[:, 1], body.depth, float(here.z[0]))]
    wall = min(
        size / 2.0 - abs(off) - float(np.abs(corners @ side).max()) for side, size, off in sides
    )
    least = wall_rule(block.thickness, not block.round)
    checks.append(at_least(f"wood beside the {what}", wall, least, body.id))
    if deep is not None:
        behind = deep - block.length
        checks.append(at_least(f"wood behind the {what}", behind, BEHIND - 2.0, body.id))
    if face not in ("start", "end"):
        half = float(np.abs(corners @ axes[:, 0]).max())
        end = min(s, body.length - s) - half
        least = end_rule(block.thickness)
        check = at_least(f"wood from the {what} to the end", end, least, body.id)
        checks.append(replace(check, s=s))
    return checks


# -- holes that meet ----------------------------------------------------------------------


@dataclass(frozen=True)
class MeetingHoles:
    """Two mortises or holes of one part that run into each other.

    Parameters
    ----------
    part : id of the part.
    joints : ids of the two joints.
    overlap : how far they run into each other, the shortest way out [mm].
    """

    part: str
    joints: tuple[str, str]
    overlap: float


def meeting_holes(joints: Sequence[Joint]) -> tuple[MeetingHoles, ...]:
    """Find mortises and holes of different joints that run into each other.

    Parameters
    ----------
    joints : all joints of the piece.

    Returns
    -------
    tuple of MeetingHoles
        The worst pair of holes for each pair of joints and part.

    Notes
    -----
    Holes are taken as boxes, round ones by the box round them, and tested for a separating
    direction among their fifteen (Gottschalk 1996).
    """
    found: dict[tuple[str, str, str], float] = {}
    for part, holes in _by_part(joints).items():
        for k, (one, a) in enumerate(holes):
            for other, b in holes[k + 1 :]:
                deep = 0.0 if one == other else _overlap(a, b)
                if deep > 0.05:
                    key = (part, one, other)
                    found[key] = max(found.get(key, 0.0), deep)
    return tuple(MeetingHoles(p, (a, b), deep) for (p, a, b), deep in found.items())


def _by_part(joints: Iterable[Joint]) -> dict[str, list[tuple[str, Block]]]:
    holes: dict[str, list[tuple[str, Block]]] = {}
    for joint in joints:
        for block in joint.blocks:
            if block.part and block.what not in ("tenon", "dowel", "screw"):
                holes.setdefault(block.part, []).append((joint.id, block))
    return holes


def _overlap(a: Block, b: Block) -> float:
    """Depth of overlap of two boxes, 0 when some direction separates them [mm]."""
    pa, pb = a.corners, b.corners
    apart = float(np.linalg.norm(pa.mean(axis=0) - pb.mean(axis=0)))
    if apart > 0.5 * (math.dist(pa[0], pa[-1]) + math.dist(pb[0], pb[-1])):
        return 0.0
    fa, fb = a.frame, b.frame
    crosses = np.cross(fa.T[:, None], fb.T[None]).reshape(-1, 3)
    size = np.linalg.norm(crosses, axis=1)
    ways = np.concatenate([fa.T, fb.T, crosses[size > 1e-6] / size[size > 1e-6, None]])
    on_a, on_b = pa @ ways.T, pb @ ways.T
    deep = np.minimum(on_a.max(0) - on_b.min(0), on_b.max(0) - on_a.min(0))
    return max(float(deep.min()), 0.0)
