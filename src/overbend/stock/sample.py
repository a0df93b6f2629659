"""A large made-up shop to measure the cutting plans with."""

from __future__ import annotations

import random

from overbend.stock.records import Demand, Shop, Stock
from overbend.stock.strips import MachineLimits

__all__ = ["large_shop"]


def large_shop(
    seed: int, strips: int = 2000, kinds: int = 30, stocks: int = 15
) -> tuple[list[Demand], list[Stock], Shop]:
    """Strips of many kinds and a yard list; sizes, prices and machine limits are made up.

    Parameters
    ----------
    seed : equal seeds give equal shops.
    strips, kinds : how many strips in all, of how many kinds.
    stocks : boards in the yard's list.

    Examples
    --------
    >>> demands, supply, shop = large_shop(0)
    >>> sum(d.count for d in demands), len(demands), len(supply)
    (2000, 30, 15)
    """
    rng = random.Random(seed)
    shares = [rng.uniform(0.2, 1.8) for _ in range(kinds)]
    counts = [max(1, int(strips * s / sum(shares))) for s in shares]
    counts[0] += strips - sum(counts)
    demands = [
        Demand(
            f"strip {k + 1}", "ash", 5.0 * rng.randrange(120, 380),
            rng.choice((45.0, 52.0, 60.0, 75.0, 90.0)), rng.choice((4.0, 5.0, 6.0, 8.0, 10.0)),
            count, part=f"part {k // 3 + 1}", per_part=rng.randrange(1, 6),
        )
        for k, count in enumerate(counts)
    ]  # fmt: skip
    supply = [
        Stock(
            f"board {k + 1}", "ash", rng.choice((2000.0, 2400.0, 2700.0, 3000.0, 3600.0)),
            rng.choice((100.0, 125.0, 150.0, 175.0, 200.0, 225.0)),
            rng.choice((27.0, 34.0, 41.0, 52.0)), float(rng.randrange(1000, 1200)), per="volume",
        )
        for k in range(stocks)
    ]  # fmt: skip
    limits = [MachineLimits(name, 300.0, 20.0, 2.5) for name in ("saw", "jointer", "planer")]
    return demands, supply, Shop(limits[0], limits[1], limits[2], keep_length=400.0)
