"""Texts about the piece as a whole: its views, its joints."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["PIECE"]

_VIEWS: Mapping[str, str] = {
    "page.view.part": "This part",
    "page.view.piece": "The piece",
    "page.view.side": "side",
    "page.view.front": "front",
    "page.view.plan": "from above",
    "page.view.round": "round about",
    "view.none": (
        "No part has a place yet. Say where the parts stand, and the whole piece is drawn here."
    ),
    "view.failed": "The piece cannot be drawn: {why}",
    "view.about": "{deep} deep, {wide} wide, {high} high. Parts: {parts}, joints: {joints}.",
    "view.part": "{part}, {size}, {length} long, {wood}",
    "view.parts": "{part}, {count} off, {size}, {length} long, {wood}",
    "view.help": "Point at a part to see what it is; click it to select it.",
    "view.drawing": "drawing",
    "round.label": "The piece in space",
    "round.keys": ("Arrow keys turn it, plus and minus bring it nearer or further."),
    "round.turns": "Look at it",
    "round.turn.angle": "at an angle",
    "round.turn.front": "front",
    "round.turn.right": "right side",
    "round.turn.back": "back",
    "round.turn.left": "left side",
    "round.turn.above": "from above",
    "round.nearer": "nearer",
    "round.further": "further",
    "round.through": "see the tenons",
    "round.none": (
        "This browser draws nothing in space here (WebGL is off). Side, front and from above show "
        "the same piece in lines."
    ),
}

_JOINTS: Mapping[str, str] = {
    "section.joints": "Joints",
    "joints.lead.all": "All {count} joints hold.",
    "joints.lead.some": "{good} of {count} joints hold; {rest}.",
    "joints.lead.fails.many": "{count} fail",
    "joints.lead.fails.one": "1 fails",
    "joints.lead.close.one": "1 is close",
    "joints.lead.close.many": "{count} are close",
    "joints.lead.none": "No joint is named yet.",
    "joints.off": (
        "Laid at its reference end, the {end} of its curve, {part} may lie up to {most} off its "
        "drawing at the joint {joint}, nine in ten"
    ),
    "joints.off.chord": (
        "; laid with the middle of its chord over the drawing’s and the chords in line, up to "
        "{less}"
    ),
    "joints.off.mark": ". Mark that joint from the part, not from the drawing.",
    "joints.off.trial": " A trial bend says how much it will be.",
    "joints.off.end": "Reference end of {part}",
    "joints.off.end.start": "start",
    "joints.off.end.end": "end",
    "joints.bad": "{joint}: {what} {value}, {bound} {limit}",
    "joints.change": "Change",
    "joints.least": "at least",
    "joints.most": "at most",
    "joints.meet": (
        "In {part} the mortises of {one} and {other} run into each other by {deep}: shorten one, "
        "or mitre the tenons."
    ),
    "joints.open": ("{a} and {b} meet {height} above the floor and no joint is named there."),
    "joints.open.more": "In all, parts meet without a joint at {count} places.",
    "joints.clash": "{a} and {b} take the same room: {volume} cm³.",
    "joints.head.joint": "Joint",
    "joints.head.how": "How",
    "joints.head.of": "Of",
    "joints.head.angle": "Angle",
    "joints.head.height": "Height",
    "joints.head.off": "Off by",
    "joints.caption": (
        "Angle between the faces that meet; height above the floor; off by: how far a released "
        "bend may lie from its drawing there, nine in ten, laid at its reference end. In {unit}. "
        "Rules of size are common practice, no source."
    ),
    "joints.summary": "{how}, {part} to {to}",
    "joints.places": "Where",
    "joints.marks": "Marked out",
    "joints.place.part": "Part",
    "joints.place.to": "Into or on",
    "joints.place.s": "On it at",
    "joints.place.s2": "There at",
    "joints.place.height": "Height",
    "joints.place.angle": "Angle",
    "joints.place.gap": "Gap",
    "joints.place.off": "Off by",
    "joints.place.caption": (
        "In {unit}. “At” is measured along the middle of a part from its reference end, “height” "
        "from the floor; “gap” is what is open between the parts as drawn, below zero they reach "
        "into each other."
    ),
    "joints.mark.on": "On",
    "joints.mark.what": "Mark",
    "joints.mark.face": "Face",
    "joints.mark.from": "From",
    "joints.mark.to": "To",
    "joints.mark.across": "Off middle",
    "joints.mark.depth": "Depth",
    "joints.mark.caption": (
        "In {unit}, from the reference end along the face named, as on the story stick."
    ),
    "joints.size.thickness": "Thickness",
    "joints.size.width": "Width",
    "joints.size.length": "Length",
    "joints.size.diameter": "Diameter",
    "joints.size.count": "How many",
    "joints.size.spacing": "Between the outermost",
    "joints.size.reach": "Gap it bridges",
    "joints.size.label": "Joint {joint}: {size}",
    "joints.rule": "by rule",
    "joints.rows": "Parts in rows",
    "joints.rows.part": "Part",
    "joints.rows.count": "How many",
    "joints.rows.span": "Over",
    "joints.rows.gap": "Gap",
    "joints.rows.end": "At the ends",
    "joints.rows.none": "none",
    "joints.rows.caption": "In {unit}. The gaps are the sizes of the spacers that set the row.",
    "joints.rows.count.label": "How many of {part}",
    "joints.rows.span.label": "Length of the row of {part}",
    "joint.mortise-tenon": "mortise and tenon",
    "joint.round-tenon": "round tenon",
    "joint.dowels": "dowels",
    "joint.housed": "housed",
    "joint.lapped": "lapped and glued",
    "joint.wedge": "on an angled filler",
    "joint.coped": "coped shoulder",
    "joint.screw": "screwed",
    "joint.short.mortise-tenon": "tenon",
    "joint.short.round-tenon": "round tenon",
    "joint.short.dowels": "dowels",
    "joint.short.housed": "housed",
    "joint.short.lapped": "lapped",
    "joint.short.wedge": "filler",
    "joint.short.coped": "coped",
    "joint.short.screw": "screws",
}

PIECE: Mapping[str, str] = {**_VIEWS, **_JOINTS}
"""Texts by key, in English."""
