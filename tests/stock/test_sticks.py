"""Fewest sticks: as trying everything says, plans that can be cut, bounds that hold."""

import random
from collections import Counter
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.errors import StockError
from overbend.solver import Clock
from overbend.stock.sticks import Sticks, direct_program, first_fit, read_sticks, solve_sticks
from overbend.stock.sticks.columns import Patterns, relax
from support.stick_recipes import RECIPES

# --- trying everything; knows nothing of the solver


def fewest(sticks):
    """Fewest sticks, each filled in every way that leaves no wanted length that would fit."""
    kinds = range(len(sticks.lengths))

    def fillings(left, k, room, taken):
        if k == len(left):
            if all(n > room or taken[m] == left[m] for m, n in enumerate(sticks.lengths)):
                yield taken
            return
        for n in range(min(left[k], room // sticks.lengths[k]), -1, -1):
            yield from fillings(left, k + 1, room - n * sticks.lengths[k], (*taken, n))

    @cache
    def least(left):
        if not any(left):
            return 0
        first = next(k for k in kinds if left[k])
        return 1 + min(
            least(tuple(a - b for a, b in zip(left, fill, strict=True)))
            for fill in fillings(left, 0, sticks.stock, ())
            if fill[first]
        )

    return least(sticks.counts)


def held(sticks, plan):
    """The plan cut by hand: every stick long enough, every length there as often as wanted."""
    cut = Counter()
    for pattern, times in plan.patterns:
        assert times >= 1
        assert 0 < sum(pattern) <= sticks.stock
        assert list(pattern) == sorted(pattern, reverse=True)
        for length in pattern:
            cut[length] += times
    assert cut == dict(zip(sticks.lengths, sticks.counts, strict=True))
    assert sum(times for _, times in plan.patterns) == plan.solution.objective
    return True


@st.composite
def small(draw):
    stock = draw(st.integers(12, 60))
    sizes = st.integers(max(2, stock // 6), stock)
    pairs = draw(st.lists(st.tuples(sizes, st.integers(1, 4)), min_size=1, max_size=5))
    return Sticks.of("small", stock, pairs)


@settings(derandomize=True, max_examples=120)
@given(small())
def test_as_few_as_trying_everything(sticks):
    plan = solve_sticks(sticks, 5.0)
    assert plan.solution.objective == fewest(sticks)
    assert plan.solution.status == "optimal"
    assert plan.solution.bound == plan.solution.objective
    assert held(sticks, plan)


@settings(derandomize=True, max_examples=20)
@given(small())
def test_one_program_finds_the_same(sticks):
    assert direct_program(sticks, 5.0).objective == fewest(sticks) <= first_fit(sticks)


@pytest.mark.parametrize("recipe", RECIPES)
def test_larger_plans_can_be_cut(recipe):
    make, sizes = RECIPES[recipe]
    sticks = make(random.Random(7), sizes[0])
    plan = solve_sticks(sticks, 0.6)
    assert held(sticks, plan)
    low, found = plan.solution.bound, plan.solution.objective
    assert sticks.fewest <= low <= found <= first_fit(sticks)
    assert plan.solution.status == ("optimal" if low == found else "feasible")


@settings(derandomize=True, max_examples=25)
@given(small(), st.integers(2, 9))
def test_scale_does_not_matter(sticks, times):
    pairs = [(n * times, c) for n, c in zip(sticks.lengths, sticks.counts, strict=True)]
    same = Sticks.of("scaled", sticks.stock * times + times - 1, pairs)
    assert solve_sticks(same, 5.0).solution.objective == fewest(sticks)


@settings(derandomize=True, max_examples=15)
@given(small())
def test_stopped_at_once_it_is_honest(sticks):
    plan = solve_sticks(sticks, 5.0, cancel=lambda: True)
    assert held(sticks, plan)
    assert plan.solution.bound <= fewest(sticks) <= plan.solution.objective


# --- the linear program


def linear(sticks):
    return relax(Patterns(sticks.wanted), sticks, sticks.wanted, Clock(10.0))


def test_the_bound_by_hand():
    """Lengths of 1/2, 1/3 and 1/4 of a stick, worth as much: no stick holds more than one."""
    sticks = Sticks.of("parts", 12, [(6, 5), (4, 7), (3, 9)])
    answer = linear(sticks)
    assert answer.bound == pytest.approx(5 / 2 + 7 / 3 + 9 / 4, abs=1e-9)
    assert answer.value == pytest.approx(answer.bound, abs=1e-9)


def test_the_bound_by_hand_with_waste():
    """Stick 10, lengths 6 (3 times) and 4 (2 times) and 3 (4 times).

    A length of 6 fills a stick with one 4 or one 3; 4 + 3 + 3 and 3 + 3 + 3 fill it as well.
    Three sticks hold the 6s, with two 4s and one 3 beside them; three 3s take the fourth.
    Values 1, 0, 0 for the 6s give 3; values 2/3, 1/3, 1/3 give 2 + 2/3 + 4/3 = 4, and no stick is
    worth more than one: 6 + 4, 6 + 3, 4 + 4, 4 + 3 + 3, 3 + 3 + 3.
    """
    sticks = Sticks.of("waste", 10, [(6, 3), (4, 2), (3, 4)])
    assert linear(sticks).bound == pytest.approx(4.0, abs=1e-9)
    assert linear(sticks).value == pytest.approx(4.0, abs=1e-9)


def test_one_more_than_the_bound_rounded_up():
    """Lengths 1/2, 1/3 and 1/5 of a stick, 3, 5 and 9 times: by hand.

    Patterns of one length give 3/2 + 5/3 + 9/5 = 149/30, rounded up 5; so do the lengths end to
    end: 149 of 5 x 30. Five sticks would waste 1 of 150 in all. Four of them would be full and one
    would hold 29; but 15 a + 10 b + 6 c = 29 has no solution: for a = 1 it leaves 14, for a = 0
    29, neither of which 10 b + 6 c gives. So it takes six.
    """
    sticks = Sticks.of("halves, thirds, fifths", 30, [(15, 3), (10, 5), (6, 9)])
    assert linear(sticks).bound == pytest.approx(149 / 30, abs=1e-9)
    assert fewest(sticks) == 6
    plan = solve_sticks(sticks, 5.0)
    assert (plan.solution.objective, plan.solution.bound) == (6, 6)
    assert plan.solution.status == "optimal"
    assert held(sticks, plan)


@pytest.mark.parametrize("more", [1, 4])
def test_full_sticks_on_top_keep_the_gap(more):
    """The same with full sticks of each length added: the last argument holds for any number."""
    pairs = [(15, 3 + 2 * more), (10, 5 + 3 * more), (6, 9 + 5 * more)]
    plan = solve_sticks(Sticks.of("and full sticks", 30, pairs), 5.0)
    assert (plan.solution.objective, plan.solution.bound) == (6 + 3 * more, 6 + 3 * more)


# --- what cannot be cut, what cannot be read


def test_a_length_longer_than_the_stick():
    plan = solve_sticks(Sticks.of("rails", 100, [(101, 1), (30, 4)]), 5.0)
    assert plan.patterns == ()
    assert (plan.solution.status, plan.solution.objective) == ("infeasible", None)
    assert plan.solution.gap == float("inf")


def test_a_length_as_long_as_the_stick():
    assert solve_sticks(Sticks.of("rails", 100, [(100, 3), (1, 100)]), 5.0).solution.objective == 4


@pytest.mark.parametrize("pairs", [[(0, 2)], [(5, 0)], [(-4, 2)], [(5, -1)]])
def test_no_length_or_count_below_one(pairs):
    with pytest.raises(StockError, match=r"Allowed: .*one"):
        Sticks.of("rails", 20, pairs)


def test_reading():
    text = "3\n 120\n45\t2\n60 1\r\n45 7\n\n"
    assert read_sticks(text, "shelf") == Sticks("shelf", 120, (60, 45), (1, 9))


@settings(derandomize=True)
@given(small())
def test_what_is_written_is_read(sticks):
    lines = [str(len(sticks.lengths)), str(sticks.stock)]
    lines += [f"{n} {c}" for n, c in zip(sticks.lengths, sticks.counts, strict=True)]
    assert read_sticks("\n".join(lines), "small") == sticks


MALFORMED = {
    "nothing": "",
    "a single number": "7\n",
    "no lengths": "0\n100\n",
    "words": "2\n100\nsixty 1\n35 4\n",
    "a length below zero": "2\n100\n-60 1\n35 4\n",
    "half a millimetre": "2\n100\n60.5 1\n35 4\n",
    "a line too few": "3\n100\n60 1\n35 4\n",
    "a line too many": "1\n100\n60 1\n35 4\n",
    "a count missing": "2\n100\n60 1\n35\n",
    "a count of zero": "2\n100\n60 1\n35 0\n",
    "a stick of no length": "1\n0\n60 1\n",
    "raised digits": "2\n100\n60 1\n35 \u00b2\n",
    "bytes of a picture": "\x89PNG\ufffd\x00",
}


@pytest.mark.parametrize("text", MALFORMED.values(), ids=MALFORMED)
def test_anything_else_is_refused_plainly(text):
    with pytest.raises(StockError) as caught:
        read_sticks(text, "shelf")
    assert caught.value.where.startswith("shelf")


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("2\n100\nsixty 1\n35 4\n", 3),
        ("2\n100\n60 1\n35 x\n", 4),
        ("2\n100\n60 1\n35\n", 4),
        ("2\nlong\n60 1\n35 4\n", 2),
        ("2\n100\n60 1\n35 0\n", 4),
    ],
)
def test_the_line_is_named(text, line):
    with pytest.raises(StockError, match=f"line {line}\\b") as caught:
        read_sticks(text, "shelf")
    assert f"line {line}" in caught.value.where + caught.value.problem


@settings(derandomize=True, max_examples=300)
@given(st.text(alphabet="0123456789 \n-.x\u00b2\u0663", max_size=24))
def test_no_text_ends_in_anything_but_sticks_or_a_refusal(text):
    try:
        found = read_sticks(text, "shelf")
    except StockError:
        return
    assert found.stock > 0
    assert len(found.lengths) == len(found.counts) >= 1
