"""The trade-off chart: where points stand, what is cut, and texts that no line crosses."""

import math
from itertools import pairwise

import pytest

from overbend.draw.drawing import Area, Disc, Label, Layer, Mark, Stroke
from overbend.draw.legible import crossed_labels
from overbend.draw.study_chart import Panel, Point, TradeOff, round_steps, tradeoff_drawing

RISK = Panel("A strip breaks", 0.005, 1.0, [(0.01, "1 in 100"), (1.0, "all")], 40.0, True, 0.05)
WOOD = Panel("Wood", 2.0, 6.0, [(3.0, "3"), (5.0, "5")], 20.0)
POINTS = [
    Point(3.0, (0.2, 3.0), "misses", letter="b", span=(0.1, 0.4)),
    Point(5.0, (0.012, 4.0), "unbeaten", ringed=True, letter="a", span=(0.006, 0.05)),
    Point(6.0, (0.01, 5.5), "beaten"),
    Point(4.0, (0.03, 9.0), "unbeaten", second=True),
    Point(7.0, (None, None), "misses"),
]
TRADE = TradeOff(
    "stacks compared", "strips", [(n, str(n)) for n in (3, 4, 5, 6)], 2.0, 7.5, POINTS,
    (RISK, WOOD), "filled: good",
)  # fmt: skip


def of_kind(sort, **where):
    return [
        i
        for i in tradeoff_drawing(TRADE, 110.0).items
        if isinstance(i, sort) and all(getattr(i, k) == v for k, v in where.items())
    ]


def test_equal_factors_are_equal_distances():
    assert RISK.y(0.005) == 0.0
    assert RISK.y(1.0) == pytest.approx(40.0)
    assert RISK.y(0.1) - RISK.y(0.01) == pytest.approx(40.0 / math.log10(200.0))
    assert WOOD.y(4.0) == 10.0
    assert WOOD.y(99.0) == 20.0


def test_points_stand_where_their_numbers_are():
    (dot, *others) = of_kind(Mark, kind="dot")
    assert dot.x == pytest.approx(110.0 * 3.0 / 5.5)
    assert dot.y == pytest.approx(-40.0 + RISK.y(0.012))
    assert [m.y for m in others] == pytest.approx([-40.0 - 9.0 - 20.0 + 10.0])


def test_state_and_way_of_working_have_signs_of_their_own():
    crosses = of_kind(Mark, kind="cross")
    assert len(crosses) == 2
    triangles = of_kind(Area, layer=Layer.TARGET)
    assert len(triangles) == 2
    assert triangles[1].paths[0].vertices[:, 1].mean() == pytest.approx(-49.0, abs=0.1)
    rings = [d for d in of_kind(Disc) if d.name == "as drawn now"]
    hollow = [d for d in of_kind(Disc) if not d.name]
    assert (len(rings), len(hollow)) == (2, 2)


def test_what_is_not_known_is_not_drawn():
    xs = [i.x for kind in (Mark, Disc) for i in of_kind(kind)]
    assert max(xs) < 110.0 * 5.0 / 5.5


def test_the_limit_is_a_line_hatched_beyond():
    (beyond,) = of_kind(Area, name="beyond the limit")
    low = beyond.paths[0].vertices[:, 1].min()
    assert low == pytest.approx(-40.0 + RISK.y(0.05))
    assert len([i for i in of_kind(Label) if i.text == "asked"]) == 1


def test_letters_and_bars_only_for_those_the_table_names():
    letters = [i.text for i in of_kind(Label) if i.text in ("a", "b")]
    assert letters == ["b", "a"]
    bars = of_kind(Stroke, layer=Layer.RELEASED)
    assert len(bars) == 2


def test_no_line_runs_through_a_text():
    assert crossed_labels(tradeoff_drawing(TRADE, 110.0), 1.0) == ()


def test_letters_close_together_are_moved_apart():
    near = [Point(5.0 + 0.01 * i, (0.02, 4.0), "unbeaten", letter=c) for i, c in enumerate("abc")]
    trade = TradeOff("t", "strips", [(5.0, "5")], 4.0, 6.0, near, (RISK, WOOD))
    drawn = tradeoff_drawing(trade)
    at = [i.x for i in drawn.items if isinstance(i, Label) and i.text in ("a", "b", "c")]
    assert all(b - a > 1.5 for a, b in pairwise(at))
    assert crossed_labels(drawn, 1.0) == ()


@pytest.mark.parametrize(("low", "high"), [(0.003, 1.0), (0.8, 44.0), (1.0, 1.0)])
def test_round_steps_are_within(low, high):
    steps = round_steps(low, high)
    assert all(low * 0.999 <= v <= high * 1.001 for v in steps)
    assert all(f"{v:e}"[0] in "125" for v in steps)
    assert len(steps) >= math.floor(3 * math.log10(high / low))
