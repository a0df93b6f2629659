"""Panels on a sheet with the cuts that part them, to scale, on paper millimetres.

Every cut runs from edge to edge of the piece at hand and is numbered in the order it is made.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from overbend.draw.board_text import SMALL, fitted, line, patch, rectangle
from overbend.draw.drawing import Area, Disc, Drawing, Item, Label, Layer, Pen, Stroke
from overbend.draw.legible import crossed_labels
from overbend.draw.placing import Group, placed
from overbend.stock import Nested, Sheet
from overbend.units import Display, format_length

__all__ = [
    "SHEET_SCALES",
    "PanelCut",
    "Parted",
    "alike_sheets",
    "panel_drawing",
    "parted",
    "sheet_scale",
]

SHEET_SCALES = (1 / 5, 1 / 6, 1 / 8, 1 / 10, 1 / 12, 1 / 15, 1 / 20, 1 / 25, 1 / 30)
"""Scales of sheets."""

_NONE = 1e-3  # mm: less is no gap
_OFF = 0.5  # mm from a cut to the ring round its number
_RING = 2.1  # mm, its radius
_AWAY = 1.6  # mm off the sheet
_SHARES = (0.0, 0.08, 0.2, 0.35, 0.5, 0.65, 0.8, 1.0)  # of a cut, where its number may stand

Box = tuple[float, float, float, float]
Way = Literal["along", "across"]


@dataclass(frozen=True)
class PanelCut:
    """One cut from edge to edge of a piece.

    Parameters
    ----------
    number : in the order the cuts are made, from 1.
    way : "across" the sheet's length, or "along" it.
    at : where the near side of the cut lies, from the sheet's corner [mm].
    start, end : from where to where it runs [mm].
    setting : width that the cut leaves at the near edge of the piece [mm].
    """

    number: int
    way: Way
    at: float
    start: float
    end: float
    setting: float


def alike_sheets(
    panels: Sequence[Nested],
) -> tuple[tuple[tuple[int, ...], tuple[Nested, ...]], ...]:
    """Sheets cut alike: their numbers, and the panels of one of them.

    Examples
    --------
    >>> two = [Nested("layer", n, 10.0, 10.0, 900.0, 300.0, False) for n in (1, 2)]
    >>> [numbers for numbers, _ in alike_sheets(two)]
    [(1, 2)]
    """
    groups: dict[object, list[int]] = {}
    on = {n: tuple(p for p in panels if p.sheet == n) for n in sorted({p.sheet for p in panels})}
    for number, here in on.items():
        key = tuple(sorted(_place(panel) for panel in here))
        groups.setdefault(key, []).append(number)
    return tuple((tuple(numbers), on[numbers[0]]) for numbers in groups.values())


def _place(panel: Nested) -> tuple[str, float, float, float]:
    return (panel.panel, round(panel.x, 4), round(panel.y, 4), round(panel.length, 4))


@dataclass(frozen=True)
class Parted:
    """How a sheet is cut apart once its edges are trimmed.

    Parameters
    ----------
    cuts : in the order they are made.
    waste : what is left over: left, low, right and high edge of each piece [mm].
    """

    cuts: tuple[PanelCut, ...]
    waste: tuple[Box, ...]


def parted(panels: Sequence[Nested], sheet: Sheet, kerf: float) -> Parted:
    """Cuts that part the panels of one sheet, after its edges are trimmed.

    Parameters
    ----------
    panels : on this sheet; cuts from edge to edge have to part them.
    sheet : its size.
    kerf : of the saw [mm].

    Examples
    --------
    >>> one = [Nested("layer", 1, 0.0, 0.0, 900.0, 300.0, False)]
    >>> found = parted(one, Sheet("birch", 2440.0, 1220.0), 3.0)
    >>> [(c.way, c.setting) for c in found.cuts]
    [('along', 300.0), ('across', 900.0)]
    """
    t = sheet.trim
    cuts: list[_Raw] = []
    waste: list[Box] = []
    _part(panels, (t, t, sheet.length - t, sheet.width - t), kerf, cuts, waste)
    return Parted(tuple(PanelCut(n, *cut) for n, cut in enumerate(cuts, start=1)), tuple(waste))


_Raw = tuple[Way, float, float, float, float]


def _part(
    panels: Sequence[Nested], room: Box, kerf: float, cuts: list[_Raw], waste: list[Box]
) -> None:
    """Cut a piece, then both halves."""
    if not panels:
        waste.append(room)
        return
    found = [cut for axis in (1, 0) for cut in _cuts(panels, room, kerf, axis)]
    if not found:
        return
    cut = min(found, key=_worth)
    axis, way = cut.axis, _WAYS[cut.axis]
    cuts.append((way, cut.at, room[1 - axis], room[3 - axis], cut.at - room[axis]))
    halves = ((cut.near, room[axis], cut.at), (cut.far, cut.after, room[axis + 2]))
    for half, low, high in halves:
        if high - low > _NONE:
            x0, y0, x1, y1 = room
            piece = (x0, low, x1, high) if axis else (low, y0, high, y1)
            _part(half, piece, kerf, cuts, waste)


_WAYS: tuple[Way, Way] = ("across", "along")


@dataclass(frozen=True)
class _Cut:
    """A cut square to an axis: where it lies, where the wood goes on, panels on both sides."""

    axis: int
    at: float
    after: float
    near: Sequence[Nested]
    far: Sequence[Nested]


def _worth(cut: _Cut) -> int:
    """Cuts that free every panel on one side come first, then those that part panels."""
    if not cut.far and all(cut.at - _ends(panel, cut.axis)[1] < _NONE for panel in cut.near):
        return 0
    return 1 if cut.near and cut.far else 2


def _ends(panel: Nested, axis: int) -> tuple[float, float]:
    """Where a panel begins and ends along an axis."""
    start, size = ((panel.x, panel.length), (panel.y, panel.width))[axis]
    return start, start + size


def _cuts(panels: Sequence[Nested], room: Box, kerf: float, axis: int) -> Iterator[_Cut]:
    """Cuts square to an axis: before the panels, between them, behind them."""
    ordered = sorted(panels, key=lambda p: _ends(p, axis))
    start, end = _ends(ordered[0], axis)
    if start - room[axis] > _NONE:
        yield _Cut(axis, max(start - kerf, room[axis]), start, (), ordered)
    for n, panel in enumerate(ordered):
        start = _ends(panel, axis)[0]
        if n and start - end > kerf - _NONE:
            at = start - kerf if start - end > kerf + _NONE else end
            yield _Cut(axis, at, at + kerf, ordered[:n], ordered[n:])
        end = max(end, _ends(panel, axis)[1])
    if room[axis + 2] - end > _NONE:
        yield _Cut(axis, end, end + kerf, ordered, ())


# -- drawing -------------------------------------------------------------------------------
def sheet_scale(sheet: Sheet, width: float) -> float:
    """Largest of the scales at which a sheet fits a width [mm on paper]."""
    most = width / sheet.length
    return next((s for s in SHEET_SCALES if s <= most), most)


def panel_drawing(
    panels: Sequence[Nested],
    sheet: Sheet,
    kerf: float,
    display: Display,
    letters: Mapping[str, str],
    width: float = 165.0,
) -> Drawing:
    """Draw a sheet with its panels and the cuts that part them.

    Parameters
    ----------
    panels : on this sheet.
    sheet : its size.
    kerf : of the saw [mm].
    display : how lengths are shown.
    letters : of the panels, for those too small to write their names in.
    width : of the page [mm on paper].
    """
    scale = sheet_scale(sheet, width)
    found = parted(panels, sheet, kerf)
    items: list[Item] = [
        *_waste(sheet, found, scale),
        *(item for panel in panels for item in _panel(panel, letters, display, scale)),
        Stroke(
            rectangle(0.0, 0.0, sheet.length * scale, sheet.width * scale), Layer.PART,
            Pen.OUTLINE, "sheet",
        ),
        *(_cut(cut, kerf, scale) for cut in found.cuts),
    ]  # fmt: skip
    drawing = Drawing(tuple(items), f"{sheet.name}, {len(panels)} panels")
    wishes = [_numbers(cut, sheet, kerf, scale) for cut in found.cuts]
    return _legible(placed(drawing, wishes, 1.0))


def _legible(drawing: Drawing) -> Drawing:
    """Leave out numbers of cuts that found no room; the list of cuts has them all."""
    crossed = {label.name for label in crossed_labels(drawing, 1.0) if label.name}
    return replace(drawing, items=tuple(i for i in drawing.items if i.name not in crossed))


def _scaled(box: Box, scale: float) -> Box:
    return (box[0] * scale, box[1] * scale, box[2] * scale, box[3] * scale)


def _waste(sheet: Sheet, found: Parted, scale: float) -> Iterator[Item]:
    """Trimmed edges and what is left over."""
    t, x, y = sheet.trim, sheet.length, sheet.width
    edges = ((0.0, 0.0, x, t), (0.0, y - t, x, y), (0.0, t, t, y - t), (x - t, t, x, y - t))
    for box in (*edges, *found.waste):
        yield from patch(_scaled(box, scale), "hatch", spacing=2.4, name="waste")


def _panel(
    panel: Nested, letters: Mapping[str, str], display: Display, scale: float
) -> Iterator[Item]:
    """A panel with its name and size, or its letter where there is no room."""
    box = _scaled((panel.x, panel.y, panel.x + panel.length, panel.y + panel.width), scale)
    path = rectangle(*box)
    yield Area((path,), Layer.FIGURE, "tint", name=panel.panel)
    sides = sorted((panel.length, panel.width), reverse=True)
    size = " x ".join(format_length(side, display, unit=False) for side in sides)
    letter = letters[panel.panel]
    texts = [f"{letter} · {panel.panel}\n{size}", f"{letter} · {size}", letter]
    label = fitted(box, texts, turned=True)
    if label is not None:
        yield label


def _cut(cut: PanelCut, kerf: float, scale: float) -> Item:
    at, a, b = (cut.at + 0.5 * kerf) * scale, cut.start * scale, cut.end * scale
    points = [(a, at), (b, at)] if cut.way == "along" else [(at, a), (at, b)]
    return line(points, Pen.OUTLINE, Layer.BODY)


def _numbers(cut: PanelCut, sheet: Sheet, kerf: float, scale: float) -> list[Group]:
    """Places for the ringed number of a cut: beside it, then off the sheet on a leader."""
    at, a, b = (cut.at + 0.5 * kerf) * scale, cut.start * scale, cut.end * scale
    off = _RING + _OFF
    groups: list[Group] = []
    for share in _SHARES:
        u = a + off + share * max(b - a - 2 * off, 0.0)
        groups += [_ringed(cut, u, v) for v in (at - off, at + off)]
    away = [(a, -_AWAY)]
    if cut.way == "across":
        away.append((b, scale * sheet.width + _AWAY))
    for u0, u1 in away:
        out = _RING if u1 > 0 else -_RING
        ends = [(u0, at), (u1, at)]
        way = ends if cut.way == "along" else [(v, u) for u, v in ends]
        led = replace(line(way, Pen.THIN, Layer.MARK), name=f"cut {cut.number}")
        groups.append((*_ringed(cut, u1 + out, at), led))
    return groups


def _ringed(cut: PanelCut, u: float, v: float) -> Group:
    """A cut's number in a ring, `u` along its way and `v` square to it."""
    x, y = (u, v) if cut.way == "along" else (v, u)
    label = Label(x, y, str(cut.number), SMALL, "centre", "middle", layer=Layer.MARK)
    name = f"cut {cut.number}"
    return (replace(label, name=name), Disc(x, y, _RING, Layer.MARK, Pen.THIN, name=name))
