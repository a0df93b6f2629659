"""What holds for every plan that `cut` makes, on small random shops and in cases worked by hand."""

import random
import time
from collections import Counter
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from overbend.solver import Stop
from overbend.stock import Demand, MachineLimits, Shop, Stock, boards_in_stacks, cut, verify
from support.pace import quiet_seconds

SAW = MachineLimits("saw", 120.0, 9.0, 3.0)
PLANER = MachineLimits("thicknessing machine", 160.0, 11.0, 2.0, finished=True)
SHOP = Shop(
    SAW, SAW, PLANER, kerf=2.9, resaw_kerf=1.7, planing=1.1, end_trim=18.0, edge_trim=3.5,
    face_trim=2.5, keep_length=300.0,
)  # fmt: skip
SECOND, PROOF = Stop(1.0), Stop(60.0)
QUICK = settings(derandomize=True, max_examples=6)


def strip(rng, n, wood):
    width, thickness = rng.choice((22.0, 31.0, 46.0)), rng.choice((4.0, 7.0, 13.0))
    grain = rng.choice(("any", "any", "flat", "edge"))
    length = float(rng.randint(35, 90) * 10 + n)
    return Demand(f"{wood} {n}", wood, length, width, thickness, rng.randint(2, 7), grain)


def plank(rng, n, wood):
    """A plank that every strip of `strip` comes out of."""
    at = rng.randint(100, 400)
    return Stock(
        f"{wood} plank {n}", wood, float(rng.randint(130, 220) * 10 + n),
        rng.randint(60, 110) + 0.5, 52.0 + n, round(rng.uniform(9, 40), 2),
        defects=rng.choice(((), ((at, at + 31.0),))),
    )  # fmt: skip


def shop_of(seed, *woods):
    """Strips and planks, unequal in everything, of the woods."""
    rng = random.Random(seed)
    demands = [strip(rng, n, wood) for wood in woods for n in range(rng.randint(1, 2))]
    supply = [plank(rng, n, wood) for wood in woods for n in range(rng.randint(1, 2))]
    return demands, supply


def solved(demands, supply, shop=SHOP, stop=SECOND, **more):
    return cut(demands, supply, shop, stop, **more)


@cache
def at_first(seed):
    return solved(*shop_of(seed, "ash"), stop=PROOF)


def proven(seed):
    """The result of a shop that is proven within a second; a busy machine may take a minute."""
    result = at_first(seed)
    assert result.status == "optimal"
    return result


SEEDS = st.integers(1, 40)  # shop 0 is not proven in a minute


@pytest.mark.parametrize("seed", range(1, 7))
def test_the_shops_are_proven_within_a_second(seed):
    assert proven(seed).plan is not None  # everything is imported from here on
    assert quiet_seconds(lambda: solved(*shop_of(seed, "ash"), stop=PROOF), 1) < 1.0


@QUICK
@given(SEEDS)
def test_plans_pass_the_check_and_bounds_hold(seed):
    demands, supply = shop_of(seed, "ash")
    result = at_first(seed)
    assert verify(result.plan, demands, supply, SHOP) == ()
    for found in (result.cost, result.wood):
        assert 0 <= found.bound <= found.objective
        assert (found.status == "optimal") == (found.gap <= 1e-6)
    assert result.cost.objective == pytest.approx(result.plan.cost)
    assert result.wood.objective == pytest.approx(result.plan.taken)
    assert (result.refusals, result.holds) == ((), ())
    wanted = sum(d.length * d.width * d.thickness * d.count for d in demands)
    assert result.plan.wanted == pytest.approx(wanted)
    assert 0 < result.plan.recovery < 1


@QUICK
@given(SEEDS, st.integers(0, 99))
def test_another_kind_of_board_never_costs_more(seed, other):
    before = proven(seed)
    demands, supply = shop_of(seed, "ash")
    more = replace(plank(random.Random(other), 7, "ash"), count=2)
    after = solved(demands, [*supply, more])
    assert after.cost.bound <= before.cost.objective + 1e-6
    if after.status == "optimal":
        assert after.cost.objective <= before.cost.objective + 1e-6


@QUICK
@given(SEEDS)
def test_a_board_on_the_rack_never_costs_more(seed):
    before = proven(seed)
    demands, supply = shop_of(seed, "ash")
    rack = replace(supply[0], name="rack 1", price=0.0, count=1)
    after = solved(demands, [rack, *supply])
    assume(after.status == "optimal")
    assert after.cost.objective <= before.cost.objective + 1e-6
    if before.plan.bought().get(supply[0].name):
        saved = before.cost.objective - supply[0].cost
        assert after.cost.objective <= saved + 1e-6


@QUICK
@given(SEEDS)
def test_a_rack_that_holds_all_costs_nothing(seed):
    demands, supply = shop_of(seed, "ash")
    count = len(at_first(seed).plan.boards)
    rack = [replace(s, name=f"rack {s.name}", price=0.0, count=count) for s in supply]
    result = solved(demands, [*supply, *rack])
    assert (result.status, result.cost.objective) == ("optimal", 0.0)
    assert all(name.startswith("rack") for name in result.plan.bought())


@QUICK
@given(SEEDS, st.randoms(use_true_random=False))
def test_the_order_of_parts_and_boards_does_not_matter(seed, chance):
    before = proven(seed)
    demands, supply = shop_of(seed, "ash")
    chance.shuffle(demands)
    chance.shuffle(supply)
    after = solved(demands, supply)
    assume(after.status == "optimal")
    assert after.cost.objective == pytest.approx(before.cost.objective)
    if before.wood.status == after.wood.status == "optimal":
        assert after.wood.objective == pytest.approx(before.wood.objective, rel=1e-5)


@QUICK
@given(SEEDS)
def test_the_same_seed_gives_the_same_plan(seed):
    before = proven(seed)
    after = solved(*shop_of(seed, "ash"), stop=PROOF)
    assert after.plan == before.plan


@QUICK
@given(SEEDS, st.sampled_from([0.01, 0.37, 7.3, 1250.0]))
def test_other_money_is_the_same_plan(seed, rate):
    before = proven(seed)
    demands, supply = shop_of(seed, "ash")
    after = solved(demands, [replace(s, price=s.price * rate) for s in supply])
    assume(after.status == "optimal")
    assert after.cost.objective == pytest.approx(before.cost.objective * rate, rel=1e-6)


@QUICK
@given(SEEDS)
def test_woods_do_not_mix(seed):
    demands, supply = shop_of(seed, "ash", "oak")
    both = solved(demands, supply)
    wood_of = {d.name: d.wood for d in demands}
    for board in both.plan.boards:
        wood = next(s.wood for s in supply if s.name == board.stock)
        assert {wood_of[p.demand] for p in board.pieces} == {wood}
    alone = [
        solved([d for d in demands if d.wood == wood], [s for s in supply if s.wood == wood])
        for wood in ("ash", "oak")
    ]
    assume(both.status == "optimal" and all(r.status == "optimal" for r in alone))
    assert both.cost.objective == pytest.approx(sum(r.cost.objective for r in alone))


def test_a_wood_that_is_short_stops_the_other_too():
    demands, supply = shop_of(3, "ash", "oak")
    short = [replace(s, count=0) if s.wood == "oak" else s for s in supply]
    result = solved(demands, short)
    assert result.plan is None
    assert {r.part for r in result.refusals} == {d.name for d in demands if d.wood == "oak"}


# --- ended early


LARGE = [
    Demand(f"strip {n}", "ash", 410.0 + 67 * n, 24.0 + 5 * n, 4.0 + n, 9 + 4 * n) for n in range(6)
]
YARD = [
    Stock("ash 34", "ash", 2440.0, 143.0, 34.0, 1150.0, "volume", defects=((801.0, 844.0),)),
    Stock("ash 52", "ash", 1870.0, 118.0, 52.0, 13.9, "metre"),
    Stock("ash 27", "ash", 3050.0, 92.0, 27.0, 21.0),
]


def test_cancelled_at_once_it_is_quick_and_honest():
    results = []

    def ended():
        results.append(cut(LARGE, YARD, SHOP, PROOF, cancel=lambda: True))

    proven(9)  # everything is imported from here on
    assert quiet_seconds(ended, 1) < 5.0
    (result,) = results
    if result.plan is None:
        assert (result.status, result.cost.objective) == ("unknown", None)
    else:
        assert verify(result.plan, LARGE, YARD, SHOP) == ()
        assert result.status in ("feasible", "optimal")
    best = cut(LARGE, YARD, SHOP, SECOND)
    assert result.cost.bound <= best.cost.objective + 1e-6
    assert best.cost.bound <= (result.cost.objective or 1e9) + 1e-6


def test_cancelled_at_the_first_plan_it_keeps_that_or_better():
    told, results = [], []

    def ended():
        results.append(
            cut(LARGE, YARD, SHOP, PROOF, progress=told.append, cancel=lambda: bool(told))
        )

    proven(9)
    assert quiet_seconds(ended, 1) < 15.0
    (result,) = results
    assert result.plan is not None
    assert result.cost.objective <= told[0].objective + 1e-6
    assert verify(result.plan, LARGE, YARD, SHOP) == ()


def test_progress_gets_better_and_its_bounds_hold():
    told, start = [], time.monotonic()

    def enough():
        return bool(told) and time.monotonic() - start > told[0].runtime + 2.0

    result = cut(LARGE, YARD, SHOP, PROOF, progress=told.append, cancel=enough)
    assert told
    costs = [s.objective for s in told]
    assert costs == sorted(costs, reverse=True)
    assert costs[-1] == pytest.approx(result.cost.objective)
    assert all(s.bound <= result.cost.objective + 1e-6 for s in told)
    assert all(s.bound <= s.objective + 1e-6 for s in told)
    assert all(s.runtime <= result.cost.runtime for s in told)


@pytest.mark.parametrize("seed", [2, 5])
def test_progress_over_two_woods_never_promises_too_little(seed):
    """A cost that is told is one that all parts can be had for, not those of one wood alone."""
    told = []
    result = solved(*shop_of(seed, "ash", "oak"), progress=told.append)
    assert all(s.bound <= result.cost.objective + 1e-6 for s in told)
    costs = [s.objective for s in told if s.objective is not None]
    assert costs
    assert all(cost >= result.cost.bound - 1e-6 for cost in costs)


def test_a_gap_allowed_ends_it_sooner_with_that_gap():
    results = []
    proven(9)
    ended = quiet_seconds(lambda: results.append(cut(LARGE, YARD, SHOP, Stop(60.0, gap=0.5))), 1)
    assert results[0].cost.gap <= 0.5
    assert ended < 2.5


# --- by hand

PLAIN = Shop(SAW, SAW, PLANER, planing=0.0, end_trim=0.0, edge_trim=0.0, face_trim=0.0)


def test_of_equal_costs_the_least_wood():
    arm = Demand("arm", "ash", 700.0, 40.0, 20.0, 2)
    sizes = {"wide": (1500.0, 95.0), "narrow": (1500.0, 41.0), "long": (2900.0, 41.0)}
    supply = [Stock(name, "ash", n, w, 21.0, 12.0) for name, (n, w) in sizes.items()]
    result = solved([arm], supply, PLAIN)
    assert result.plan.bought() == {"narrow": 1}
    assert (result.cost.objective, result.wood.status) == (12.0, "optimal")
    assert result.wood.objective == pytest.approx(1500.0 * 41.0 * 21.0)


def test_an_off_cut_kept_is_no_wood_taken():
    """The long board costs the same and leaves 2.2 m; the short one leaves 97 mm, too short."""
    arm = Demand("arm", "ash", 700.0, 40.0, 20.0, 1)
    supply = [
        Stock("long", "ash", 2903.0, 41.0, 21.0, 12.0),
        Stock("short", "ash", 800.0, 41.0, 21.0, 12.0),
    ]
    keeping = solved([arm], supply, replace(PLAIN, keep_length=300.0))
    assert keeping.plan.bought() == {"long": 1}
    (offcut,) = keeping.plan.boards[0].offcuts
    assert (offcut.x, offcut.length) == (703.0, 2200.0)
    assert keeping.wood.objective == pytest.approx(703.0 * 41.0 * 21.0)
    assert solved([arm], supply, PLAIN).plan.bought() == {"short": 1}


def test_the_rack_before_the_yard_though_it_is_larger():
    arm = Demand("arm", "ash", 700.0, 40.0, 20.0, 3)
    supply = [
        Stock("yard", "ash", 1500.0, 41.0, 21.0, 12.0),
        Stock("rack", "ash", 1500.0, 95.0, 30.0, count=1),
    ]
    result = solved([arm], supply, PLAIN)
    assert (result.status, result.plan.bought()) == ("optimal", {"rack": 1})


def test_a_rack_board_that_saves_nothing_stays_there():
    """Four arms, two a board: two bought with or without the one that the rack gives."""
    arm = Demand("arm", "ash", 700.0, 40.0, 20.0, 4)
    supply = [
        Stock("yard", "ash", 1500.0, 41.0, 21.0, 12.0),
        Stock("rack", "ash", 750.0, 41.0, 21.0, count=1),
    ]
    result = solved([arm], supply, PLAIN)
    assert result.plan.bought() == {"yard": 2}
    assert result.cost.objective == 24.0


@pytest.mark.parametrize(("length", "boards"), [(1403.0, 1), (1402.9, 2)])
def test_the_kerf_decides(length, boards):
    arm = Demand("arm", "ash", 700.0, 40.0, 20.0, 2)
    result = solved([arm], [Stock("yard", "ash", length, 40.0, 20.0, 12.0)], PLAIN)
    assert (result.status, result.cost.objective) == ("optimal", 12.0 * boards)


def test_strips_of_a_stack_come_from_few_boards():
    """Two boards give four strips each; each stack of four is of one board."""
    rib = Demand("rib", "ash", 900.0, 40.0, 5.0, 8, "flat", "rib", 4)
    shop = replace(PLAIN, keep_length=None)
    plank_of_four = Stock("yard", "ash", 910.0, 41.0, 30.0, 12.0)
    plan = solved([rib], [plank_of_four], shop).plan
    assert plan.bought() == {"yard": 2}
    assert boards_in_stacks(plan.boards, [rib]) == {("rib", 1): 1, ("rib", 2): 1}
    stacks = Counter(p.stack for b in plan.boards for p in b.pieces)
    assert stacks == {1: 4, 2: 4}


def test_nothing_wanted_costs_nothing():
    result = solved([], YARD)
    assert (result.status, result.cost.objective, result.plan.boards) == ("optimal", 0, ())
