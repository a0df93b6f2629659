"""The face of a board with its crosscuts, to scale, on paper millimetres.

The marked end is on the left, the marked edge on top. Marks are measured from the marked end,
each on its own, so that errors do not add up.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from overbend.draw.board_labels import Lettered, NamedLength, listed, numbers_text
from overbend.draw.board_text import SMALL, TEXT, fitted, line, patch, rectangle, sold_size
from overbend.draw.chains import running
from overbend.draw.dimensions import DimensionStyle
from overbend.draw.drawing import Area, Drawing, Item, Label, Layer, Pen, Stroke
from overbend.draw.lettering import text_width
from overbend.stock import Shop, Stock
from overbend.units import Display, format_length

__all__ = ["FACE_SCALES", "crosscut_marks", "face_drawing", "face_scale", "face_title"]

FACE_SCALES = (1 / 2, 1 / 3, 1 / 4, 1 / 5, 1 / 6, 1 / 8, 1 / 10, 1 / 12, 1 / 15, 1 / 20, 1 / 25,
               1 / 30, 1 / 40, 1 / 50)  # fmt: skip
"""Scales of boards."""

_LEAST_CUT = 0.3  # mm: a saw cut is drawn at least this wide
_HEAD = 3.5  # mm, letters of the boards
_STYLE = DimensionStyle(text=TEXT, arrow=1.4)
_NONE = 1e-3  # mm on the board: less is no gap

Span = tuple[float, float]


def face_scale(boards: Iterable[Lettered], width: float) -> float:
    """Largest of the scales at which the longest board fits a width [mm on paper].

    Parameters
    ----------
    boards : all that are drawn.
    width : of the page.
    """
    longest = max(board.stock.length for board in boards)
    least = width / longest
    return next((s for s in FACE_SCALES if s <= least), least)


def face_title(alike: Sequence[Lettered]) -> str:
    """What boards cut alike are called.

    Examples
    --------
    >>> from overbend.stock import BoardPlan
    >>> ash = Stock("ash 27", "ash", 2000.0, 150.0, 27.0)
    >>> face_title([Lettered("AB"[n], BoardPlan("ash 27", n + 1, (), ()), ash) for n in (0, 1)])
    '2 boards alike: ash 27, no. 1 and 2'
    """
    stock = alike[0].stock
    numbers = "no. " + numbers_text(b.board.number for b in alike)
    if len(alike) > 1:
        return f"{len(alike)} boards alike: {stock.name}, {numbers}"
    return stock.name if stock.count == 1 else f"{stock.name}, {numbers}"


def face_drawing(alike: Sequence[Lettered], shop: Shop, display: Display, scale: float) -> Drawing:
    """Draw boards that are cut alike, once.

    Parameters
    ----------
    alike : boards with the same cuts.
    shop : the saw.
    display : how lengths are shown.
    scale : paper millimetres per millimetre of the board.
    """
    first = alike[0]
    view = _View(first.stock, scale)
    named = list(_lengths(alike, display, view))
    over = any(isinstance(i, Label) and i.y > 0.0 for i in named)
    items: list[Item] = [
        *_waste(first, shop, view),
        *_cuts(first, shop, view),
        Stroke(rectangle(*view.box((0.0, first.stock.length))), Layer.PART, Pen.OUTLINE, "board"),
        *named,
        *_off_cuts(alike, view),
        *_heading(alike, 3.0 + 2.0 * TEXT * over, display, view),
        *_marks(first, shop, display, view),
    ]
    return Drawing(tuple(items), f"{listed([b.letter for b in alike])}: {face_title(alike)}")


class _View:
    """Where places of a board stand on paper: x to the right, its width downwards from 0."""

    def __init__(self, stock: Stock, scale: float) -> None:
        self.scale, self.width = scale, stock.width
        self.right, self.bottom = stock.length * scale, -stock.width * scale

    def box(self, along: Span, across: Span | None = None) -> tuple[float, float, float, float]:
        """Left, bottom, right and top of a stretch of the board."""
        y0, y1 = across or (0.0, self.width)
        return (along[0] * self.scale, -y1 * self.scale, along[1] * self.scale, -y0 * self.scale)


# -- what is cut ---------------------------------------------------------------------------
def _spans(board: Lettered) -> list[Span]:
    """Lengths and off-cuts as wide as the board, in order."""
    lengths = [(n.x, n.x + n.length) for n in board.board.lengths]
    ends = [(k.offcut.x, k.offcut.x + k.offcut.length) for k in board.ends]
    return sorted([*lengths, *ends])


def crosscut_marks(board: Lettered, shop: Shop) -> tuple[float, ...]:
    """Where to mark the board for its crosscuts, from the marked end [mm].

    Each length's far end is marked, and its near end where it does not begin at the saw cut of
    the one before.

    Parameters
    ----------
    board : the board.
    shop : the saw.

    Examples
    --------
    >>> from overbend.stock import BoardPlan, MachineLimits, SawnLength
    >>> saw = MachineLimits("saw", 300.0, 20.0, 4.0)
    >>> cuts = (SawnLength(25.0, 700.0, ()), SawnLength(728.0, 700.0, ()))
    >>> ash = Stock("ash 27", "ash", 2000.0, 150.0, 27.0)
    >>> crosscut_marks(Lettered("A", BoardPlan("ash 27", 1, cuts, ()), ash), Shop(saw, saw, saw))
    (25.0, 725.0, 1428.0)
    """
    marks: list[float] = []
    for start, end in _spans(board):
        if start > _NONE and not (marks and abs(start - marks[-1] - shop.kerf) < _NONE):
            marks.append(start)
        if end < board.stock.length - _NONE:
            marks.append(end)
    return tuple(marks)


def _waste(board: Lettered, shop: Shop, view: _View) -> Iterator[Item]:
    """Defects crossed, everything else that is in no length and no off-cut hatched."""
    stock = board.stock
    used = [(a - (shop.kerf if a > _NONE else 0.0), b + shop.kerf) for a, b in _spans(board)]
    for start, end in _between([*used, *stock.defects], stock.length):
        yield from patch(view.box((start, end)), "hatch", name="waste")
    for start, end in stock.defects:
        yield from patch(
            view.box((max(start, 0.0), min(end, stock.length))), "cross", name="defect"
        )


def _between(spans: Iterable[Span], end: float) -> Iterator[Span]:
    """What spans leave free from 0 to an end."""
    at = 0.0
    for start, stop in sorted(spans):
        if start > at + _NONE:
            yield at, min(start, end)
        at = max(at, stop)
    if end > at + _NONE:
        yield at, end


def _cuts(board: Lettered, shop: Shop, view: _View) -> Iterator[Item]:
    """Saw cuts at their width, on the side of the mark where the waste is."""
    wide = max(shop.kerf, _LEAST_CUT / view.scale)
    starts = {start for start, _ in _spans(board)}
    for mark in crosscut_marks(board, shop):
        near = mark in starts
        x0, y0, x1, y1 = view.box((mark - wide, mark) if near else (mark, mark + wide))
        area = rectangle(max(x0, 0.0), y0, min(x1, view.right), y1)
        yield Area((area,), Layer.BODY, "solid", name="saw cut")


# -- names ---------------------------------------------------------------------------------
def _lengths(alike: Sequence[Lettered], display: Display, view: _View) -> Iterator[Item]:
    for place, length in enumerate(alike[0].lengths):
        names = [board.lengths[place].name for board in alike]
        yield from _length(length, names, display, view)


def _length(length: NamedLength, names: list[str], display: Display, view: _View) -> Iterator[Item]:
    """Names of a length and how long it is; above the board where there is no room in it."""
    along = (length.cut.x, length.cut.x + length.cut.length)
    across = (0.0, view.width)
    if length.beside is not None:
        top = length.beside.offcut.y
        across = (0.0, top)
        x0, y, x1, _ = view.box(along, across)
        yield line([(x0, y), (x1, y)], Pen.DOTTED, Layer.BODY)
    size = format_length(length.cut.length, display, unit=False)
    short = names[0] if len(names) == 1 else f"{names[0]} to {names[-1]}"
    rows = [f"{who}{gap}{size}" for who in (", ".join(names), short) for gap in ("\n", " · ")]
    box = view.box(along, across)
    label = fitted(box, rows, [TEXT]) or fitted(box, rows, [SMALL])
    label = label or fitted(box, [", ".join(names), short])
    yield label or Label(0.5 * (box[0] + box[2]), 1.5, short, TEXT, "centre", "base")


def _off_cuts(alike: Sequence[Lettered], view: _View) -> Iterator[Item]:
    """Names of off-cuts, where there is room."""
    for place, one in enumerate(alike[0].kept):
        names = [board.kept[place].name for board in alike]
        cut = one.offcut
        box = view.box((cut.x, cut.x + cut.length), (cut.y, min(cut.y + cut.width, view.width)))
        texts = [", ".join(names), *(["off-cuts"] if len(names) > 1 else []), "keep"]
        label = fitted(box, texts)
        if label is not None:
            yield label


# -- round about ---------------------------------------------------------------------------
def _heading(
    alike: Sequence[Lettered], high: float, display: Display, view: _View
) -> Iterator[Item]:
    """Letters, title and the direction of the grain over the board, and its marked end."""
    letters = [b.letter for b in alike]
    name = ", ".join(letters) if len(letters) < 9 else f"{letters[0]} to {letters[-1]}"
    yield Label(0.0, high, name, _HEAD, name="letters")
    after = text_width(name, _HEAD) + 3.0
    words = f"{face_title(alike)}, {sold_size(alike[0].stock, display)}"
    yield Label(after, high, words, TEXT, name="title")
    yield from _grain(max(after + text_width(words, TEXT) + 6.0, view.right - 24.0), high)
    mark = rectangle(-2.4, view.bottom, -1.2, 0.0)
    yield Area((mark,), Layer.MARK, "solid", name="marked end")


def _grain(x: float, y: float) -> list[Item]:
    """An arrow with two points along the grain."""
    at = y + 0.5 * TEXT
    end = x + 10.0
    items: list[Item] = [line([(x, at), (end, at)], Pen.THIN, Layer.MARK)]
    items += [line([(p + d, at + 0.9), (p, at), (p + d, at - 0.9)], Pen.THIN, Layer.MARK)
              for p, d in ((x, 1.8), (end, -1.8))]  # fmt: skip
    return [*items, Label(end + 1.5, y, "grain", TEXT)]


def _marks(board: Lettered, shop: Shop, display: Display, view: _View) -> list[Item]:
    """Running dimensions of the crosscuts under the board."""
    marks = [m for m in crosscut_marks(board, shop) if m > _NONE]
    if not marks:
        return []
    points = [(m * view.scale, view.bottom) for m in (0.0, *marks)]
    texts = ["0", *(format_length(m, display, unit=False) for m in marks)]
    return running(points, texts, scale=1.0, offset=-4.0, style=_STYLE)
