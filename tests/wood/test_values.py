"""Values with their source: standing, ranges, the chain back to what was read."""

import doctest

from hypothesis import given
from hypothesis import strategies as st

from overbend.wood import values
from overbend.wood.values import Value, derived, over_range, weakest

STATUSES = ("read", "yours", "computed", "practice", "memory", "assumed")


def test_doctests():
    assert doctest.testmod(values).failed == 0


@given(st.lists(st.sampled_from(STATUSES), min_size=1))
def test_a_result_stands_no_better_than_any_input(statuses):
    inputs = tuple(Value(1.0, "", "there", status) for status in statuses)
    found = derived(2.0, "", "sum", inputs).status
    assert all(STATUSES.index(found) >= STATUSES.index(status) for status in statuses)
    assert found in {"computed", *statuses}


def test_weakest_of_one():
    assert weakest("practice") == "practice"


def test_words_for_ranges():
    assert str(Value(15.0, "min", "sheet", "yours", low=15.0)) == "at least 15 min"
    assert str(Value(7.0, "%", "meter", "yours", low=6.0, high=8.5)) == "7 % (6 to 8.5)"
    assert str(Value(0.6, "", "table", "read")) == "0.6"


def test_a_range_is_carried_whichever_way_the_law_runs():
    over = Value(8.0, "%", "usual", "practice", "moisture", 6.0, 11.0)
    falling = over_range(lambda m: Value(100 - 3 * m, "MPa", "law", "computed"), over)
    assert (falling.value, falling.low, falling.high) == (76.0, 67.0, 82.0)
    assert falling.status == "practice"
    assert over in falling.inputs


def test_a_range_of_nothing_is_no_range():
    over = Value(40.0, "%", "usual", "practice", "moisture", 30.0, 90.0)
    flat = over_range(lambda _: Value(5.0, "MPa", "law", "read"), over)
    assert (flat.low, flat.high) == (None, None)


def test_the_wider_of_two_ranges_is_kept():
    over = Value(8.0, "%", "usual", "practice", "moisture", 6.0, 11.0)
    found = over_range(lambda m: Value(m, "", "law", "computed", low=m - 1.5, high=m + 0.5), over)
    assert (found.low, found.high) == (4.5, 11.5)


def test_the_trail_indents_inputs_of_inputs():
    deep = Value(1.0, "", "bottom", "memory", "deep")
    middle = derived(2.0, "", "twice", (deep,), "middle")
    lines = derived(4.0, "", "twice", (middle,), "top").trail()
    assert [len(line) - len(line.lstrip()) for line in lines] == [0, 2, 4]
    assert lines[2].strip() == "deep: 1, memory: bottom"
