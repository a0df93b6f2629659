"""The piece in space as plain data; every key is explained in docs/plan-json.md."""

from __future__ import annotations

import math
from typing import Any

from overbend.frame import Assembly, Body, Contact, EndCut, Filler, Joint, Mark, Stick
from overbend.plan.piece import Piece

__all__ = ["piece_data"]

Data = dict[str, Any]


def piece_data(piece: Piece) -> Data:
    """Plain data of placement, contacts, joints, marking, assembly and mass."""
    clamps = {face.joint: face for face in piece.glue_faces}
    return {
        "instances": [_instance(body) for body in piece.bodies],
        "verdict": piece.word,
        "joints": [
            _joint(joint) | {"misfits": _misfits(piece, joint), "clamp": _clamp(clamps, joint)}
            for joint in piece.joints
        ],
        "unjoined": [_contact(contact) for contact in piece.unjoined],
        "clashes": [
            {"parts": [c.a, c.b], "volume_mm3": c.volume, "let_in_by_joint": c.joint}
            for c in piece.clashes
        ],
        "mortises_that_meet": [
            {"part": m.part, "joints": list(m.joints), "overlap_mm": m.overlap}
            for m in piece.meeting_holes
        ],
        "sticks": [_stick(stick) for stick in piece.sticks],
        "end_cuts": {
            part: [_cut(cut) for cut in ends if not cut.flat.square]
            for part, ends in piece.end_cuts.items()
            if not all(cut.flat.square for cut in ends)
        },
        "spacers": [
            {"part": s.kind, "gap_mm": s.gap, "end_gap_mm": s.end_gap, "count": s.count}
            for s in piece.spacers
        ],
        "assembly": _assembly(piece.assembly),
        "mass": _mass(piece) if piece.bodies else None,
    }


def _instance(body: Body) -> Data:
    low, high = body.box
    return {
        "id": body.id,
        "part": body.kind,
        "mirrored": body.mirrored,
        "length_mm": body.length,
        "origin_mm": body.pose.origin.tolist(),
        "rotation": body.pose.rotation.tolist(),
        "box_mm": [list(map(float, low)), list(map(float, high))],
    }


def _contact(contact: Contact) -> Data:
    return {
        "parts": [contact.a, contact.b],
        "how": contact.how,
        "stations_mm": [contact.s_a, contact.s_b],
        "point_mm": contact.point.tolist(),
        "normal": contact.normal.tolist(),
        "height_mm": contact.height,
        "gap_mm": contact.gap,
        "angle_deg": math.degrees(contact.angle),
        "crossing_deg": math.degrees(contact.crossing),
        "covered_mm": [list(contact.span_a), list(contact.span_b)],
    }


def _joint(joint: Joint) -> Data:
    return {
        "id": joint.id,
        "name": joint.spec.name,
        "kind": joint.spec.kind,
        "verdict": joint.word,
        "contact": _contact(joint.contact),
        "sizes": {what: float(value) for what, value in joint.sizes.items()},
        "checks": [
            {
                "what": c.what,
                "part": c.part,
                "value": c.value,
                "limit": c.limit,
                "at_least": c.least,
                "verdict": c.word,
            }
            for c in joint.checks
        ],
        "rules": list(joint.rules),
        "glue_area_mm2": joint.glue_area,
        "filler": None if joint.filler is None else _filler(joint.filler),
    }


def _filler(filler: Filler) -> Data:
    return {
        "across_mm": filler.x.tolist(),
        "thickness_mm": filler.thickness.tolist(),
        "length_mm": filler.length,
        "angle_deg": math.degrees(filler.angle),
        "hollow_mm": filler.hollow,
        "thick_edge": filler.thick_edge,
    }


def _misfits(piece: Piece, joint: Joint) -> list[Data]:
    return [
        {"part": m.part, "low_mm": m.low, "median_mm": m.median, "high_mm": m.high}
        for m in piece.misfits[joint.id]
    ]


def _clamp(faces: dict[str, Any], joint: Joint) -> Data | None:
    face = faces.get(joint.id)
    if face is None:
        return None
    return {"off_deg": math.degrees(face.off), "verdict": face.word, "guided": face.guided}


def _stick(stick: Stick) -> Data:
    return {
        "part": stick.kind,
        "ids": list(stick.ids),
        "mirrored_ids": list(stick.mirrored),
        "marks": [_mark(mark) for mark in stick.marks],
    }


def _mark(mark: Mark) -> Data:
    return {
        "what": mark.what,
        "from_mm": mark.start,
        "to_mm": mark.end,
        "left_mm": list(mark.left),
        "right_mm": list(mark.right),
        "face": mark.face,
        "across_mm": mark.across,
        "width_mm": mark.width,
        "depth_mm": mark.depth,
        "other": mark.other,
        "joint": mark.joint,
    }


def _cut(cut: EndCut) -> Data:
    flat = cut.flat
    return {
        "end": cut.end,
        "mitre_deg": math.degrees(flat.mitre),
        "tilt_deg": math.degrees(flat.tilt),
    }


def _assembly(assembly: Assembly) -> Data:
    return {
        "steps": [
            {
                "number": step.number,
                "groups": [list(group) for group in step.groups],
                "joints": [list(joints) for joints in step.joints],
                "way": list(step.way),
                "no_clamp": list(step.no_clamp),
            }
            for step in assembly.steps
        ],
        "stuck": list(assembly.stuck),
        "groups": [list(group) for group in assembly.groups],
    }


def _mass(piece: Piece) -> Data:
    return {
        "kg": piece.mass.kg,
        "volume_mm3": piece.mass.volume,
        "centre_mm": [float(v) for v in piece.mass.centre],
        "parts": [
            {"id": m.id, "kg": m.kg, "volume_mm3": m.made, "area_mm2": m.area}
            for m in piece.mass.parts
        ],
    }
