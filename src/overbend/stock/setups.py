"""Settings of the machines, in the order the wood goes through them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from overbend.stock.records import Demand, Shop, Stock, whole
from overbend.stock.sawplan import BoardPlan, Piece, SawnLength, Setup
from overbend.stock.section import usable

__all__ = ["STEPS", "planed", "ripped", "setups_of", "split"]

STEPS = ("crosscut", "surface", "rip", "resaw", "plane", "crosscut to length")
"""The steps in order."""


def ripped(piece: Piece, stock: Stock) -> bool:
    """Whether a piece's bar is ripped: not when it is all the width of a surfaced board.

    Examples
    --------
    >>> board = Stock("planed 19", "ash", 2000.0, 60.0, 19.0, surfaced=True)
    >>> ripped(Piece("slat", "flat", 25.0, 0.0, 0.0, 700.0, 60.0, 19.0), board)
    False
    """
    return not stock.surfaced or whole(piece.across) < whole(stock.width)


def split(piece: Piece, stock: Stock, shop: Shop) -> bool:
    """Whether a piece is split off its bar: not when it is all the surfaced thickness."""
    return whole(piece.through) < usable(stock, shop)[1]


def planed(piece: Piece, demand: Demand) -> bool:
    """Whether a piece is planed to thickness: not when it was sawn from a board of just that.

    Examples
    --------
    >>> slat = Demand("slat", "ash", 700.0, 60.0, 19.0, 1)
    >>> [planed(Piece("slat", "flat", 0, 0, 0, 700.0, 60.0, up), slat) for up in (20.5, 19.0)]
    [True, False]
    """
    return whole(piece.thick) > whole(demand.thickness)


def setups_of(
    boards: Sequence[BoardPlan], demands: Sequence[Demand], supply: Sequence[Stock], shop: Shop
) -> tuple[Setup, ...]:
    """Every setting once: all boards are crosscut first, then all lengths ripped, and so on.

    Parameters
    ----------
    boards : with all cuts.
    demands : what was asked for.
    supply : what the boards are.
    shop : what surfacing takes off.

    Returns
    -------
    Settings by step, large before small; the count is that of the pieces leaving the setting.
    """
    counts: dict[str, Counter[float]] = {step: Counter() for step in STEPS}
    kinds, stocks = {d.name: d for d in demands}, {s.name: s for s in supply}
    for board in boards:
        for length in board.lengths:
            for step, size in _leaving(length, stocks[board.stock], kinds, shop):
                counts[step][round(size, 6)] += 1
    return tuple(
        Setup(step, size, counts[step][size])
        for step in STEPS
        for size in sorted(counts[step], reverse=True)
    )


def _leaving(
    length: SawnLength, stock: Stock, kinds: Mapping[str, Demand], shop: Shop
) -> Iterator[tuple[str, float]]:
    """Step and size of each piece of wood that leaves a machine."""
    yield "crosscut", length.length
    if not stock.surfaced:
        yield "surface", 0.0
    bars = {piece.y: piece for piece in length.pieces}
    layers = {(piece.y, piece.z): piece for piece in length.pieces}
    for bar in bars.values():
        if ripped(bar, stock):
            yield "rip", bar.across
    for layer in layers.values():
        if split(layer, stock, shop):
            yield "resaw", layer.through
        if planed(layer, kinds[layer.demand]):
            yield "plane", kinds[layer.demand].thickness
    for piece in length.pieces:
        if round(piece.length, 6) < round(length.length, 6):
            yield "crosscut to length", piece.length
