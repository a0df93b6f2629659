"""In what order the piece goes together: sub-assemblies, and room for clamps at each joint.

Joints that a tenon, dowel or housing guides close in one direction only. All joints of one
direction between two rigid groups close at once; a joint within a group that is rigid
already can never be closed. The order is looked for among the few directions a piece has.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import permutations

import numpy as np

from overbend.curve import Floats
from overbend.frame.joint_records import Joint
from overbend.frame.probe import outside
from overbend.frame.solid import Body

__all__ = ["Assembly", "Step", "assembly_of"]

SAME_WAY = np.cos(np.radians(20.0))  # joints that close within this angle close together
_MOST_WAYS = 6
CLAMP_ROOM = 40.0  # mm a clamp's head needs beyond the outer face


@dataclass(frozen=True)
class Step:
    """Joints that are glued together.

    Parameters
    ----------
    number : from 1.
    groups : what is glued in this step: the ids of each group's parts.
    joints : ids of the joints closed, group by group.
    way : direction in which they close, as a unit vector.
    no_clamp : ids of joints whose clamp has less than 40 mm of room behind it.
    """

    number: int
    groups: tuple[tuple[str, ...], ...]
    joints: tuple[tuple[str, ...], ...]
    way: tuple[float, float, float]
    no_clamp: tuple[str, ...]


@dataclass(frozen=True)
class Assembly:
    """The order of glue-ups.

    Parameters
    ----------
    steps : in order.
    stuck : ids of joints that no order can close, because both parts are held already.
    groups : parts that hang together at the end; one group when every part is joined.
    """

    steps: tuple[Step, ...]
    stuck: tuple[str, ...]
    groups: tuple[tuple[str, ...], ...]


def assembly_of(bodies: Sequence[Body], joints: Sequence[Joint]) -> Assembly:
    """Find the order of glue-ups: fewest stuck joints, then fewest joints to close at once.

    Parameters
    ----------
    bodies : the parts.
    joints : between them.
    """
    ids = [body.id for body in bodies]
    ways = _ways(joints)
    best: tuple[tuple[int, int, int], list[list[Joint]], list[Joint]] | None = None
    for order in permutations(range(len(ways))):
        rounds, stuck = _tried([ways[k] for k in order], ids)
        crowd = max((n for done in rounds for n in _crowds(done, ids)), default=0)
        score = (len(stuck), crowd, sum(k * len(r) for k, r in enumerate(rounds)))
        if best is None or score < best[0]:
            best = score, rounds, stuck
    assert best is not None
    _, rounds, stuck = best
    steps, groups = _steps(rounds, bodies)
    return Assembly(steps, tuple(j.id for j in stuck), tuple(map(tuple, groups.values())))


def _ways(joints: Sequence[Joint]) -> list[list[Joint]]:
    """Joints by the direction they close in, either sense; those not guided come last.

    More than six directions are folded into the nearest of the six commonest.
    """
    classes: list[tuple[Floats, list[Joint]]] = []
    for joint in sorted(joints, key=lambda j: not j.guided):
        for way, members in classes:
            if abs(float(way @ joint.closing)) >= SAME_WAY:
                members.append(joint)
                break
        else:
            classes.append((joint.closing, [joint]))
    classes.sort(key=lambda c: -len(c[1]))
    for way, members in classes[_MOST_WAYS:]:
        near = max(classes[:_MOST_WAYS], key=lambda c: abs(float(c[0] @ way)))
        near[1].extend(members)
    return [members for _, members in classes[:_MOST_WAYS]] or [[]]


def _tried(
    ways: Sequence[Sequence[Joint]], ids: Iterable[str]
) -> tuple[list[list[Joint]], list[Joint]]:
    """Close one direction after another; joints inside a rigid group are stuck."""
    group = {name: name for name in ids}
    rounds, stuck = [], []
    for way in ways:
        done = []
        for joint in way:
            a, b = (_root(group, p) for p in (joint.contact.a, joint.contact.b))
            if a == b and joint.guided:
                stuck.append(joint)
            else:
                done.append(joint)
        for joint in done:
            group[_root(group, joint.contact.a)] = _root(group, joint.contact.b)
        rounds.append(done)
    return rounds, stuck


def _root(group: dict[str, str], name: str) -> str:
    while group[name] != name:
        name = group[name]
    return name


def _crowds(done: Sequence[Joint], ids: Iterable[str]) -> list[int]:
    """How many joints close at once in each group of one round."""
    group = {name: name for name in ids}
    for joint in done:
        group[_root(group, joint.contact.a)] = _root(group, joint.contact.b)
    counts: dict[str, int] = {}
    for joint in done:
        root = _root(group, joint.contact.a)
        counts[root] = counts.get(root, 0) + 1
    return list(counts.values())


def _steps(
    rounds: Sequence[Sequence[Joint]], bodies: Sequence[Body]
) -> tuple[tuple[Step, ...], dict[str, list[str]]]:
    """Steps with their groups, and the groups there are at the end."""
    by_id = {body.id: body for body in bodies}
    rank = {name: k for k, name in enumerate(by_id)}
    group = {name: name for name in by_id}
    steps: list[Step] = []
    for done in rounds:
        if not done:
            continue
        for joint in done:
            group[_root(group, joint.contact.a)] = _root(group, joint.contact.b)
        glued: dict[str, list[Joint]] = {}
        for joint in done:
            glued.setdefault(_root(group, joint.contact.a), []).append(joint)
        members = _members(group)
        groups = tuple(tuple(sorted(members[root], key=rank.__getitem__)) for root in glued)
        x, y, z = map(float, done[0].closing)
        blocked = [j.id for root, some in glued.items() for j in some
                   if not _has_room(j, [by_id[n] for n in members[root]], by_id)]  # fmt: skip
        closed = tuple(tuple(j.id for j in some) for some in glued.values())
        steps.append(Step(len(steps) + 1, groups, closed, (x, y, z), tuple(blocked)))
    return tuple(steps), _members(group)


def _members(group: dict[str, str]) -> dict[str, list[str]]:
    members: dict[str, list[str]] = {}
    for name in group:
        members.setdefault(_root(group, name), []).append(name)
    return members


def _has_room(joint: Joint, members: Sequence[Body], by_id: Mapping[str, Body]) -> bool:
    """Whether a clamp's head finds room behind the second part, along the closing direction."""
    c = joint.contact
    back = by_id[c.b]
    way = joint.closing
    far = back.extent(way)[1]
    here = float(c.point @ way)
    deep = min(far - here, 2.0 * max(back.width, back.depth))
    points = c.point + (deep + np.linspace(2.0, CLAMP_ROOM, 5))[:, None] * way
    return all(
        bool((outside(body, points) > 0.0).all()) for body in members if body.id not in (c.a, c.b)
    )
