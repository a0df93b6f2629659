"""Cutting plans of small shops cost what trying everything says."""

import random
from dataclasses import replace

import pytest

from overbend.solver import Stop
from overbend.stock import Demand, MachineLimits, Shop, Stock, cut
from support.brute_cut import Plank, Strip, least_cost

ANY = MachineLimits("saw", 0.0, 0.0, 0.0)
CASES = 200
PLANED = 120


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


def planed_case(seed):
    """Strips that are planed, and planks some of which are planed to just their finished size."""
    rng = random.Random(f"planed {seed}")
    kerf, deep, planing = rng.choice((1, 3)), rng.choice((1, 2)), rng.choice((1, 2))
    strips = []
    for _ in range(rng.randint(1, 3)):
        width, thick = rng.choice((20, 28)), rng.choice((6, 9, 20))
        strips.append(
            Strip(
                rng.randint(40, 110), width, thick + planing, rng.randint(1, 6),
                rng.choice((("edge", "flat"), ("flat",), ("flat",), ("edge",))),
                thick, width - rng.choice((0, planing)),
            )
        )  # fmt: skip
    lengths, sawn = [s.length for s in strips], [x for s in strips for x in (s.width, s.sawn)]
    planks = []
    for s in [*strips, rng.choice(strips)]:
        planed, any_size = rng.random() < 0.8, near(rng, sawn, deep, 4)
        thickness = rng.choice((s.thick, s.thick, s.finished, any_size)) if planed else any_size
        width = rng.choice((s.finished, near(rng, sawn, kerf, 5), near(rng, sawn, kerf, 5)))
        planks.append(
            Plank(
                near(rng, lengths, kerf, 3), width, thickness, rng.randint(20, 30),
                rng.randint(3, 9), planed=planed,
            )
        )  # fmt: skip
    return strips, planks, kerf, deep, planing


def solved(strips, planks, kerf, deep, planing=0):
    demands = [
        Demand(
            f"strip {n}", "ash", s.length, s.width, s.thick or s.sawn, s.count,
            grain=s.ways[0] if len(s.ways) == 1 else "any", finished_width=s.finished or None,
        )
        for n, s in enumerate(strips)
    ]  # fmt: skip
    edge, face = (4.0, 3.0) if planing else (0.0, 0.0)
    supply = [
        Stock(
            f"plank {n}", "ash", p.length, p.width + edge * (not p.planed),
            p.thickness + face * (not p.planed), price=p.cost, count=p.count, defects=p.defects,
            surfaced=p.planed,
        )
        for n, p in enumerate(planks)
    ]  # fmt: skip
    shop = Shop(
        ANY, ANY, ANY, kerf=kerf, resaw_kerf=deep, planing=planing, end_trim=0.0, edge_trim=edge,
        face_trim=face,
    )  # fmt: skip
    return cut(demands, supply, shop, Stop(20.0))


def compared(problem, result, seed):
    expected = least_cost(*problem)
    if expected is None:
        assert (result.status, result.plan) == ("infeasible", None), seed
        assert result.refusals, seed
    else:
        assert result.status == "optimal", seed
        assert result.cost.objective == pytest.approx(expected), seed


@pytest.mark.parametrize("block", range(10))
def test_least_cost_is_that_of_trying_everything(block):
    for seed in range(block * CASES // 10, (block + 1) * CASES // 10):
        problem = case(seed)
        compared(problem, solved(*problem), seed)


@pytest.mark.parametrize("block", range(4))
def test_boards_planed_to_the_finished_size_cost_what_trying_everything_says(block):
    for seed in range(block * PLANED // 4, (block + 1) * PLANED // 4):
        *problem, planing = planed_case(seed)
        compared(problem, solved(*problem, planing), seed)


def test_planed_to_the_finished_size_makes_a_difference():
    changed, found = 0, 0
    for seed in range(PLANED):
        strips, planks, kerf, deep, _ = planed_case(seed)
        cost = least_cost(strips, planks, kerf, deep)
        rough = [replace(p, planed=False) for p in planks]
        changed += cost != least_cost(strips, rough, kerf, deep)
        found += cost is not None
    assert changed > PLANED / 4
    assert found > PLANED / 2


def test_the_cases_are_worth_trying():
    kerfs, costs = 0, []
    for seed in range(0, CASES, 4):
        strips, planks, kerf, deep = case(seed)
        costs.append(least_cost(strips, planks, kerf, deep))
        kerfs += costs[-1] != least_cost(strips, planks, kerf + 1, deep + 1)
    assert costs.count(None) < len(costs) / 3
    assert kerfs > len(costs) / 5
    assert sum(bool(p.defects) for seed in range(CASES) for p in case(seed)[1]) > CASES / 2
