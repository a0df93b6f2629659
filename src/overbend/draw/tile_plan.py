"""Which sheets of paper a full-size drawing needs, and where they meet.

The plane is cut into equal cells; each page shows one cell and half the overlap beyond it on
every side. Neighbouring pages share the strip round their common cell edge, and register
marks stand on that edge: cut one page along it, lay it over the other, and half marks meet
whole marks. Pages are chosen so that every drawn point is on one, and so that all pages hang
together edge to edge.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from overbend.curve import Floats
from overbend.draw.arcs import Box, circle, samples
from overbend.draw.drawing import Area, Disc, Drawing, Item, Label, Stroke, simple_items
from overbend.errors import OutputError

__all__ = ["PAPERS", "JoinMark", "PaperName", "Sheet", "Tile", "TilePlan", "tile_plan"]

PaperName: TypeAlias = Literal["a4", "a3", "letter", "tabloid"]
Cell: TypeAlias = tuple[int, int]

PAPERS: Mapping[PaperName, tuple[float, float]] = {
    "a4": (210.0, 297.0),
    "a3": (297.0, 420.0),
    "letter": (215.9, 279.4),
    "tabloid": (279.4, 431.8),
}
"""Width and height, upright [mm]: ISO 216 and ANSI/ASME Y14.1."""

MARGIN = 10.0  # mm no printer is asked to reach
OVERLAP = 14.0  # mm two neighbouring pages share
LEFT_STRIP = 8.0  # mm for the upright check bar
BOTTOM_STRIP = 24.5  # mm for the check bar across and the page's texts
MARK_SIZE = 10.0  # mm across a register mark
MOST_PAGES = 150
_SPACING = 2.0  # mm between points that stand for the drawing
_INSET = 1.5  # mm by which such a point must be inside a page: covers the line between two
_PHASES = 12


@dataclass(frozen=True)
class Sheet:
    """One page of paper and the window on it that shows the drawing.

    Parameters
    ----------
    paper : name of the size.
    width, height : of the page as it is printed [mm].
    """

    paper: PaperName
    width: float
    height: float

    @property
    def landscape(self) -> bool:
        """Whether the page lies on its side."""
        return self.width > self.height

    @property
    def window(self) -> Box:
        """Window on the page, from its lower left corner [mm]."""
        low = MARGIN + BOTTOM_STRIP
        return MARGIN + LEFT_STRIP, low, self.width - MARGIN, self.height - MARGIN

    @property
    def step(self) -> tuple[float, float]:
        """Width and height of a cell: the window less the overlap [mm]."""
        x0, y0, x1, y1 = self.window
        return x1 - x0 - OVERLAP, y1 - y0 - OVERLAP


@dataclass(frozen=True)
class Tile:
    """One printed page of a plan.

    Parameters
    ----------
    row, column : its place, from the top left.
    window : the part of the model it shows [mm].
    bridge : whether it only holds others together and shows nothing itself.
    """

    row: int
    column: int
    window: Box
    bridge: bool = False

    @property
    def name(self) -> str:
        """Row letter and column number.

        Examples
        --------
        >>> Tile(1, 2, (0, 0, 1, 1)).name
        'B3'
        """
        return f"{_letters(self.row)}{self.column + 1}"

    @property
    def cell(self) -> Box:
        """Window without the strips shared with neighbours [mm]."""
        x0, y0, x1, y1 = self.window
        half = 0.5 * OVERLAP
        return x0 + half, y0 + half, x1 - half, y1 - half


@dataclass(frozen=True)
class JoinMark:
    """A register mark that two neighbouring pages both carry.

    Parameters
    ----------
    number : printed beside it on both.
    x, y : in the model [mm].
    tiles : names of the page that lies under and the page that is cut and laid over it.
    """

    number: int
    x: float
    y: float
    tiles: tuple[str, str]


@dataclass(frozen=True)
class TilePlan:
    """The pages of a full-size template.

    Parameters
    ----------
    sheet : the page they are all printed on.
    tiles : row by row, left to right.
    marks : register marks, two on each shared edge.
    """

    sheet: Sheet
    tiles: tuple[Tile, ...]
    marks: tuple[JoinMark, ...]

    def marks_on(self, tile: Tile) -> tuple[JoinMark, ...]:
        """Register marks a page carries."""
        return tuple(m for m in self.marks if tile.name in m.tiles)

    def neighbour(self, tile: Tile, rows: int, columns: int) -> Tile | None:
        """Page that many rows down and columns right of another, None where there is none."""
        place = (tile.row + rows, tile.column + columns)
        return next((t for t in self.tiles if (t.row, t.column) == place), None)

    def on_page(self, tile: Tile, x: float, y: float) -> tuple[float, float]:
        """Where a model point is on a page, from the page's lower left corner [mm]."""
        left, low, _, _ = self.sheet.window
        return x - tile.window[0] + left, y - tile.window[1] + low


def tile_plan(drawing: Drawing, paper: PaperName = "a4") -> TilePlan:
    """Choose the fewest pages that show a drawing at full size.

    Upright and lying pages and a grid of origins are tried; pages whose lines their
    neighbours show as well are dropped; pages that would not hang together are bridged.

    Parameters
    ----------
    drawing : everything in it is printed, at full size.
    paper : key of :data:`PAPERS`.

    Returns
    -------
    TilePlan

    Raises
    ------
    OutputError
        When the drawing is empty or would take more than 150 pages.

    Examples
    --------
    >>> plan = tile_plan(Drawing((Disc(0, 0, 120),), "a ring"), "a4")
    >>> [tile.name for tile in plan.tiles]
    ['A1', 'A2']
    """
    sheets = _sheets(paper)
    x0, y0, x1, y1 = drawing.extent()
    _check_size(drawing, max(x1 - x0, y1 - y0) / max(sheets[0].step))
    points = drawn_points(drawing)
    grids = [g for sheet in sheets for g in _candidates(sheet, points)]
    plans = [(_merit(grid, cells, points), grid, cells) for grid, cells in map(_solve, grids)]
    _, grid, cells = min(plans, key=lambda plan: plan[0])
    _check_size(drawing, len(cells))
    tiles = _tiles(grid, cells)
    return TilePlan(grid.sheet, tiles, tuple(_join_marks(tiles, points)))


def drawn_points(drawing: Drawing) -> Floats:
    """Points that stand for everything drawn at full size, (n, 2) [mm].

    Lines have one at least every 2 mm; filled areas also inside, every 20 mm.
    """
    drawing.extent()
    parts = [_item_points(s) for item in drawing.items for s in simple_items(item, 1.0)]
    return np.concatenate(parts)


def _item_points(item: Item) -> Floats:
    match item:
        case Stroke():
            return samples(item.path, _SPACING)
        case Disc():
            return samples(circle(item.x, item.y, item.radius), _SPACING)
        case Area():
            edges = [samples(p, _SPACING) for p in item.paths]
            return np.concatenate([*edges, *map(_inside_points, edges)])
        case Label():
            box = item.box(1.0)
            return np.concatenate([np.linspace(a, b, 20) for a, b in _sides(box)])
    return np.empty((0, 2))


def _sides(corners: Floats) -> Iterator[tuple[Floats, Floats]]:
    return zip(corners, np.roll(corners, -1, axis=0), strict=True)


def _inside_points(edge: Floats) -> Floats:
    """Grid of points inside a closed line."""
    import shapely

    (x0, y0), (x1, y1) = edge.min(axis=0), edge.max(axis=0)
    x, y = np.meshgrid(np.arange(x0, x1, 20.0), np.arange(y0, y1, 20.0))
    inside = shapely.contains_xy(shapely.Polygon(edge), x, y) if len(edge) > 3 else x != x
    return np.column_stack([x[inside], y[inside]])


def _sheets(paper: PaperName) -> list[Sheet]:
    if paper not in PAPERS:
        raise OutputError(
            f"paper {paper!r} is not known", allowed=", ".join(PAPERS), todo="choose one of these"
        )
    w, h = PAPERS[paper]
    return [Sheet(paper, w, h), Sheet(paper, h, w)]


def _check_size(drawing: Drawing, pages: float) -> None:
    """Refuse what would take a ream."""
    if pages > MOST_PAGES:
        x0, y0, x1, y1 = drawing.bounds
        raise OutputError(
            f"full size it measures {x1 - x0:.0f} x {y1 - y0:.0f} mm, at least {pages:.0f} pages",
            where=drawing.title,
            allowed=f"at most {MOST_PAGES} pages",
            todo="print on larger paper, or take the DXF file to a plotter",
        )


@dataclass(frozen=True, eq=False)
class _Axis:
    """Points along one axis cut into cells of a sheet's step.

    Parameters
    ----------
    origin : edge of cell 0 [mm].
    step : of the cells [mm].
    first : the lowest cell with a point in it.
    cells : of each point, counted from `first`, shape (n,).
    beside : the neighbouring cell whose page shows a point as well: -1, 1, or 0 for none.
    """

    origin: float
    step: float
    first: int
    cells: NDArray[np.int64]
    beside: NDArray[np.int64]

    @classmethod
    def cut(cls, along: Floats, origin: float, step: float) -> _Axis:
        """Cut the points' coordinates into cells from an origin."""
        cells = np.floor((along - origin) / step).astype(np.int64)
        low, high = origin + (cells - 1) * step, origin + (cells + 1) * step
        before = along <= low + step + 0.5 * OVERLAP - _INSET
        after = along >= high - 0.5 * OVERLAP + _INSET
        first = int(cells.min())
        return cls(origin, step, first, cells - first, after.astype(np.int64) - before)

    @property
    def codes(self) -> NDArray[np.int64]:
        """Cell and neighbour of each point as one number."""
        return 3 * self.cells + self.beside + 1

    @property
    def count(self) -> int:
        """Cells from the first to the last."""
        return int(self.cells.max()) + 1


@dataclass(frozen=True, eq=False)
class _Grid:
    """A grid of cells of a sheet's step, laid over the points to be shown."""

    sheet: Sheet
    x: _Axis
    y: _Axis

    @property
    def touched(self) -> int:
        """About how many cells have a point in them."""
        cells = self.x.cells[::8] * self.y.count + self.y.cells[::8]
        return int(np.count_nonzero(np.bincount(cells)))

    def kinds(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Points in the same cell shown by the same neighbours: what they are, how many.

        Returns
        -------
        kinds : column, row, neighbouring column and row of each kind, (4, kinds).
        counts : points of each kind, (kinds,).
        """
        rows = 3 * self.y.count
        counts = np.bincount(self.x.codes * rows + self.y.codes)
        found = np.flatnonzero(counts)
        (column, across), (row, up) = (np.divmod(code, 3) for code in np.divmod(found, rows))
        kinds = np.stack([column + self.x.first, row + self.y.first, across - 1, up - 1])
        return kinds, counts[found]

    def window(self, cell: Cell) -> Box:
        """Cell and half the overlap round it."""
        w, h = self.sheet.step
        x, y = self.x.origin + cell[0] * w, self.y.origin + cell[1] * h
        half = 0.5 * OVERLAP
        return float(x - half), float(y - half), float(x + w + half), float(y + h + half)


def _candidates(sheet: Sheet, points: Floats) -> list[_Grid]:
    """Grids worth a closer look: the few that touch the fewest cells, and snug ones."""
    origins = [_origins(points[:, k], sheet.step[k]) for k in (0, 1)]
    columns, rows = (
        [_Axis.cut(points[:, k], origin, sheet.step[k]) for origin in origins[k]] for k in (0, 1)
    )
    grids = [_Grid(sheet, x, y) for x in columns for y in rows]
    counts = [grid.touched for grid in grids]
    best = sorted(range(len(grids)), key=counts.__getitem__)[:16]
    snug = [origin[-3:] for origin in origins]
    snug_ones = [g for g in grids if g.x.origin in snug[0] and g.y.origin in snug[1]]
    return [*(grids[k] for k in best), *snug_ones]


def _origins(along: Floats, step: float) -> list[float]:
    """Even phases, then three snug ones: flush left, flush right, and in the middle."""
    low, high = float(along.min()), float(along.max())
    snug = 0.5 * OVERLAP - _INSET
    count = max(1, math.ceil((high - low - 2.0 * snug) / step))
    phases = [low - k / _PHASES * step for k in range(_PHASES)]
    return [*phases, low + snug, high - snug, 0.5 * (low + high - count * step)]


def _solve(grid: _Grid) -> tuple[_Grid, dict[Cell, bool]]:
    """Cells to print, and whether each is only a bridge."""
    (column, row, across, up), counts = grid.kinds()
    touched = sorted(set(zip(column.tolist(), row.tolist(), strict=True)))
    wide, high = np.array(touched).T
    from_column, from_row = wide - column[:, None], high - row[:, None]
    shown = ((from_column == 0) | (from_column == across[:, None])) & (
        (from_row == 0) | (from_row == up[:, None])
    )
    covers = shown.sum(axis=1)
    kept = dict.fromkeys(touched, False)
    alone = [int(counts[(covers == 1) & shown[:, k]].sum()) for k in range(len(touched))]
    for k in sorted(range(len(touched)), key=alone.__getitem__):
        if len(kept) > 1 and bool((covers[shown[:, k]] > 1).all()):
            covers = covers - shown[:, k]
            del kept[touched[k]]
    return grid, _bridged(kept)


def _bridged(cells: dict[Cell, bool]) -> dict[Cell, bool]:
    """Add cells until all hang together edge to edge."""
    out = dict(cells)
    while True:
        group = _group(next(iter(out)), out)
        rest = [c for c in out if c not in group]
        if not rest:
            return out
        pairs = [(abs(a[0] - b[0]) + abs(a[1] - b[1]), a, b) for a in group for b in rest]
        _, a, b = min(pairs)
        for cell in _steps(a, b):
            out.setdefault(cell, True)


def _group(first: Cell, cells: Iterable[Cell]) -> set[Cell]:
    """Cells that hang together with the first."""
    left, group, edge = set(cells) - {first}, {first}, [first]
    while edge:
        x, y = edge.pop()
        near = left & {(x + 1, y), (x - 1, y), (x, y + 1), (x, y - 1)}
        left -= near
        group |= near
        edge += near
    return group


def _steps(a: Cell, b: Cell) -> Iterator[Cell]:
    """Cells from a to b, along then up."""
    x, y = a
    while x != b[0]:
        x += 1 if b[0] > x else -1
        yield x, y
    while y != b[1]:
        y += 1 if b[1] > y else -1
        yield x, y


def _merit(
    grid: _Grid, cells: Mapping[Cell, bool], points: Floats
) -> tuple[int, int, int, bool, float]:
    """Fewest pages first, then a small table, upright pages, and even room round the drawing."""
    columns, rows = zip(*cells, strict=True)
    x0, y0, _, _ = grid.window((min(columns), min(rows)))
    _, _, x1, y1 = grid.window((max(columns), max(rows)))
    middle = 0.5 * (points.min(axis=0) + points.max(axis=0))
    skew = float(np.abs(0.5 * np.array([x0 + x1, y0 + y1]) - middle).sum())
    spread = max(columns) - min(columns) + max(rows) - min(rows)
    return len(cells), sum(cells.values()), spread, grid.sheet.landscape, round(skew, 3)


def _tiles(grid: _Grid, cells: Mapping[Cell, bool]) -> tuple[Tile, ...]:
    """Pages named from the top left."""
    left, top = min(c for c, _ in cells), max(r for _, r in cells)
    tiles = [Tile(top - r, c - left, grid.window((c, r)), b) for (c, r), b in cells.items()]
    return tuple(sorted(tiles, key=lambda t: (t.row, t.column)))


def _join_marks(tiles: Sequence[Tile], points: Floats) -> Iterator[JoinMark]:
    """Two numbered marks on every edge two pages share."""
    at = {(t.row, t.column): t for t in tiles}
    number = 0
    for tile in tiles:
        for rows, columns in ((0, 1), (1, 0)):
            other = at.get((tile.row + rows, tile.column + columns))
            if other is None:
                continue
            for x, y in _edge_marks(tile, down=rows == 1, points=points):
                number += 1
                yield JoinMark(number, x, y, (tile.name, other.name))


def _edge_marks(tile: Tile, down: bool, points: Floats) -> list[tuple[float, float]]:
    """Two places on a page's lower or right edge, far apart and clear of the drawing."""
    x0, y0, x1, y1 = tile.cell
    low, high = (x0, x1) if down else (y0, y1)
    keep = OVERLAP  # clear of the marks on the edges that cross this one
    along = np.arange(low + keep, high - keep + 1e-9, 3.0)
    fixed = np.full_like(along, y0 if down else x1)
    places = np.column_stack([along, fixed] if down else [fixed, along])
    near = points[np.abs(points[:, 1 if down else 0] - fixed[0]) < 2.0 * MARK_SIZE]
    gap = np.full(len(along), math.inf)
    if len(near):
        gap = np.hypot(*(places[:, None] - near[None]).transpose(2, 0, 1)).min(axis=1)
    clear = np.flatnonzero(gap > 0.5 * MARK_SIZE + 2.0)
    if clear.size < 2 or along[clear[-1]] - along[clear[0]] < 0.4 * (high - low):
        clear = np.array([0, len(along) - 1])
    return [(float(x), float(y)) for x, y in places[[clear[0], clear[-1]]]]


def _letters(row: int) -> str:
    """A to Z, then AA, AB and on."""
    text = ""
    row += 1
    while row:
        row, digit = divmod(row - 1, 26)
        text = chr(ord("A") + digit) + text
    return text
