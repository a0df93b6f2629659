"""Where the wood bought goes: one bar, and how much of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from overbend.draw.board_face import crosscut_marks
from overbend.draw.board_labels import Lettered, NamedLength, lettered
from overbend.draw.board_text import TEXT, line, patch, rectangle
from overbend.draw.chains import spread
from overbend.draw.drawing import Drawing, Fill, Item, Label, Layer, Pen, Stroke
from overbend.draw.lettering import text_width
from overbend.plan.cutting import Cutting
from overbend.stock import Demand, SawnLength, Shop, Stock

__all__ = ["Share", "wood_shares", "yield_drawing"]

_HIGH = 7.0  # mm, the bar
_SHOWN = 0.002  # of the wood: less is not drawn


@dataclass(frozen=True)
class Share:
    """A part of the wood.

    Parameters
    ----------
    name : where it goes.
    volume : [mm3].
    fill : how it is drawn.
    """

    name: str
    volume: float
    fill: Fill


def wood_shares(cutting: Cutting) -> tuple[Share, ...]:
    """Where the wood of all boards goes; nothing without a plan.

    Saw dust and shavings are what the crosscuts, rips and resaws take, and what surfacing and
    planing take off what is used.

    Parameters
    ----------
    cutting : the cutting plan.

    Returns
    -------
    Strips asked for, strips beyond those, off-cuts for the rack, saw dust and shavings, waste.
    """
    boards = lettered(cutting)
    if not boards:
        return ()
    kinds = {d.name: d for d in cutting.demands}
    pieces = [piece for board in boards for piece in board.board.pieces]
    asked = sum(_volume(kinds[p.demand]) for p in pieces if not p.extra)
    more = sum(_volume(kinds[p.demand]) for p in pieces if p.extra)
    kept = sum(one.offcut.volume for board in boards for one in board.kept)
    dust = sum(_dust(board, kinds, cutting.shop) for board in boards)
    rest = sum(b.stock.volume for b in boards) - asked - more - kept - dust
    rows = (
        Share("strips", asked, "tint"),
        Share("more strips", more, "none"),
        Share("off-cuts kept", kept, "none"),
        Share("dust and shavings", dust, "hatch"),
        Share("waste", max(rest, 0.0), "cross"),
    )
    return tuple(share for share in rows if share.volume > 0.0)


def _volume(demand: Demand) -> float:
    return demand.volume / demand.count


def _dust(board: Lettered, kinds: dict[str, Demand], shop: Shop) -> float:
    """What the machines turn into dust and shavings [mm3]."""
    stock = board.stock
    crosscuts = len(crosscut_marks(board, shop)) * shop.kerf
    return crosscuts * stock.width * stock.thickness + sum(
        _surfaced(length, stock, shop)
        + _sawn(length.cut, stock, shop)
        + sum(p.length * p.across * p.through - _volume(kinds[p.demand]) for p in length.cut.pieces)
        for length in board.lengths
    )


def _usable(stock: Stock, shop: Shop) -> tuple[float, float]:
    """Width and thickness once surfaced [mm]."""
    if stock.surfaced:
        return stock.width, stock.thickness
    return stock.width - shop.edge_trim, stock.thickness - shop.face_trim


def _surfaced(length: NamedLength, stock: Stock, shop: Shop) -> float:
    """What surfacing takes off a length, the off-cut beside it left as it is [mm3]."""
    kept = length.beside.offcut.width if length.beside else 0.0
    width, through = _usable(stock, shop)
    before = (stock.width - kept) * stock.thickness
    return length.cut.length * (before - (width - kept) * through)


def _sawn(length: SawnLength, stock: Stock, shop: Shop) -> float:
    """Rips, cuts through the thickness and crosscuts to length in a sawn length [mm3]."""
    width, through = _usable(stock, shop)
    right, low = 0.5 * (stock.width + width), 0.5 * (stock.thickness + through)
    total = 0.0
    for y, across in {(p.y, p.across) for p in length.pieces}:
        total += min(shop.kerf, max(right - y - across, 0.0)) * through * length.length
    for y, z, across, up in {(p.y, p.z, p.across, p.through) for p in length.pieces}:
        rest = min(shop.through_kerf, max(low - z - up, 0.0))
        total += rest * across * length.length
        ends = sum((p.y, p.z) == (y, z) for p in length.pieces) - 1
        total += ends * shop.kerf * across * up
    return total


def yield_drawing(shares: Sequence[Share], width: float = 150.0) -> Drawing:
    """Draw where the wood goes, as one bar.

    Parameters
    ----------
    shares : of the wood, see :func:`wood_shares`.
    width : of the bar [mm on paper].

    Examples
    --------
    >>> bar = yield_drawing([Share("strips", 6.0, "tint"), Share("waste", 4.0, "cross")])
    >>> [i.text for i in bar.items if isinstance(i, Label)]
    ['strips, 60 %', 'waste, 40 %']
    """
    whole = sum(share.volume for share in shares)
    shown = [share for share in shares if share.volume >= _SHOWN * whole]
    texts = [f"{s.name}, {100 * s.volume / whole:.0f} %" for s in shown]
    items: list[Item] = []
    middles, at = [], 0.0
    for share in shown:
        end = at + width * share.volume / whole
        items += patch((at, 0.0, end, _HIGH), share.fill, name=share.name)
        items.append(Stroke(rectangle(at, 0.0, end, _HIGH), Layer.PART, Pen.THIN, share.name))
        middles.append(0.5 * (at + end))
        at = end
    places = spread(middles, [text_width(text, TEXT) + 4.0 for text in texts]).tolist()
    for middle, place, text in zip(middles, places, texts, strict=True):
        items.append(line([(middle, -0.6), (middle, -1.6), (place, -3.6)]))
        items.append(Label(place, -4.4, text, TEXT, "centre", "top"))
    return Drawing(tuple(items), "Where the wood goes", "; ".join(texts))
