"""Texts about changing a curve on the drawing: handles, segments, points, tracing, drawings."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["CURVE"]

_HANDLES: Mapping[str, str] = {
    "handle.from": "Radius where easement {number} begins: {size}",
    "handle.to": "Radius where easement {number} ends: {size}",
    "handle.carries": "it carries on from the segment beside it; type a radius to change it",
    "handle.start": "Start of the curve: {place} {unit}",
    "handle.start.x": "Start of the curve, to the right",
    "handle.start.y": "Start of the curve, up",
    "handle.heading": "Direction at the start: {size}",
    "handle.heading.label": "Direction at the start",
    "handle.start_heading": "Direction at the first point: {size}",
    "handle.start_heading.free": "Direction at the first point: free, {size} now",
    "handle.start_heading.label": "Direction at the first point",
    "handle.end_heading": "Direction at the last point: {size}",
    "handle.end_heading.free": "Direction at the last point: free, {size} now",
    "handle.end_heading.label": "Direction at the last point",
    "handle.station": "{name}: {size} along the curve",
    "handle.station.label": "Where {name} is, along the curve",
    "handle.dotted": "a name with a dot in it is moved in the text of the file",
    "page.handles": (
        "Drag a handle, or focus it and use the arrow keys; Shift moves finer, Control further. "
        "Hold Alt while dragging to move without snapping. Enter goes to its values, Insert adds "
        "one after it, Delete takes it out, Escape puts it back."
    ),
}

_ACTS: Mapping[str, str] = {
    "act.beside": "Values of this handle",
    "act.add": "after it:",
    "act.before": "before it:",
    "act.point": "add a point",
    "act.point.label": "Add a point after this one",
    "act.line": "line",
    "act.arc": "arc",
    "act.easement": "easement",
    "act.after.label": "Add after segment {number}: {kind}",
    "act.before.label": "Add before segment {number}: {kind}",
    "act.split": "cut in two",
    "act.split.label": "Cut segment {number} in two",
    "act.remove": "take out",
    "act.remove.label": "Take it out",
    "act.free": "leave it free",
    "act.free.label": "Leave this direction free",
    "curve.changed": "the curve",
    "curve.none": "the curve has no such place any more",
    "curve.last": "this is the only segment",
    "curve.last.todo": "add another first",
    "curve.two": "a curve runs through two points at least",
    "curve.point.there": "there is a point at this place already",
    "curve.file": "this curve comes from a drawing",
    "curve.file.todo": "turn it into points first; that is in the notes, under Curves",
    "curve.unnamed": "a place needs a name",
    "curve.unnamed.todo": "give it a name of its own",
    "curve.named": "there is a place called {name} already",
    "curve.less": "less than {size}",
    "curve.points.already": "this curve runs through points already",
    "curve.points.none": "no fair curve runs through so few points here",
    "curve.points.more": "ask for more points",
}

_POINTS: Mapping[str, str] = {
    "points.turn": "Turn it into points",
    "points.about": (
        "Points can be pulled one by one. The curve comes as near to this one as it can; undo "
        "brings this one back."
    ),
    "points.offer": "{count} points; farthest from the line that is drawn now: {deviation}.",
    "points.fewer": "fewer",
    "points.morepoints": "more",
    "points.use": "Use these points",
    "points.leave": "Leave it as it is",
    "points.done": "The curve runs through {count} points now; farthest from before: {deviation}.",
    "curves.ends": (
        "Direction at the first point {start_heading}, at the last {end_heading}; left empty, the "
        "curve finds them."
    ),
    "curves.begins": "It begins with the direction {heading}.",
    "curves.after.all": "Add at its end:",
    "curves.before.all": "at its start:",
    "places.remove": "take out",
    "places.heading": "Named places",
    "places.name": "Place",
    "places.where": "Along the curve",
    "places.remove.label": "Take out the place {name}",
    "places.new": "Name of a new place",
    "places.add": "Add a place",
    "comb.show": "teeth: how tight, up to the limit",
}

_TRACE: Mapping[str, str] = {
    "trace.open": "Trace a picture",
    "trace.title": "Tracing a picture",
    "trace.about": (
        "A photograph or scan lies under the drawing; two points whose distance you know give it "
        "its scale. Take the photograph square on, from far away: what leans or is near the edge "
        "is not true."
    ),
    "trace.choose": "Picture",
    "trace.kinds": "PNG, JPEG or WebP",
    "trace.none": "no picture was sent",
    "trace.kind": "{name} is no picture that can be used",
    "trace.allowed": "a PNG, JPEG or WebP picture",
    "trace.large": "{name} is too large",
    "trace.largest": "{size} MB and {pixels} million points of colour",
    "trace.broken": "{name} is not whole: its end is missing",
    "trace.again": "save it again, or send it to this machine again",
    "trace.kept": "the picture cannot be kept: {why}",
    "trace.gone": "there is no picture to trace",
    "trace.marks": "two different points of the picture",
    "trace.marks.near": "the two points lie on each other",
    "trace.marks.todo": "put them far apart, at the ends of something you can measure",
    "trace.distance": "the distance between two points",
    "trace.placement": "the place of the picture cannot be used",
    "trace.step.scale": "Scale",
    "trace.step.points": "Points",
    "trace.step.move": "Move",
    "trace.scale.first": "Click the first of two points whose distance you know.",
    "trace.scale.second": "Click the second of them.",
    "trace.scale.ready": "Type how far apart they are.",
    "trace.scale.distance": "Distance",
    "trace.scale.level": "The line between them is",
    "trace.scale.level.none": "as it lies",
    "trace.scale.level.level": "level",
    "trace.scale.level.plumb": "upright",
    "trace.scale.set": "Set the scale",
    "trace.scale.said": "One point of colour is {size}.",
    "trace.scale.unset": "The picture has no scale yet: what you trace is not to size.",
    "trace.points.about": (
        "Click along the curve from its reference end: its ends, and where it bends most. Few "
        "points make a fair curve. The last one comes off with Backspace."
    ),
    "trace.points.count": "{count} points",
    "trace.points.back": "take the last off",
    "trace.points.use": "Make it the curve of {part}",
    "trace.points.new": "Keep it as a new curve",
    "trace.points.name": "Its name",
    "trace.move.about": "Drag the picture; the arrow keys move it too, Shift finer.",
    "trace.opacity": "Strength",
    "trace.show": "show the picture",
    "trace.remove": "Remove the picture",
    "trace.close": "Done",
    "trace.closer": "closer",
    "trace.further": "further",
    "trace.whole": "all of it",
    "trace.surface": (
        "The picture. Arrow keys move the cross, Shift finer, Control further; Enter puts a point "
        "there, Backspace takes the last off, plus and minus look closer and further."
    ),
    "trace.count": "{count} points are no curve",
    "trace.made": "The curve {name} runs through {count} points; no part follows it yet.",
    "trace.follows": (
        "The {part} follows {count} traced points now; undo brings the old curve back."
    ),
    "trace.stations": (
        "Its named places ({names}) were put at the same share of the length: check them."
    ),
    "trace.removed": "The picture is gone from the folder; undo brings it back.",
}

_DRAWING: Mapping[str, str] = {
    "curves.import.about": (
        "A DXF or SVG with one line, arcs or a spline. It is shown first; when you use it, it is "
        "copied beside the project file and the part follows it. Undo brings the old curve back."
    ),
    "curves.import.unit": "Drawn in",
    "curves.import.unit.own": "what the file says",
    "curves.import.reading": "Reading it.",
    "curves.import.size": "It comes out {length} long and bends to {radius} at its tightest.",
    "curves.import.straight": "It comes out {length} long and straight.",
    "curves.import.now": "The {part} is {length} long now.",
    "curves.import.true": "Farthest from the line that was drawn: {deviation}.",
    "curves.import.exact": "Lines and arcs were taken over as they are.",
    "curves.import.picture": "Solid: the drawing. Dashes: the curve there is now.",
    "curves.import.ask": "In what unit was it drawn?",
}

_WAITS: Mapping[str, str] = {
    "wait.trial": (
        "{part}: the form is a trial form. Bend one, measure what comes off and record it, then "
        "make the book again before you cut the rest."
    ),
    "wait.trial.go": "Record a trial bend",
    "wait.moisture.go": "Type the moisture of {wood}",
    "wait.machine.go": "Type the least sizes of the {machine}",
    "wait.machine.saw": "saw",
    "wait.machine.surfacing": "surfacing machine",
    "wait.machine.thicknessing": "thicknessing machine",
    "wait.field": "Go to the value",
}

CURVE: Mapping[str, str] = {**_HANDLES, **_ACTS, **_POINTS, **_TRACE, **_DRAWING, **_WAITS}
