"""Cutting plans of small shops cost what trying everything says."""

import random

import pytest

from overbend.solver import Stop
from overbend.stock import Demand, MachineLimits, Shop, Stock, cut
from support.brute_cut import Plank, Strip, least_cost

ANY = MachineLimits("saw", 0.0, 0.0, 0.0)
CASES = 200


def near(rng, sizes, kerf, most):
    """A size that takes two to `most` of the sizes with their kerfs, or misses it by 1 mm."""
    chosen = [rng.choice(sizes) for _ in range(rng.randint(2, most))]
    return sum(chosen) + kerf * (len(chosen) - 1) + rng.choice((-1, 0, 0, 0, 0, 1))


def case(seed):
    """Small random strips, and planks they fit so closely that a kerf decides."""
    rng = random.Random(seed)
    kerf, deep = rng.choice((1, 3)), rng.choice((1, 2))
    strips = [
        Strip(
            rng.randint(40, 110), rng.choice((20, 28)), rng.choice((6, 9, 20)), rng.randint(2, 9),
            rng.choice((("edge", "flat"), ("edge", "flat"), ("flat",), ("edge",))),
        )
        for _ in range(rng.randint(1, 3))
    ]  # fmt: skip
    lengths, sides = [s.length for s in strips], [x for s in strips for x in (s.width, s.sawn)]
    planks = [
        Plank(
            near(rng, lengths, kerf, 3), near(rng, sides, kerf, 5), near(rng, sides, deep, 4),
            rng.randint(20, 30), rng.randint(2, 6),
            rng.choice(((), (), ((3, 4),), ((50, 51), (100, 118)))),
        )
        for _ in range(rng.randint(2, 4))
    ]  # fmt: skip
    return strips, planks, kerf, deep


def solved(strips, planks, kerf, deep):
    demands = [
        Demand(
            f"strip {n}", "ash", s.length, s.width, s.sawn, s.count,
            grain=s.ways[0] if len(s.ways) == 1 else "any",
        )
        for n, s in enumerate(strips)
    ]  # fmt: skip
    supply = [
        Stock(
            f"plank {n}", "ash", p.length, p.width, p.thickness, price=p.cost, count=p.count,
            defects=p.defects, surfaced=True,
        )
        for n, p in enumerate(planks)
    ]  # fmt: skip
    shop = Shop(
        ANY, ANY, ANY, kerf=kerf, resaw_kerf=deep, planing=0.0, end_trim=0.0, edge_trim=0.0,
        face_trim=0.0,
    )  # fmt: skip
    return cut(demands, supply, shop, Stop(20.0))


@pytest.mark.parametrize("block", range(10))
def test_least_cost_is_that_of_trying_everything(block):
    for seed in range(block * CASES // 10, (block + 1) * CASES // 10):
        problem = case(seed)
        expected, result = least_cost(*problem), solved(*problem)
        if expected is None:
            assert (result.status, result.plan) == ("infeasible", None), seed
            assert result.refusals, seed
        else:
            assert result.status == "optimal", seed
            assert result.cost.objective == pytest.approx(expected), seed


def test_the_cases_are_worth_trying():
    kerfs, costs = 0, []
    for seed in range(0, CASES, 4):
        strips, planks, kerf, deep = case(seed)
        costs.append(least_cost(strips, planks, kerf, deep))
        kerfs += costs[-1] != least_cost(strips, planks, kerf + 1, deep + 1)
    assert costs.count(None) < len(costs) / 3
    assert kerfs > len(costs) / 5
    assert sum(bool(p.defects) for seed in range(CASES) for p in case(seed)[1]) > CASES / 2
