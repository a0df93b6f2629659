"""Random one-dimensional cutting problems by the recipes of the sets they are named after.

Falkenauer 1996 (uniform, triplets); Scholl, Klein, Juergens 1997 (sets 1 to 3); Schwerin, Waescher
1997; Waescher, Gau 1996; Schoenfield 2002 (hard: long and short lengths mixed); Delorme, Iori,
Martello 2016 (random; exact fits around a core, whose waste is all the waste there is).
"""

from __future__ import annotations

import random
from collections import Counter

from overbend.stock.sticks import Sticks

CORE = (18, ((10, 1), (9, 1), (8, 1), (7, 1)))


def sticks_of(name: str, stock: int, sizes: list[int]) -> Sticks:
    return Sticks.of(name, stock, sorted(Counter(sizes).items()))


def uniform(rng: random.Random, items: int) -> Sticks:
    return sticks_of(f"uniform {items}", 150, [rng.randint(20, 100) for _ in range(items)])


def triplets(rng: random.Random, items: int) -> Sticks:
    sizes = []
    for _ in range(items // 3):
        first = rng.randint(380, 490)
        second = rng.randint(250, (1000 - first) // 2)
        sizes += [first, second, 1000 - first - second]
    return sticks_of(f"triplets {items}", 1000, sizes)


def scholl_1(rng: random.Random, items: int) -> Sticks:
    stock, least = rng.choice((100, 120, 150)), rng.choice((1, 20, 30))
    return sticks_of(f"scholl 1 {items}", stock, [rng.randint(least, 100) for _ in range(items)])


def scholl_2(rng: random.Random, items: int) -> Sticks:
    mean, spread = 1000 / rng.choice((3, 5, 7, 9)), rng.choice((0.2, 0.5, 0.9))
    low, high = round(mean * (1 - spread)), round(mean * (1 + spread))
    return sticks_of(f"scholl 2 {items}", 1000, [rng.randint(low, high) for _ in range(items)])


def scholl_3(rng: random.Random, items: int) -> Sticks:
    sizes = [rng.randint(20_000, 35_000) for _ in range(items)]
    return sticks_of(f"scholl 3 {items}", 100_000, sizes)


def schwerin(rng: random.Random, items: int) -> Sticks:
    return sticks_of(f"schwerin {items}", 1000, [rng.randint(150, 200) for _ in range(items)])


def waescher(rng: random.Random, items: int) -> Sticks:
    low, high = rng.choice(((1, 5000), (1, 2500), (500, 7500)))
    return sticks_of(f"waescher {items}", 10_000, [rng.randint(low, high) for _ in range(items)])


def hard(rng: random.Random, items: int) -> Sticks:
    return sticks_of(f"hard {items}", 1000, [rng.randint(1, 800) for _ in range(items)])


def spread(rng: random.Random, items: int) -> Sticks:
    stock = rng.choice((50, 75, 100, 120, 125, 150, 200, 300, 400, 500, 750, 1000))
    low, high = rng.choice((0.1, 0.2)), rng.choice((0.5, 0.7, 0.8))
    sizes = [rng.randint(int(low * stock), int(high * stock)) for _ in range(items)]
    return sticks_of(f"random {items}", stock, sizes)


def exact_fits(rng: random.Random, items: int) -> Sticks:
    """Triplets that fill a stick exactly, of nearly no two equal lengths: no waste at all."""
    stock = 2500 * max(1, items // 200) ** 2
    sizes = []
    for _ in range(items // 3):
        first = rng.randint(stock // 3, stock // 2)
        second = rng.randint((stock - first) // 3, 2 * (stock - first) // 3)
        sizes += [first, second, stock - first - second]
    return sticks_of(f"exact fits {items}", stock, sizes)


RECIPES = {
    "uniform": (uniform, (120, 250, 500, 1000)),
    "triplets": (triplets, (60, 120, 249, 501)),
    "scholl_1": (scholl_1, (50, 100, 200, 500)),
    "scholl_2": (scholl_2, (50, 100, 200, 500)),
    "scholl_3": (scholl_3, (200,)),
    "schwerin": (schwerin, (100, 120)),
    "waescher": (waescher, (57, 114, 239)),
    "hard": (hard, (160, 180, 200)),
    "random": (spread, (50, 100, 200, 500, 1000)),
    "exact_fits": (exact_fits, (201, 402, 600)),
}
