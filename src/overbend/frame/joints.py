"""Joints: from where two parts meet to what is cut, by kind."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from overbend.errors import FrameError, OverbendError
from overbend.frame.contact import Contact, find_contacts, never_meet, turned_round
from overbend.frame.end_joints import coped, dowelled_end, housed, mortise_tenon, round_tenon
from overbend.frame.face_joints import dowelled_faces, lapped, screwed, wedged
from overbend.frame.joint_records import END_KINDS, Check, Joint, JointKind, JointSpec, at_least
from overbend.frame.solid import Body

__all__ = ["joint_at", "joints_of", "reach_of"]

Maker = Callable[[JointSpec, Contact, Body, Body], Joint]

_REACH, _WEDGE_REACH = 3.0, 25.0  # mm


def _dowels(spec: JointSpec, contact: Contact, a: Body, b: Body) -> Joint:
    make = dowelled_end if contact.how == "end" else dowelled_faces
    return make(spec, contact, a, b)


_MAKERS: dict[JointKind, Maker] = {
    "mortise-tenon": mortise_tenon,
    "round-tenon": round_tenon,
    "dowels": _dowels,
    "housed": housed,
    "lapped": lapped,
    "wedge": wedged,
    "coped": coped,
    "screw": screwed,
}


def reach_of(spec: JointSpec) -> float:
    """Widest gap a joint bridges [mm]: 25 for a wedge, else 3, unless given."""
    if spec.reach is not None:
        return spec.reach
    return _WEDGE_REACH if spec.kind == "wedge" else _REACH


def joint_at(spec: JointSpec, contact: Contact, a: Body, b: Body) -> Joint:
    """One joint where two parts meet.

    Parameters
    ----------
    spec : kind and sizes.
    contact : where they meet; its first part is the one that goes in or lies on.
    a, b : the two parts.

    Raises
    ------
    FrameError
        When the parts do not meet the way this kind needs, or a size is impossible.
    """
    where = f"joint.{spec.name}"
    if spec.kind in END_KINDS and contact.how != "end":
        raise FrameError(
            f"{a.id} lies against {b.id}, and a joint of kind {spec.kind!r} needs an end of it "
            "there",
            where,
            "an end of the first part at the second",
            "use lapped, wedge, dowels or screw, or move the part",
        )
    try:
        return _MAKERS[spec.kind](spec, contact, a, b)
    except OverbendError as error:
        raise error.at(where) from error


def joints_of(spec: JointSpec, bodies: Sequence[Body]) -> tuple[Joint, ...]:
    """Every joint one table asks for: wherever the two parts meet.

    Parameters
    ----------
    spec : kind, parts and sizes.
    bodies : every part of the piece.

    Raises
    ------
    FrameError
        When an instance of the first part meets none of the second, or as `joint_at`.
    """
    firsts, seconds = _named(spec.part, bodies), _named(spec.to, bodies)
    ids = {body.id: body for body in (*firsts, *seconds)}
    pair = (firsts[0].kind, seconds[0].kind)
    both = list(ids.values())
    contacts = find_contacts(both, reach_of(spec), frozenset([pair]))
    first_ids, second_ids = {b.id for b in firsts}, {b.id for b in seconds}
    made = []
    memory = _Memory()
    for contact in contacts:
        if contact.a in second_ids and contact.b in first_ids and contact.a not in first_ids:
            contact = _turned(spec, contact, ids)
        if contact.a in first_ids and contact.b in second_ids:
            made.append(memory.joint(spec, contact, ids[contact.a], ids[contact.b]))
    joined = {joint.contact.a for joint in made}
    for body in firsts:
        if body.id not in joined:
            raise never_meet(body, [b for b in seconds if b is not body], f"joint.{spec.name}")
    return _with_ids(made)


def _named(name: str, bodies: Sequence[Body]) -> list[Body]:
    found = [b for b in bodies if name in (b.id, b.kind) or b.id.startswith(f"{name}/")]
    if not found:
        raise FrameError(
            f"there is no placed part {name!r}",
            allowed=", ".join(dict.fromkeys(b.kind for b in bodies)),
            todo="give the part a place",
        )
    return found


def _turned(spec: JointSpec, contact: Contact, ids: dict[str, Body]) -> Contact:
    """The same face contact seen from the other part; an end cannot be turned round."""
    if contact.how == "end":
        raise FrameError(
            f"it is {contact.a} that ends at {contact.b}, not the other way round",
            f"joint.{spec.name}",
            f'part = "{ids[contact.a].kind}", to = "{ids[contact.b].kind}"',
            "swap the two parts",
        )
    return turned_round(contact, ids[contact.a])


class _Memory:
    """Joints of a row: those of like parts along a straight one are cut alike."""

    def __init__(self) -> None:
        self._known: dict[tuple[object, ...], Joint] = {}

    def joint(self, spec: JointSpec, contact: Contact, a: Body, b: Body) -> Joint:
        if contact.how == "end" or not b.line.straight:
            return joint_at(spec, contact, a, b)
        turned = np.round(b.pose.rotation.T @ a.pose.rotation, 8) + 0.0
        measured = np.round([contact.s_a, contact.gap, contact.angle], 6) + 0.0
        key = (b.id, id(a.line), contact.face_a, contact.face_b, turned.tobytes(),
               measured.tobytes())  # fmt: skip
        if key not in self._known:
            self._known[key] = joint_at(spec, contact, a, b)
        return _slid(self._known[key], contact, b)


def _slid(joint: Joint, contact: Contact, b: Body) -> Joint:
    """The same joint further along b, for another instance of its first part."""
    was = joint.contact
    d = contact.s_b - was.s_b
    move = d * b.tangent(0.0)
    blocks = tuple(
        replace(k, mouth=k.mouth + move, part=contact.a if k.part == was.a else k.part)
        for k in joint.blocks
    )
    checks = tuple(_slid_check(c, was.a, contact.a, b, d) for c in joint.checks)
    return replace(joint, contact=contact, blocks=blocks, checks=checks)


def _slid_check(check: Check, was: str, now: str, b: Body, d: float) -> Check:
    if check.part == was:
        return replace(check, part=now)
    if check.part != b.id or check.s is None:
        return check
    s = check.s + d
    half = min(check.s, b.length - check.s) - check.value
    moved = at_least(check.what, min(s, b.length - s) - half, check.limit, check.part)
    return replace(moved, s=s)


def _worst_of_each(checks: Sequence[Check]) -> tuple[Check, ...]:
    """Of checks of the same thing on the same part the one with least to spare."""
    worst: dict[tuple[str, str], Check] = {}
    for check in checks:
        key = (check.what, check.part)
        sign = 1.0 if check.least else -1.0
        if key not in worst or sign * check.value < sign * worst[key].value:
            worst[key] = check
    return tuple(worst.values())


def _with_ids(joints: Sequence[Joint]) -> tuple[Joint, ...]:
    """Give joints ids: their name and the parts, numbered where two meet twice."""
    seen: dict[str, int] = {}
    named = []
    for joint in joints:
        c = joint.contact
        stem = f"{joint.spec.name}:{c.a}:{c.b}"
        seen[stem] = seen.get(stem, 0) + 1
        name = stem if seen[stem] == 1 else f"{stem}:{seen[stem]}"
        named.append(replace(joint, id=name, checks=_worst_of_each(joint.checks)))
    return tuple(named)
