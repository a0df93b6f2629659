"""Story sticks at full size: every mark of a part from its reference end, to be tiled or cut."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from overbend.curve import ArcPath
from overbend.draw.chains import spread
from overbend.draw.drawing import Area, Drawing, Item, Label, Layer, Mark, Pen, Stroke
from overbend.frame import Body, Stick
from overbend.frame import Mark as JointMark
from overbend.plan.piece import Piece
from overbend.units import Display, format_length

__all__ = ["STICK_WORDS", "stick_drawing", "stick_name", "stick_title"]

_WIDE = 24.0  # mm across the stick
_TEXT, _STEP = 2.5, 4.6  # mm: letters, and between the lines of neighbouring texts
_FILLED = ("mortise", "housing")

STICK_WORDS = {
    "mortise": "mortise",
    "housing": "housing",
    "dowel": "dowel, middle",
    "screw": "screw, middle",
    "shoulder": "shoulder",
    "covered": "covered",
}
"""What is written beside the marks of a story stick."""


def stick_name(stick: Stick, sticks: Iterable[Stick]) -> str:
    """File name of a stick: the part's, with a number where a part has several.

    Examples
    --------
    >>> one = Stick("rail", ("rail",), (), 400.0, ())
    >>> stick_name(one, [one])
    'rail-stick'
    """
    alike = [s for s in sticks if s.kind == stick.kind]
    number = f"-{alike.index(stick) + 1}" if len(alike) > 1 else ""
    return f"{stick.kind}-stick{number}"


def stick_title(stick: Stick) -> str:
    """What a stick serves, in words.

    Examples
    --------
    >>> stick_title(Stick("leg", ("leg/left",), ("leg/right",), 400.0, ()))
    'leg/left as drawn, leg/right mirrored'
    """
    if not stick.mirrored:
        return _listed(stick.ids, stick.kind)
    return f"{_listed(stick.ids, '')} as drawn, {_listed(stick.mirrored, '')} mirrored"


def _listed(ids: Sequence[str], kind: str) -> str:
    if kind and len(ids) > 3:
        return f"{kind}, all {len(ids)}"
    return ", ".join(ids)


def stick_drawing(piece: Piece, stick: Stick, display: Display) -> Drawing:
    """Draw a story stick at full size.

    The upper edge holds the marks for the face on the left of the part's line as drawn, the
    lower edge those for the face on its right; for a straight part they are the same. On a
    bent part a thin stick is bent along the face.

    Parameters
    ----------
    piece : the piece in space.
    stick : which one.
    display : how lengths are shown.
    """
    body = piece.by_id[(*stick.ids, *stick.mirrored)[0]]
    items = _stick(body)
    for mark in stick.marks:
        items += _mark(mark)
    items += _texts(stick.marks, body, display)
    items += _ends(stick, body, display)
    return Drawing(tuple(items), f"Story stick: {stick_title(stick)}")


def _lengths(body: Body) -> tuple[float, float]:
    """Length of the left and of the right face [mm]."""
    if body.line.straight:
        return body.length, body.length
    half = body.depth / 2
    return body.curve.offset(half).length, body.curve.offset(-half).length


def _stick(body: Body) -> list[Item]:
    left, right = _lengths(body)
    corners = np.array([[0.0, 0.0], [right, 0.0], [left, _WIDE], [0.0, _WIDE]])
    return [Stroke(ArcPath.polyline(corners, closed=True), Layer.PART, Pen.OUTLINE, "story stick")]


def _mark(mark: JointMark) -> list[Item]:
    """Lines across the stick at both edges of a mark, or at its middle."""
    if mark.what in ("dowel", "screw"):
        pairs = [(sum(mark.left) / 2, sum(mark.right) / 2)]
        pen = Pen.CENTRE
    elif mark.what == "shoulder":
        pairs, pen = [(mark.left[0], mark.right[0])], Pen.OUTLINE
    else:
        pairs = list(zip(mark.left, mark.right, strict=True))
        pen = Pen.THIN
    items: list[Item] = [Stroke(_line(*pair), Layer.MARK, pen, mark.joint) for pair in pairs]
    if mark.what in _FILLED:
        outline = np.array([[mark.right[0], 0.0], [mark.right[1], 0.0], [mark.left[1], _WIDE],
                            [mark.left[0], _WIDE]])  # fmt: skip
        items.insert(0, Area((ArcPath.polyline(outline, closed=True),), Layer.BAND, "hatch"))
    return items


def _line(upper: float, lower: float) -> ArcPath:
    return ArcPath.polyline(np.array([[lower, 0.0], [upper, _WIDE]]))


def _texts(marks: Sequence[JointMark], body: Body, display: Display) -> list[Item]:
    """What each mark is and where, upright above the stick, moved apart where they crowd."""
    in_order = sorted(marks, key=lambda m: sum(m.left))
    wanted = [sum(mark.left) / 2 for mark in in_order]
    places = spread(wanted, [_STEP] * len(wanted)).tolist()
    items: list[Item] = []
    for mark, at, place in zip(in_order, wanted, places, strict=True):
        way = np.array([[at, _WIDE], [place, _WIDE + 5.0], [place, _WIDE + 7.0]])
        items.append(Stroke(ArcPath.polyline(way), Layer.DIMENSION, Pen.THIN))
        text = _words(mark, body, display)
        items.append(Label(place, _WIDE + 8.0, text, _TEXT, "left", "middle", 0.5 * np.pi))
    return items


def _words(mark: JointMark, body: Body, display: Display) -> str:
    """One line of text for a mark: what, whose, where from the reference end, on which face."""

    def short(length: float) -> str:
        return format_length(length, display, unit=False)

    span = mark.on_face
    single = mark.what in ("dowel", "screw", "shoulder")
    where = short(sum(span) / 2) if single else f"{short(span[0])} to {short(span[1])}"
    if not body.line.straight:
        where += {"left": " on the upper edge", "right": " on the lower edge"}.get(
            mark.edge, " along the middle"
        )
    parts = [f"{STICK_WORDS[mark.what]} ({mark.other})", where, mark.face]
    if abs(mark.across) > 0.5:
        parts.append(f"{short(abs(mark.across))} off the middle")
    if mark.what != "covered" and mark.depth:
        parts.append(f"{'tenon' if mark.what == 'shoulder' else 'deep'} {short(mark.depth)}")
    return ", ".join(parts)


def _ends(stick: Stick, body: Body, display: Display) -> list[Item]:
    """Reference end, title and length."""
    length = format_length(stick.length, display)
    along = "" if body.line.straight else " along the middle line"
    faces = [] if body.line.straight else ["upper edge: face on the left of the line as drawn",
                                           "lower edge: face on its right"]  # fmt: skip
    lines = [f"story stick: {stick_title(stick)}", f"length {length}{along}", *faces]
    return [
        Mark(0.0, 0.5 * _WIDE, "dot", 2.5),
        Label(0.0, -3.0, "reference end", _TEXT, "left", "top"),
        Label(28.0, -3.0, "\n".join(lines), _TEXT, "left", "top"),
    ]
