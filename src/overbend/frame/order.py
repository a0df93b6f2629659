"""In what order the piece goes together: sub-assemblies, and room for clamps at each joint.

Joints that a tenon, dowel or housing guides close in one direction only. Joints of one
direction may close together; a guided joint inside a group that is rigid already can never
be closed. The order is the cheapest way through the sets of joints closed so far.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush

import numpy as np

from overbend.curve import Floats
from overbend.frame.joint_records import Joint
from overbend.frame.probe import outside
from overbend.frame.solid import Body

__all__ = ["Assembly", "Step", "assembly_of"]

SAME_WAY = np.cos(np.radians(20.0))  # joints that close within this angle close together
_MOST_LOTS = 14
_MOST_STATES = 3000  # sets of lots looked at before the rest is closed way by way
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
    """Find the order of glue-ups: fewest stuck joints, then fewest steps, then smallest ones.

    Parameters
    ----------
    bodies : the parts.
    joints : between them.

    Notes
    -----
    Joints of one table and one direction are closed together. A step closes one such lot, or
    all that are left of a direction; Dijkstra's search over the sets of lots closed.
    """
    ids = [body.id for body in bodies]
    lots = _lots(joints)
    rounds, stuck = _cheapest(lots, ids)
    steps, groups = _steps(rounds, bodies)
    return Assembly(steps, tuple(j.id for j in stuck), tuple(map(tuple, groups.values())))


@dataclass(frozen=True, eq=False)
class _Lot:
    """Joints that close together: of one table and one direction, either sense."""

    way: Floats
    joints: tuple[Joint, ...]


def _lots(joints: Sequence[Joint]) -> list[_Lot]:
    """Joints by table and direction; the smallest lots are put together when there are many."""
    lots: list[_Lot] = []
    for joint in joints:
        for k, lot in enumerate(lots):
            same = lot.joints[0].spec.name == joint.spec.name
            if same and abs(float(lot.way @ joint.closing)) >= SAME_WAY:
                lots[k] = _Lot(lot.way, (*lot.joints, joint))
                break
        else:
            lots.append(_Lot(joint.closing, (joint,)))
    while len(lots) > _MOST_LOTS:
        lots = _merged(lots)
    return lots


def _merged(lots: list[_Lot]) -> list[_Lot]:
    """Put the smallest lot with the one that closes most nearly in its direction."""
    small = min(lots, key=lambda lot: len(lot.joints))
    rest = [lot for lot in lots if lot is not small]
    near = max(rest, key=lambda lot: abs(float(lot.way @ small.way)))
    return [_Lot(x.way, (*x.joints, *small.joints)) if x is near else x for x in rest]


_Cost = tuple[int, int, int]
_Path = tuple[frozenset[int], ...]


def _cheapest(lots: Sequence[_Lot], ids: Sequence[str]) -> tuple[list[list[Joint]], list[Joint]]:
    """Rounds of joints closed together, and joints that are stuck.

    Best-first search; every direction still open costs at least one more step of one joint.
    """
    whole = frozenset(range(len(lots)))
    heap: list[tuple[_Cost, int, int, _Cost, frozenset[int], _Path]] = [
        ((0, 0, 0), 0, 0, (0, 0, 0), frozenset(), ())
    ]
    seen: set[frozenset[int]] = set()
    count = 0
    while True:
        _, _, _, cost, closed, path = heappop(heap)
        if closed == whole or len(seen) > _MOST_STATES:
            return _replayed(lots, ids, (*path, *_directions(lots, whole - closed)))
        if closed in seen:
            continue
        seen.add(closed)
        group = _grouped(ids, [j for k in closed for j in lots[k].joints])
        for move in _moves(lots, whole - closed):
            count += 1
            stuck, crowd = _effort([j for k in move for j in lots[k].joints], group)
            now = (cost[0] + stuck, cost[1] + 1, cost[2] + crowd)
            after = closed | move
            left = len(_directions(lots, whole - after))
            least = (now[0], now[1] + left, now[2] + left)
            heappush(heap, (least, -len(after), count, now, after, (*path, move)))


def _directions(lots: Sequence[_Lot], left: frozenset[int]) -> list[frozenset[int]]:
    """Lots that are left, those of one direction together."""
    groups: list[list[int]] = []
    for k in sorted(left):
        for group in groups:
            if abs(float(lots[group[0]].way @ lots[k].way)) >= SAME_WAY:
                group.append(k)
                break
        else:
            groups.append([k])
    return [frozenset(group) for group in groups]


def _moves(lots: Sequence[_Lot], left: frozenset[int]) -> Iterator[frozenset[int]]:
    """Single lots, and all that close in one direction."""
    for k in sorted(left):
        yield frozenset([k])
        alike = frozenset(j for j in left if abs(float(lots[j].way @ lots[k].way)) >= SAME_WAY)
        if len(alike) > 1 and k == min(alike):
            yield alike


def _effort(joints: Sequence[Joint], group: Mapping[str, str]) -> tuple[int, int]:
    """Joints of a step that are stuck, and the square of the most that close at once."""
    after = dict(group)
    counts: dict[str, int] = {}
    for joint in joints:
        after[_root(after, joint.contact.a)] = _root(after, joint.contact.b)
    for joint in joints:
        root = _root(after, joint.contact.a)
        counts[root] = counts.get(root, 0) + 1
    return len(_stuck(joints, group)), max(counts.values(), default=0) ** 2


def _stuck(joints: Sequence[Joint], group: Mapping[str, str]) -> list[Joint]:
    """Guided joints of one direction that cannot close.

    Drawn apart along the direction, the part that goes in lies before the part it goes
    into. Where that would put a group before itself, straight away or round other groups,
    the joint is stuck.
    """
    ahead: dict[str, set[str]] = {}
    stuck: list[Joint] = []
    way = joints[0].closing if joints else np.zeros(3)
    for joint in joints:
        if not joint.guided:
            continue
        a, b = _root(group, joint.contact.a), _root(group, joint.contact.b)
        if float(joint.closing @ way) < 0.0:
            a, b = b, a
        if b in ahead.get(a, ()):
            continue
        if a == b or _leads(ahead, b, a):
            stuck.append(joint)
        else:
            ahead.setdefault(a, set()).add(b)
    return stuck


def _leads(ahead: Mapping[str, set[str]], start: str, goal: str) -> bool:
    """Whether one group lies before another, directly or over others."""
    todo, seen = [start], {start}
    while todo:
        here = todo.pop()
        if here == goal:
            return True
        fresh = ahead.get(here, set()) - seen
        seen |= fresh
        todo += fresh
    return False


def _replayed(
    lots: Sequence[_Lot], ids: Sequence[str], path: Sequence[frozenset[int]]
) -> tuple[list[list[Joint]], list[Joint]]:
    group = _grouped(ids, [])
    rounds, stuck = [], []
    for move in path:
        joints = [j for k in sorted(move) for j in lots[k].joints]
        held = _stuck(joints, group)
        stuck += held
        rounds.append([j for j in joints if j not in held])
        for joint in joints:
            group[_root(group, joint.contact.a)] = _root(group, joint.contact.b)
    return rounds, stuck


def _grouped(ids: Iterable[str], joints: Iterable[Joint]) -> dict[str, str]:
    """Groups that joints make rigid: each part points towards its group's head."""
    group = {name: name for name in ids}
    for joint in joints:
        group[_root(group, joint.contact.a)] = _root(group, joint.contact.b)
    return group


def _root(group: Mapping[str, str], name: str) -> str:
    while group[name] != name:
        name = group[name]
    return name


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
