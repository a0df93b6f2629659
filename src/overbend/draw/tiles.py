"""Full-size templates as a PDF of tiled pages, with a page map in front.

Every page carries a 100 mm bar across and one up, the frame of its window, the register
marks it shares with its neighbours, and what to do with it, in words.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np

from overbend.curve import ArcPath
from overbend.draw.drawing import Area, Drawing, Item, Label, Layer, Mark, Pen, Stroke
from overbend.draw.svg import to_svg
from overbend.draw.theme import PRINT_FACE
from overbend.draw.tile_plan import (
    BOTTOM_STRIP,
    LEFT_STRIP,
    MARGIN,
    MARK_SIZE,
    OVERLAP,
    PaperName,
    Tile,
    TilePlan,
    drawn_points,
    tile_plan,
)
from overbend.draw.title import on_one_page, untitled
from overbend.draw.words import ENGLISH, say

__all__ = ["page_furniture", "tile_drawing", "tiles_pdf"]

Words = Mapping[str, str]

_WIDE = 0.35  # mm: thin enough to cut to, thick enough to see
_BAR = 100.0
_BAR_DEEP = 2.0
_MAP_WIDE = 0.35


def millimetres(length: float) -> str:
    """Length to a tenth of a millimetre.

    Examples
    --------
    >>> millimetres(1164.52)
    '1164.5 mm'
    """
    return f"{length:.1f} mm"


def tiles_pdf(
    drawing: Drawing,
    paper: PaperName = "a4",
    *,
    title: str = "",
    about: str = "",
    notes: Sequence[str] = (),
    stamp: str = "",
    warning: str = "",
    plan: TilePlan | None = None,
    words: Words = ENGLISH,
    length_text: Callable[[float], str] = millimetres,
) -> bytes:
    """Tiled full-size PDF of one drawing, page map first.

    Parameters
    ----------
    drawing : printed at full size, whole.
    paper : "a4", "a3", "letter" or "tabloid".
    title : printed on every page; the drawing's own title when "".
    about : what it is, one sentence for the page map.
    notes : further lines for the page map.
    stamp : of which piece, file and day it is, at the foot of every page.
    warning : in capitals beside the title at the foot of every page, "" for none.
    plan : pages chosen before; None chooses them.
    words : the language's texts.
    length_text : how to write a length given in mm.

    Returns
    -------
    bytes
        The PDF.

    Raises
    ------
    OutputError
        When the drawing is empty or would take more than 150 pages.

    Examples
    --------
    >>> from overbend.draw.drawing import Disc
    >>> tiles_pdf(Drawing((Disc(0, 0, 30),), "a ring"))[:5]
    b'%PDF-'
    """
    import typst

    plan = plan or tile_plan(untitled(drawing), paper)
    drawing = on_one_page(drawing, [tile.window for tile in plan.tiles])
    total = len(plan.tiles) + 1
    front = _map_page(drawing, plan, total, words, length_text)
    rest = [_tile_page(drawing, plan, k, total, words) for k in range(len(plan.tiles))]
    data = {
        "title": title or drawing.title,
        "about": about or drawing.about,
        "notes": list(notes),
        "stamp": stamp,
        "warning": warning,
        "width": plan.sheet.width,
        "height": plan.sheet.height,
        "face": PRINT_FACE,
        "words": dict(words),
        "pages": [front, *rest],
    }
    source = files("overbend.draw").joinpath("tiles.typ").read_bytes()
    inputs = {"data": json.dumps(data)}
    return bytes(typst.compile(source, sys_inputs=inputs, ignore_system_fonts=True))


def tile_drawing(drawing: Drawing, tile: Tile) -> Drawing:
    """Return the items of a drawing that reach into a page's window."""
    x0, y0, x1, y1 = tile.window
    kept = tuple(
        item
        for item, (a0, b0, a1, b1) in zip(drawing.items, drawing.drawn_boxes(), strict=True)
        if a0 <= x1 and a1 >= x0 and b0 <= y1 and b1 >= y0
    )
    return Drawing(kept, drawing.title)


def page_furniture(plan: TilePlan, tile: Tile | None) -> Drawing:
    """Frame, check bars, register marks and cut lines of a page, in millimetres on it.

    Parameters
    ----------
    plan : all pages.
    tile : which page; None for the page map, which has only the check bars.

    Returns
    -------
    Drawing
        Origin at the page's lower left corner, y up.

    Examples
    --------
    >>> from overbend.draw.drawing import Disc
    >>> plan = tile_plan(Drawing((Disc(0, 0, 120),)))
    >>> len([i for i in page_furniture(plan, plan.tiles[0]).items if isinstance(i, Mark)])
    2
    """
    bars = _bars()
    if tile is None:
        return Drawing(bars)
    x0, y0, x1, y1 = plan.sheet.window
    corners = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    frame = Stroke(ArcPath.polyline(corners, closed=True), Layer.SHEET, Pen.THIN)
    return Drawing((frame, *bars, *_cut_lines(plan, tile), *_marks(plan, tile)))


@cache
def _bars() -> tuple[Item, ...]:
    """Check bars across and up, at the same place on every page."""
    across = _bar(MARGIN + LEFT_STRIP, MARGIN + 0.5, 0.0)
    return *across, *_bar(MARGIN + 3.0, MARGIN + BOTTOM_STRIP, 0.5 * math.pi)


def _bar(x: float, y: float, turn: float) -> list[Item]:
    """100 mm bar from a point, two staggered rows of 10 mm blocks, with its length beside it."""
    half = 0.5 * _BAR_DEEP
    blocks = []
    for k in range(10):
        low = 0.0 if k % 2 == 0 else half
        u = 10.0 * k
        box = np.array([[u, low], [u + 10.0, low], [u + 10.0, low + half], [u, low + half]])
        blocks.append(ArcPath.polyline(box, closed=True))
    edge = ArcPath.polyline(np.array([[0.0, half], [_BAR, half]]))
    items: list[Item] = [
        Area(tuple(blocks), Layer.MARK, "solid"),
        Stroke(edge, Layer.MARK, Pen.THIN),
    ]
    return [item.moved(x, y, turn) for item in items]


def _marks(plan: TilePlan, tile: Tile) -> list[Item]:
    """Register marks and their numbers, in the quarter beyond the cut line."""
    items: list[Item] = []
    for mark in plan.marks_on(tile):
        x, y = plan.on_page(tile, mark.x, mark.y)
        items.append(Mark(x, y, "register", MARK_SIZE))
        items.append(Label(x + 2.6, y + 2.6, str(mark.number), 2.0))
    return items


def _cut_lines(plan: TilePlan, tile: Tile) -> list[Item]:
    """Broken lines along the edges that lie over another page."""
    x0, y0, x1, y1 = plan.sheet.window
    half = 0.5 * OVERLAP
    lines = []
    if plan.neighbour(tile, 0, -1):
        lines.append([[x0 + half, y0], [x0 + half, y1]])
    if plan.neighbour(tile, -1, 0):
        lines.append([[x0, y1 - half], [x1, y1 - half]])
    return [Stroke(ArcPath.polyline(np.array(p)), Layer.SHEET, Pen.HIDDEN) for p in lines]


def _tile_page(
    drawing: Drawing, plan: TilePlan, index: int, total: int, words: Words
) -> dict[str, Any]:
    """One page as data for the typesetter."""
    tile = plan.tiles[index]
    x0, _, x1, y1 = plan.sheet.window
    y0 = plan.sheet.window[1]
    part = tile_drawing(drawing, tile)
    alt = say(words, "page_alt", page=tile.name)
    shown = {
        "svg": to_svg(part, window=tile.window, theme="print", wide=_WIDE),
        "x": x0,
        "y": plan.sheet.height - y1,
        "width": x1 - x0,
        "height": y1 - y0,
        "alt": alt,
    }
    return {
        "name": tile.name,
        "page": say(words, "page_of", page=index + 2, pages=total),
        "joins": _joins(plan, tile, words),
        "pictures": [shown, _furniture_picture(plan, tile, alt)],
        "notes": None,
        "footer": _footer(plan),
    }


def _furniture_picture(plan: TilePlan, tile: Tile | None, alt: str) -> dict[str, Any]:
    """Page-sized picture of frame, bars and marks."""
    w, h = plan.sheet.width, plan.sheet.height
    svg = to_svg(page_furniture(plan, tile), window=(0.0, 0.0, w, h), theme="print", wide=_WIDE)
    return {"svg": svg, "x": 0.0, "y": 0.0, "width": w, "height": h, "alt": alt}


def _footer(plan: TilePlan) -> dict[str, float]:
    """Where the texts under the window go."""
    x0, y0, x1, _ = plan.sheet.window
    return {"x": x0, "y": plan.sheet.height - y0 + 1.5, "width": x1 - x0}


def _joins(plan: TilePlan, tile: Tile, words: Words) -> str:
    """What to do with each edge of a page, in words."""
    lines = [say(words, "bridge")] if tile.bridge else []
    sides = {"left": (0, -1), "top": (-1, 0), "right": (0, 1), "bottom": (1, 0)}
    for side, step in sides.items():
        other = plan.neighbour(tile, *step)
        if other is None:
            continue
        shared = [m.number for m in plan.marks_on(tile) if other.name in m.tiles]
        marks = say(words, "and", first=shared[0], last=shared[-1])
        lines.append(say(words, side, page=other.name, marks=marks))
    return " ".join(lines) or say(words, "alone")


def _map_page(
    drawing: Drawing,
    plan: TilePlan,
    total: int,
    words: Words,
    length_text: Callable[[float], str],
) -> dict[str, Any]:
    """First page: which pages there are and how to join them."""
    x0, y0, x1, y1 = plan.sheet.window
    wide, high = x1 - x0, y1 - y0
    beside = plan.sheet.landscape
    field = (0.56 * wide, high) if beside else (wide, 0.5 * high)
    top = plan.sheet.height - y1
    svg = _overview(drawing, plan, field)
    alt = say(words, "map_alt")
    shown = {
        "svg": svg, "x": x0, "y": top, "width": field[0], "height": field[1], "alt": alt,
    }  # fmt: skip
    text = {
        "x": x0 + field[0] + 6.0 if beside else x0,
        "y": top if beside else top + field[1] + 5.0,
        "width": wide - field[0] - 6.0 if beside else wide,
        "height": high if beside else high - field[1] - 5.0,
        "sheets": _sheets_text(plan, words),
        "steps": _steps(plan, words, length_text),
    }
    return {
        "name": "",
        "page": f"{say(words, 'page_of', page=1, pages=total)}",
        "joins": say(words, "page_map"),
        "pictures": [shown, _furniture_picture(plan, None, alt)],
        "notes": text,
        "footer": _footer(plan),
    }


def _sheets_text(plan: TilePlan, words: Words) -> str:
    key = "sheets_one" if len(plan.tiles) == 1 else "sheets"
    way = say(words, "landscape" if plan.sheet.landscape else "portrait")
    paper = say(words, plan.sheet.paper)
    return say(words, key, count=len(plan.tiles), paper=paper, way=way)


def _steps(plan: TilePlan, words: Words, length_text: Callable[[float], str]) -> list[str]:
    """How to print, measure, cut and join, with one distance to check at the end."""
    steps = ["step_print", "step_measure", "step_frame"]
    if not plan.marks:
        return [say(words, key) for key in (*steps, "step_single")]
    texts = [say(words, key) for key in (*steps, "step_cut", "step_lay")]
    places = np.array([(m.x, m.y) for m in plan.marks])
    apart = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    i, j = np.unravel_index(int(np.argmax(apart)), apart.shape)
    first, last = plan.marks[i], plan.marks[j]
    check = say(
        words,
        "step_check",
        first=first.number,
        here=first.tiles[0],
        last=last.number,
        there=last.tiles[0],
        length=length_text(float(apart[i, j])),
    )
    return [*texts, check]


def _overview(drawing: Drawing, plan: TilePlan, field: tuple[float, float]) -> str:
    """Small drawing of everything with the pages drawn over it."""
    boxes = np.array([t.window for t in plan.tiles])
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    scale = float(min((np.array(field) - 4.0) / (high - low)))
    plain = [i for i in drawing.without(Layer.TEXT, Layer.DIMENSION).items if _has_shape(i)]
    points = drawn_points(Drawing(tuple(plain), drawing.title)) if plain else np.empty((0, 2))
    pages = [item for tile in plan.tiles for item in _map_tile(plan, tile, points, scale)]
    whole = Drawing((*plain, *pages), drawing.title)
    middle, half = 0.5 * (low + high), 0.5 * np.array(field) / scale
    window = (*(middle - half).tolist(), *(middle + half).tolist())
    return to_svg(whole, scale, window=window, theme="print", wide=_MAP_WIDE)


def _has_shape(item: Item) -> bool:
    return not isinstance(item, Label | Mark)


def _map_tile(plan: TilePlan, tile: Tile, points: np.ndarray, scale: float) -> list[Item]:
    """Outline of a page's share and its name in the emptiest corner."""
    x0, y0, x1, y1 = tile.cell
    half = 0.5 * OVERLAP
    x0 -= 0.0 if plan.neighbour(tile, 0, -1) else half
    x1 += 0.0 if plan.neighbour(tile, 0, 1) else half
    y1 += 0.0 if plan.neighbour(tile, -1, 0) else half
    y0 -= 0.0 if plan.neighbour(tile, 1, 0) else half
    corners = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    outline = Stroke(ArcPath.polyline(corners, closed=True), Layer.SHEET, Pen.THIN)
    size = min(3.5, 0.18 * (y1 - y0) * scale)
    inset = 1.3 * size / scale
    spots = [
        (x, y)
        for y in (0.5 * (y0 + y1), y1 - inset, y0 + inset)
        for x in (0.5 * (x0 + x1), x0 + inset, x1 - inset)
    ]
    x, y = max(spots, key=lambda spot: min(_gap(points, spot), 1.7 * size / scale))
    return [outline, Label(x, y, tile.name, size, "centre", "middle", clear=True)]


def _gap(points: np.ndarray, spot: tuple[float, float]) -> float:
    """Distance from a place to the drawing [mm]."""
    if not len(points):
        return math.inf
    return float(np.hypot(points[:, 0] - spot[0], points[:, 1] - spot[1]).min())
