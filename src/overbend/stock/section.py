"""How strips come out of a plank's section, and out of its length.

A plank is crosscut into lengths first. Each length is ripped across its width into *bars*, as
thick as the plank. A bar is split through its thickness into strips:

- *flat*: the bar is as wide as the strip, the strip's thickness comes from the plank's thickness
  (resawn);
- *edge*: the bar is as wide as the strip is thick when sawn, the strip's width comes from the
  plank's thickness (ripped, the strips stand on edge).

Planing comes on top of a strip's finished size, but for one that takes the whole thickness, or the
whole width, of a plank bought surfaced in exactly that size: it is as the plank is.

A bar may hold strips of two kinds when they ask for the same bar width. Strips much shorter
than the length are cut from the bar end to end, last. All sizes in whole nanometres.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, groupby

from overbend.stock.records import Demand, Shop, Stock, Way, whole

__all__ = [
    "Bar",
    "Board",
    "Layer",
    "Section",
    "boards_of",
    "end_to_end",
    "lengths_of",
    "sides_of",
    "spans_of",
    "usable",
    "ways_of",
]


@dataclass(frozen=True)
class Layer:
    """Equal strips in a bar: which demand, how many through the thickness, and which way."""

    kind: int
    through: int
    way: Way
    times: int


@dataclass(frozen=True)
class Bar:
    """One rip: its width along the plank's width [nm] and what it holds through the thickness."""

    width: int
    layers: tuple[Layer, ...]


@dataclass(frozen=True)
class Section:
    """A plank's section ready to be ripped.

    Parameters
    ----------
    wood : of the plank.
    raw : width and thickness as bought [nm].
    width, through : usable once jointed and surfaced [nm].
    bars : what can be ripped from it.
    lengths : it is crosscut to, ascending [nm].
    surfaced : whether it was bought so.
    """

    wood: str
    raw: tuple[int, int]
    width: int
    through: int
    bars: tuple[Bar, ...] = ()
    lengths: tuple[int, ...] = ()
    surfaced: bool = False


@dataclass(frozen=True)
class Board:
    """A kind of stock as the solver sees it.

    Parameters
    ----------
    stock : its place in the supply.
    section : its place among the sections.
    length : as it lies there [nm].
    spans : usable start and length [nm].
    limit : how many there are; None when there is no limit.
    """

    stock: int
    section: int
    length: int
    spans: tuple[tuple[int, int], ...]
    limit: int | None


def spans_of(stock: Stock, shop: Shop) -> tuple[tuple[int, int], ...]:
    """Usable spans of a board: start and length [nm], ends trimmed, defects left out.

    A defect takes at least the width of the cut that removes it.

    Examples
    --------
    >>> from overbend.stock import MachineLimits
    >>> saw = MachineLimits("saw", 300.0, 20.0, 4.0)
    >>> shop = Shop(saw, saw, saw, end_trim=20.0)
    >>> board = Stock("B1", "ash", 2000.0, 150.0, 50.0, defects=((700.0, 800.0),))
    >>> [(a / 1e6, n / 1e6) for a, n in spans_of(board, shop)]
    [(20.0, 680.0), (800.0, 1180.0)]
    """
    at, end = whole(shop.end_trim), whole(stock.length) - whole(shop.end_trim)
    spans, kerf = [], whole(shop.kerf)
    for start, stop in sorted((whole(a), whole(b)) for a, b in stock.defects):
        stop = max(stop, start + kerf)
        if min(start, end) > at:
            spans.append((at, min(start, end) - at))
        at = max(at, stop)
    if end > at:
        spans.append((at, end - at))
    return tuple(spans)


def usable(stock: Stock, shop: Shop) -> tuple[int, int]:
    """Width and thickness of a plank once jointed and surfaced [nm]; 0 when a machine refuses it.

    Examples
    --------
    >>> from overbend.stock import MachineLimits
    >>> saw = MachineLimits("saw", 300.0, 20.0, 4.0)
    >>> usable(Stock("plank", "ash", 2000.0, 150.0, 41.0), Shop(saw, saw, saw))
    (147000000, 39000000)
    """
    width, thickness = whole(stock.width), whole(stock.thickness)
    if stock.surfaced:
        return width, thickness
    least = shop.surfacing
    if width < whole(least.least_width or 0) or thickness < whole(least.least_thickness or 0):
        return 0, 0
    return width - whole(shop.edge_trim), thickness - whole(shop.face_trim)


def end_to_end(length: int, piece: int, kerf: int) -> int:
    """How many pieces come out of a length, one after the other [nm]."""
    return (length + kerf) // (piece + kerf)


def lengths_of(demands: Sequence[Demand], shop: Shop) -> tuple[int, ...]:
    """Lengths that planks are crosscut to [nm].

    They are the lengths asked for; a piece shorter than the machines take is cut as the least
    number end to end that is long enough.

    Examples
    --------
    >>> from overbend.stock import MachineLimits
    >>> saw = MachineLimits("saw", 300.0, 20.0, 4.0)
    >>> pieces = [Demand("a", "ash", 700.0, 40.0, 5.0, 8), Demand("b", "ash", 120.0, 40.0, 5.0, 8)]
    >>> [n / 1e6 for n in lengths_of(pieces, Shop(saw, saw, saw, kerf=3.0))]
    [366.0, 700.0]
    """
    least, kerf = whole(shop.least_length), whole(shop.kerf)
    found = set()
    for demand in demands:
        piece = whole(demand.length)
        times = max(1, -(-(least + kerf) // (piece + kerf)))
        found.add(times * (piece + kerf) - kerf)
    return tuple(sorted(found))


def boards_of(
    demands: Sequence[Demand], supply: Sequence[Stock], shop: Shop
) -> tuple[tuple[Board, ...], tuple[Section, ...]]:
    """Boards that can give something, and their sections.

    Parameters
    ----------
    demands : what is wanted.
    supply : what there is.
    shop : how it is cut.

    Returns
    -------
    Boards with at least one usable span and one strip in it, and the sections they share.
    """
    sections: dict[tuple[object, ...], int] = {}
    made: list[Section] = []
    boards = []
    for place, stock in enumerate(supply):
        size = whole(stock.width), whole(stock.thickness)
        key = (stock.wood, *size, stock.surfaced, stock.sawn_edge)
        if key not in sections:
            sections[key] = len(made)
            made.append(_section(demands, stock, shop))
        section = made[sections[key]]
        spans = spans_of(stock, shop)
        longest = max((n for _, n in spans), default=0)
        if stock.count != 0 and any(n <= longest for n in section.lengths):
            boards.append(Board(place, sections[key], whole(stock.length), spans, stock.count))
    return tuple(boards), tuple(made)


def _section(demands: Sequence[Demand], stock: Stock, shop: Shop) -> Section:
    width, through = usable(stock, shop)
    bars = tuple(_bars(demands, stock, through, shop))
    kinds = {layer.kind for bar in bars for layer in bar.layers}
    lengths = lengths_of([demands[k] for k in sorted(kinds)], shop)
    raw = (whole(stock.width), whole(stock.thickness))
    return Section(stock.wood, raw, width, through, bars, lengths, stock.surfaced)


def _bars(demands: Sequence[Demand], stock: Stock, through: int, shop: Shop) -> Iterator[Bar]:
    """All bars of a section: those of one kind, and those of two kinds of equal bar width."""
    kerf = whole(shop.through_kerf)
    for across, group in groupby(_ways(demands, stock, shop), key=lambda way: way[0]):
        layers = [
            Layer(kind, up, way, (through + kerf) // (up + kerf)) for _, up, kind, way in group
        ]
        yield from (Bar(across, (layer,)) for layer in layers)
        for one, two in combinations(layers, 2):
            for times in range(1, one.times):
                left = through + kerf - times * (one.through + kerf)
                if more := left // (two.through + kerf):
                    yield Bar(across, (replace(one, times=times), replace(two, times=more)))


def _ways(demands: Sequence[Demand], stock: Stock, shop: Shop) -> list[tuple[int, int, int, Way]]:
    """Size across, size through, kind and name of all ways, sorted.

    Of two ways of a piece in a bar of one width the one that takes less of the thickness counts.
    """
    best: dict[tuple[int, int], tuple[int, Way]] = {}
    for kind, demand in enumerate(demands):
        if demand.wood == stock.wood:
            for across, up, way in ways_of(demand, stock, shop):
                if up <= best.get((across, kind), (math.inf, way))[0]:
                    best[across, kind] = (up, way)
    return sorted((across, up, kind, way) for (across, kind), (up, way) in best.items())


def sides_of(demand: Demand, shop: Shop) -> tuple[tuple[int, int], tuple[int, int]]:
    """Width and thickness of a piece, each finished and before planing [nm]."""
    thick = whole(demand.thickness)
    return (whole(demand.finished), whole(demand.width)), (thick, thick + whole(shop.planing))


def ways_of(demand: Demand, stock: Stock, shop: Shop) -> Iterator[tuple[int, int, Way]]:
    """Ways a piece lies in a plank: size across, size through as it is cut [nm], and its name.

    Parameters
    ----------
    demand : the piece.
    stock : the plank; its wood and length are not looked at.
    shop : planing, and what saw and thicknessing machine take.

    Examples
    --------
    >>> from overbend.stock import MachineLimits
    >>> saw = MachineLimits("saw", 300.0, 20.0, 4.0)
    >>> slat = Demand("slat", "ash", 700.0, 60.0, 19.0, 8)
    >>> planed = Stock("planed 19", "ash", 2000.0, 150.0, 19.0, surfaced=True)
    >>> rough = Stock("ash 27", "ash", 2000.0, 150.0, 27.0)
    >>> [list(ways_of(slat, board, Shop(saw, saw, saw))) for board in (planed, rough)]
    [[(60000000, 19000000, 'flat')], [(60000000, 20500000, 'flat')]]
    """
    width, through = usable(stock, shop)
    if shop.rip_depth is not None and through > whole(shop.rip_depth):
        return
    edge = width if stock.surfaced and not stock.sawn_edge else 0
    face = through if stock.surfaced else 0
    wide, thick = sides_of(demand, shop)
    across, up = _cut_to(thick, edge), _cut_to(wide, face)
    ways: list[tuple[int, int, Way, int, int]] = [(across, up, "edge", up, across)]
    across, up = _cut_to(wide, edge), _cut_to(thick, face)
    ways.append((across, up, "flat", across, up))
    for across, up, way, breadth, depth in ways:
        fits = demand.grain in ("any", way) and across <= width and up <= through
        resawn = shop.resaw_depth is not None and across > whole(shop.resaw_depth) and up < through
        if fits and not resawn and _taken(breadth, depth, thick[0], shop):
            yield across, up, way


def _cut_to(sizes: tuple[int, int], there: int) -> int:
    """Finished size where it is there already, else the size before planing."""
    return sizes[0] if sizes[0] == there else sizes[1]


def _taken(width: int, thickness: int, finished: int, shop: Shop) -> bool:
    """Whether saw and thicknessing machine take a piece; what is not typed refuses nothing."""
    passes = [(shop.saw, thickness)]
    if thickness > finished:
        passes.append((shop.thicknessing, finished))
    return all(
        width >= whole(machine.least_width or 0) and thick >= whole(machine.least_thickness or 0)
        for machine, thick in passes
    )
