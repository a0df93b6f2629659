"""Settings of the machines as the boards of a plan ask for them, found from their places alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from overbend.stock.records import Demand, Shop, Stock, whole
from overbend.stock.sawplan import Piece, SawnLength, SawPlan

__all__ = ["setup_faults"]

Key = tuple[str, int]
"""A step and what it is set to [nm]."""

ORDER = ("crosscut", "surface", "rip", "resaw", "plane", "crosscut to length")
"""The order in which the wood goes through the machines."""


def setup_faults(
    plan: SawPlan, kinds: Mapping[str, Demand], stocks: Mapping[str, Stock], shop: Shop
) -> Iterator[str]:
    """Settings that are missing, not needed, or left by another number of pieces; their order.

    Parameters
    ----------
    plan : boards, cuts and settings.
    kinds : what was asked for, by name.
    stocks : the boards there are, by name.
    shop : what surfacing takes off.
    """
    needed: Counter[Key] = Counter()
    for board in plan.boards:
        stock = stocks.get(board.stock)
        if stock is not None:
            for length in board.lengths:
                needed.update(_settings(length, stock, kinds, shop))
    listed = [(setup.step, whole(setup.size)) for setup in plan.setups]
    given = dict(zip(listed, (setup.count for setup in plan.setups), strict=True))
    for key in sorted(needed.keys() | given.keys()):
        step, size = key
        what = f"setting to {step} {size / 1e6:g} mm"
        if key not in given:
            yield f"the {what} is missing"
        elif key not in needed:
            yield f"the {what} is not needed"
        elif needed[key] != given[key]:
            yield f"{needed[key]} leave the {what}, the plan says {given[key]}"
    yield from _order(listed)


def _order(listed: Sequence[Key]) -> Iterator[str]:
    """Every setting stands once, in the order of the machines, large before small."""
    places = [(ORDER.index(step) if step in ORDER else len(ORDER), -size) for step, size in listed]
    if len(set(listed)) < len(listed):
        yield "a setting is there twice"
    if places != sorted(places):
        yield "the settings are not in the order the wood goes through the machines"


def _settings(
    length: SawnLength, stock: Stock, kinds: Mapping[str, Demand], shop: Shop
) -> Iterator[Key]:
    """One setting for every piece of wood that leaves a machine."""
    long = whole(length.length)
    yield "crosscut", long
    if not stock.surfaced:
        yield "surface", 0
    edges = {(whole(p.y), whole(p.across)) for p in length.pieces}
    for y, across in edges:
        if not (stock.surfaced and (y, across) == (0, whole(stock.width))):
            yield "rip", across
    for through in _split(length.pieces, stock, shop):
        yield "resaw", through
    for thickness in _planed(length.pieces, kinds):
        yield "plane", thickness
    for piece in length.pieces:
        if whole(piece.length) < long:
            yield "crosscut to length", whole(piece.length)


def _split(pieces: Sequence[Piece], stock: Stock, shop: Shop) -> Iterator[int]:
    """Thicknesses of the layers that are less than the plank is when it comes to the saw."""
    flattened = whole(stock.thickness) - (0 if stock.surfaced else whole(shop.face_trim))
    for _, _, through in {(whole(p.y), whole(p.z), whole(p.through)) for p in pieces}:
        if through != flattened:
            yield through


def _planed(pieces: Sequence[Piece], kinds: Mapping[str, Demand]) -> Iterator[int]:
    """Finished thicknesses of the strips that leave the saw thicker than that."""
    for _, _, name, across, through, way in {
        (whole(p.y), whole(p.z), p.demand, whole(p.across), whole(p.through), p.way) for p in pieces
    }:
        if name in kinds:
            finished = whole(kinds[name].thickness)
            if {"edge": across, "flat": through}[way] != finished:
                yield finished
