"""Curves: how long and how tight, the points or segments, a drawing instead."""

from __future__ import annotations

import math
from typing import Any

from overbend.plan import BentPlan
from overbend.project.shapes import Segment
from overbend.web.sections.at import At, register
from overbend.web.segments import KINDS
from overbend.web.sentence import Piece, Pieces, block, sentence, table
from overbend.web.words import words

__all__ = ["section"]

_LINES = ("middle", "outside", "inside")


@register("curves", quick=True)
def section(at: At, part: BentPlan) -> dict[str, Any]:
    """Sentence about the drawn curve; its points or segments as a table of inputs."""
    shape, say = part.shapes["target"], at.say
    if math.isinf(shape.radius):
        lead = sentence("curves.straight", part=part.name, length=say.length(shape.length))
    else:
        lead = sentence(
            "curves.lead",
            part=part.name,
            length=say.length(shape.length),
            radius=_lit(say.length(shape.radius), shape.tightest_at / shape.length),
            at=say.length(shape.tightest_at),
        )
    if at.folded("curves"):
        return {"lead": [block("lead", lead)], "folded": True}
    more = [block("text", [*_line(at, part), " ", *_sizes(at, part)]), *_source(at, part)]
    return {"lead": [block("lead", lead)], "more": [*more, *_shared(at, part)]}


def _lit(text: str, share: float) -> Piece:
    """A number that belongs to a place along the part."""
    return {"text": text, "place": [max(share - 0.02, 0.0), min(share + 0.02, 1.0)]}


def _line(at: At, part: BentPlan) -> Pieces:
    options = [(name, words(f"curves.{name}")) for name in _LINES]
    pick = at.fields.choice(f"part.{part.name}.line", words("curves.line.label"), options)
    return sentence("curves.line", line=pick)


def _sizes(at: At, part: BentPlan) -> Pieces:
    shape, say = part.shapes["target"], at.say
    return sentence(
        "curves.sizes",
        chord=say.length(shape.chord),
        rise=say.length(shape.rise),
        turn=say.angle(abs(shape.turn)),
    )


def _shared(at: At, part: BentPlan) -> list[dict[str, Any]]:
    """Other parts that follow the same curve."""
    others = [
        name
        for name, other in at.plan.project.bent.items()
        if other.curve == part.part.curve and name != part.name
    ]
    return [block("small", words("curves.shared", parts=", ".join(others)))] if others else []


def _source(at: At, part: BentPlan) -> list[dict[str, Any]]:
    """Points, segments, or the drawing it comes from; named places; what may stand instead."""
    name = part.part.curve
    curve = at.plan.project.curve[name]
    bring = {"kind": "import", "curve": name, "part": part.name}
    places = _places(at, name, curve.stations)
    if curve.through is not None:
        heads = sentence("curves.ends", **_headings(at, name, "start_heading", "end_heading"))
        shape = [block("heading", words("curves.points")), _points(at, name), block("text", heads)]
        return [*shape, *places, bring]
    if curve.segment is not None:
        heads = sentence("curves.begins", **_headings(at, name, "heading"))
        segments = _segments(at, name, curve.segment)
        ends = block("text", _added(len(curve.segment)))
        shape = [block("heading", words("curves.segments")), segments, ends, block("text", heads)]
        return [*shape, *places, {"kind": "turn"}, bring]
    file = block("text", words("curves.file", file=str(curve.file)))
    return [file, *places, {"kind": "turn"}, bring]


def _headings(at: At, name: str, *keys: str) -> dict[str, Piece]:
    """Directions at the ends, by the key they have in the file."""
    return {
        key: at.fields.number(f"curve.{name}.{key}", words(f"handle.{key}.label")) for key in keys
    }


def _places(at: At, name: str, stations: dict[str, float]) -> list[dict[str, Any]]:
    """Named places along the curve, and a field for another."""
    rows = [
        (
            station,
            [at.fields.number(key, words("handle.station.label", name=station))],
            [_button("off", 0, "places.remove", station, key)],
        )
        for station in stations
        if "." not in station
        for key in [f"curve.{name}.stations.{station}"]
    ]
    head = (words("places.name"), words("places.where"), "")
    shown = [table(head, rows, (1,))] if rows else []
    return [block("heading", words("places.heading")), *shown, {"kind": "place"}]


def _points(at: At, name: str) -> dict[str, Any]:
    through = at.plan.project.curve[name].through or ()
    rows = [
        (
            str(i + 1),
            [
                at.fields.number(
                    f"curve.{name}.through.{i}.0", words("curves.point.x", number=i + 1)
                )
            ],
            [
                at.fields.number(
                    f"curve.{name}.through.{i}.1", words("curves.point.y", number=i + 1)
                )
            ],
            _acts(i, len(through), 2, "point", "curves.add"),
        )
        for i in range(len(through))
    ]
    head = (words("curves.point"), words("curves.right"), words("curves.up"), "")
    return table(head, rows, (1, 2))


def _acts(i: int, count: int, least: int, act: str, text: str) -> Pieces:
    """Buttons that add or cut at this element, and take it out."""
    made: Pieces = [_button(act, i, text, str(i + 1))]
    return (
        [*made, "  ", _button("remove", i, "curves.remove", str(i + 1))] if count > least else made
    )


def _button(act: str, index: int, text: str, name: str, key: str = "") -> Piece:
    """A button of a table; its label says which row it belongs to."""
    label = words(f"{text}.label", number=name, name=name)
    said = words("act.remove") if act == "off" else words(text)
    return {"act": f"curve.{act}", "key": key, "index": index, "text": said, "label": label}


def _added(count: int) -> Pieces:
    """Buttons that add a segment at either end."""
    pieces: Pieces = [words("curves.after.all"), " "]
    for at, index in (("", count - 1), ("-before", 0)):
        if at:
            pieces += [" ", words("curves.before.all"), " "]
        for kind in KINDS:
            name = words(f"act.{kind}")
            label = words(f"act.{'before' if at else 'after'}.label", number=index + 1, kind=name)
            pieces += [
                {"act": f"curve.{kind}{at}", "key": "", "index": index, "text": name,
                 "label": label},
                " ",
            ]  # fmt: skip
    return pieces


def _segments(at: At, name: str, segments: tuple[Segment, ...]) -> dict[str, Any]:
    rows = []
    for i, segment in enumerate(segments):
        key, number = f"curve.{name}.segment.{i}", i + 1
        kind, size, then = _segment(at, key, number, segment)
        ends = [at.fields.number(f"{key}.name", words("curves.label.name", number=number))]
        acts = _acts(i, len(segments), 1, "split", "act.split")
        rows.append((f"{number}  {kind}", size, [*then, *([" "] if then else []), *acts], ends))
    heads = ("curves.segment", "curves.size", "curves.then", "curves.name")
    return table([words(h) for h in heads], rows)


def _segment(at: At, key: str, number: int, segment: Segment) -> tuple[str, Pieces, Pieces]:
    """Kind of a segment, its size, and what else shapes it."""

    def field(under: str, label: str) -> Piece:
        return at.fields.number(f"{key}.{under}", words(f"curves.label.{label}", number=number))

    if segment.arc is not None:
        size, then = field("arc.radius", "radius"), field("arc.angle", "angle")
        return words("curves.kind.arc"), ["R ", size], [then]
    if segment.easement is not None:
        ends = [field("easement.from_radius", "from"), field("easement.to_radius", "to")]
        then_pieces: Pieces = [
            "R ", ends[0], f" {words('curves.to')} R ", ends[1],
        ]  # fmt: skip
        return words("curves.kind.easement"), [field("easement.length", "ease")], then_pieces
    return words("curves.kind.line"), [field("line", "line")], []
