"""The end of a sawn length, larger: how it is ripped into bars, how the bars are split.

Seen from the marked end with the face up and the marked edge on the left, on paper millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from overbend.draw.board_labels import Ends, listed, span_text
from overbend.draw.board_text import TEXT, fitted, line, patch, rectangle, setting
from overbend.draw.chains import spread
from overbend.draw.drawing import Area, Drawing, Item, Label, Layer, Level, Pen, Stroke
from overbend.draw.lettering import text_width
from overbend.stock import Piece, Shop
from overbend.units import Display, format_length

__all__ = ["END_SCALES", "Bar", "Cell", "Run", "bars_of", "end_drawing", "end_scale", "runs_of"]

END_SCALES = (1 / 5, 1 / 4, 1 / 3, 1 / 2.5, 1 / 2, 1 / 1.5, 1.0)
"""Scales of ends, small first."""

_CELL = 2.9  # mm on paper: a strip should be drawn this thick, for its number
_LEAST = 42.0  # mm on paper: an end should be this wide
_HIGH = 55.0  # mm on paper: no end is higher
_NONE = 1e-3  # mm in the board

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Cell:
    """What comes out of one place of a section: strips end to end, numbered from first to last.

    Parameters
    ----------
    piece : the first of them.
    first, last : their numbers.
    """

    piece: Piece
    first: int
    last: int


@dataclass(frozen=True)
class Bar:
    """One rip: its cells through the thickness."""

    cells: tuple[Cell, ...]

    @property
    def y(self) -> float:
        """Where it begins [mm]."""
        return self.cells[0].piece.y

    @property
    def across(self) -> float:
        """Its width, to which the fence is set [mm]."""
        return self.cells[0].piece.across

    @property
    def layers(self) -> tuple[float, ...]:
        """Sizes it is split to [mm]."""
        return tuple(cell.piece.through for cell in self.cells)


@dataclass(frozen=True)
class Run:
    """Bars beside each other that are ripped and split alike."""

    bars: tuple[Bar, ...]

    @property
    def cells(self) -> tuple[Cell, ...]:
        """All of their cells."""
        return tuple(cell for bar in self.bars for cell in bar.cells)


def bars_of(ends: Ends) -> tuple[Bar, ...]:
    """Bars of a length, from the marked edge on; strips are numbered as they leave the saw."""
    numbered = list(enumerate(ends.first.cut.pieces, start=1))
    cells = [
        Cell(group[0][1], group[0][0], group[-1][0])
        for _, places in groupby(numbered, key=lambda n: (n[1].y, n[1].z))
        for group in [list(places)]
    ]
    return tuple(Bar(tuple(bar)) for _, bar in groupby(cells, key=lambda c: c.piece.y))


def runs_of(bars: Sequence[Bar]) -> tuple[Run, ...]:
    """Neighbouring bars that are alike, together."""
    return tuple(Run(tuple(run)) for _, run in groupby(bars, key=_alike))


def _alike(bar: Bar) -> tuple[object, ...]:
    return (
        round(bar.across, 4),
        tuple((c.piece.demand, round(c.piece.through, 4), c.last - c.first) for c in bar.cells),
    )


def end_scale(ends: Ends, width: float) -> float:
    """Smallest scale at which the strips' numbers are legible, or the largest that fits.

    Parameters
    ----------
    ends : what is drawn.
    width : of the page [mm on paper].
    """
    thin = min(min(p.across, p.through) for p in ends.first.cut.pieces)
    stock = ends.stock
    most = min(width / stock.width, _HIGH / stock.thickness)
    fit = [s for s in END_SCALES if s <= most] or [most]
    return next((s for s in fit if s * thin >= _CELL and s * stock.width >= _LEAST), fit[-1])


def end_drawing(ends: Ends, shop: Shop, display: Display, width: float = 150.0) -> Drawing:
    """Draw the end of lengths that are ripped and split alike, once.

    Parameters
    ----------
    ends : the lengths.
    shop : the saw.
    display : how lengths are shown.
    width : of the page [mm on paper].
    """
    scale = end_scale(ends, width)
    view = _View(scale)
    bars = bars_of(ends)
    runs = runs_of(bars)
    numbers = _numbers(bars, view)
    raw = view.box(0.0, 0.0, ends.stock.width, ends.stock.thickness)
    items: list[Item] = [
        *_waste(bars, ends, shop, view),
        *(item for bar in bars for cell in bar.cells for item in _cell(cell, view)),
        *_kept(ends, view),
        Stroke(rectangle(*raw), Layer.PART, Pen.OUTLINE, "end of the board"),
        *numbers,
        *([] if numbers else _ranges(runs, view)),
        *_fences(runs, raw[1], display, view),
    ]
    high = 3.0 if numbers else 9.0
    name = _name(ends, display)
    items.append(Label(0.0, high, name, TEXT, name="title"))
    return Drawing(tuple(items), f"End of {listed(ends.names)}")


def _name(ends: Ends, display: Display) -> str:
    """Names of the lengths, as many as are read at a glance, and how long they are."""
    names, size = ends.names, format_length(ends.first.cut.length, display)
    few = listed(names) if len(names) < 5 else f"{', '.join(names[:3])} and {len(names) - 3} more"
    return f"{few}, {size} long"


class _View:
    """Where places of a section stand on paper: its width to the right, its thickness down."""

    def __init__(self, scale: float) -> None:
        self.scale = scale

    def box(self, y0: float, z0: float, y1: float, z1: float) -> Box:
        """Left, bottom, right and top of a part of the section."""
        s = self.scale
        return (y0 * s, -z1 * s, y1 * s, -z0 * s)

    def of(self, piece: Piece) -> Box:
        """Place of a strip."""
        y, z = piece.y, piece.z
        return self.box(y, z, y + piece.across, z + piece.through)


# -- wood ----------------------------------------------------------------------------------
def _cell(cell: Cell, view: _View) -> list[Item]:
    path = rectangle(*view.of(cell.piece))
    name = cell.piece.demand
    return [
        Area((path,), Layer.FIGURE, "tint", name=name),
        Stroke(path, Layer.BODY, Pen.THIN, name),
    ]


def _waste(bars: Sequence[Bar], ends: Ends, shop: Shop, view: _View) -> Iterator[Item]:
    """What is left under the last cut of each bar, and beside the last bar."""
    stock = ends.stock
    trimmed = not stock.surfaced
    face, edge = 0.5 * shop.face_trim * trimmed, 0.5 * shop.edge_trim * trimmed
    for bar in bars:
        last = bar.cells[-1].piece
        z = last.z + last.through + shop.through_kerf
        yield from _hatched(view, (bar.y, z), (bar.y + bar.across, stock.thickness - face))
    y = bars[-1].y + bars[-1].across + shop.kerf
    if ends.first.beside is None:
        yield from _hatched(view, (y, face), (stock.width - edge, stock.thickness - face))


def _hatched(view: _View, low: tuple[float, float], high: tuple[float, float]) -> list[Item]:
    if high[0] - low[0] < _NONE or high[1] - low[1] < _NONE:
        return []
    return patch(view.box(*low, *high), "hatch", name="waste")


def _kept(ends: Ends, view: _View) -> Iterator[Item]:
    """The off-cut along the edge, with its name when it is the only one."""
    if ends.first.beside is None:
        return
    cut = ends.first.beside.offcut
    box = view.box(cut.y, 0.0, min(cut.y + cut.width, ends.stock.width), ends.stock.thickness)
    yield line([(box[0], box[1]), (box[0], box[3])], Pen.DOTTED, Layer.BODY)
    names = [n.beside.name for n in ends.lengths if n.beside is not None]
    texts = [", ".join(names), f"{names[0]} and {len(names) - 1} more", "off-cut", "keep"]
    label = fitted(box, texts if len(names) > 1 else [names[0], "keep"])
    if label is not None:
        yield label


# -- numbers -------------------------------------------------------------------------------
def _numbers(bars: Sequence[Bar], view: _View) -> list[Label]:
    """Number of every strip in its place; none where one of them has no room."""
    labels = []
    for bar in bars:
        for cell in bar.cells:
            long = span_text(cell.first, cell.last)
            short = f"{cell.first}–{cell.last}" if cell.last > cell.first else long
            label = fitted(view.of(cell.piece), [long, short])
            if label is None:
                return []
            labels.append(label)
    return labels


def _ranges(runs: Sequence[Run], view: _View) -> list[Item]:
    """Numbers of each run of bars over it, where there is no room in the strips."""
    texts = [span_text(run.cells[0].first, run.cells[-1].last) for run in runs]
    return _noted([_reach(run, view) for run in runs], texts, 0.0, 1.0)


def _fences(runs: Sequence[Run], bottom: float, display: Display, view: _View) -> list[Item]:
    """Under each run of bars how many there are, their width, and what they are split to."""
    texts = [_fence(run, display) for run in runs]
    return _noted([_reach(run, view) for run in runs], texts, bottom, -1.0)


def _fence(run: Run, display: Display) -> str:
    rip = f"{len(run.bars)} x {setting(run.bars[0].across, display)}"
    layers = run.bars[0].layers
    split = " + ".join(
        f"{len(same)} x {setting(size, display)}"
        for size, group in groupby(layers, key=lambda v: round(v, 4))
        for same in [list(group)]
    )
    return f"{rip}\neach {split}"


def _reach(run: Run, view: _View) -> tuple[float, float]:
    first, last = run.bars[0], run.bars[-1]
    return first.y * view.scale, (last.y + last.across) * view.scale


def _noted(
    spans: Sequence[tuple[float, float]], texts: Sequence[str], edge: float, side: float
) -> list[Item]:
    """A bracket along each span off an edge, and its text beyond, moved apart where they crowd."""
    middles = [0.5 * (a + b) for a, b in spans]
    places = spread(middles, [text_width(t, TEXT) + 3.0 for t in texts]).tolist()
    out, far = edge + side * 1.6, edge + side * 3.6
    items: list[Item] = []
    for (a, b), middle, place, text in zip(spans, middles, places, texts, strict=True):
        items.append(line([(a, edge + side * 0.8), (a, out), (b, out), (b, edge + side * 0.8)]))
        items.append(line([(middle, out), (place, far)]))
        y = far + side * 0.8 + (0.35 * TEXT if side > 0 else 0.0)
        level: Level = "base" if side > 0 else "top"
        items.append(Label(place, y, text, TEXT, "centre", level, layer=Layer.DIMENSION))
    return items
