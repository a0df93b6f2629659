"""Settings of the machines, in the order the wood goes through them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from overbend.stock.records import Demand, Shop
from overbend.stock.sawplan import BoardPlan, Setup

__all__ = ["STEPS", "setups_of"]

STEPS = ("crosscut", "surface", "rip", "resaw", "plane", "crosscut to length")
"""The steps in order."""


def setups_of(
    boards: Sequence[BoardPlan], demands: Sequence[Demand], shop: Shop
) -> tuple[Setup, ...]:
    """Every setting once: all boards are crosscut first, then all lengths ripped, and so on.

    Parameters
    ----------
    boards : with all cuts.
    demands : what was asked for.
    shop : planing.

    Returns
    -------
    Settings by step, large before small; the count is that of the pieces leaving the setting.
    """
    counts: dict[str, Counter[float]] = {step: Counter() for step in STEPS}
    thickness = {d.name: d.thickness for d in demands}
    for board in boards:
        for length in board.lengths:
            size = round(length.length, 6)
            counts["crosscut"][size] += 1
            counts["surface"][0.0] += 1
            bars = {(p.y, p.across) for p in length.pieces}
            layers = {(p.y, p.z, p.through) for p in length.pieces}
            counts["rip"].update(round(across, 6) for _, across in bars)
            counts["resaw"].update(round(through, 6) for _, _, through in layers)
            kind_of = {(p.y, p.z): p.demand for p in length.pieces}
            counts["plane"].update(thickness[kind] for kind in kind_of.values())
            shorter = [round(p.length, 6) for p in length.pieces if round(p.length, 6) < size]
            counts["crosscut to length"].update(shorter)
    if shop.planing == 0:
        counts["plane"].clear()
    return tuple(
        Setup(step, size, counts[step][size])
        for step in STEPS
        for size in sorted(counts[step], reverse=True)
    )
