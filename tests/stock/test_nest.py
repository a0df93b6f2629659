"""Nested sheets: as few as trying every way to saw them gives, and never out of bounds."""

from dataclasses import replace
from functools import cache

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from overbend.errors import StockError
from overbend.solver import Stop
from overbend.stock import Panel, Sheet, nest, verify_sheets

# --- trying every way; knows nothing of the solver


def fewest(panels, sheet, kerf):
    """Fewest sheets for at most five panels, by every grouping and every order of cuts."""
    items = tuple((p.length, p.width, p.turns) for p in panels for _ in range(p.count))
    room = (sheet.length - 2 * sheet.trim, sheet.width - 2 * sheet.trim)
    every = (1 << len(items)) - 1
    fits = {s for s in range(1, every + 1) if sawable(room, picked(items, s), kerf)}

    @cache
    def least(left):
        if not left:
            return 0
        first = left & -left
        return min(1 + least(left & ~s) for s in fits if s & first and s & left == s)

    return least(every)


def picked(items, chosen):
    return tuple(sorted(item for n, item in enumerate(items) if chosen >> n & 1))


@cache
def sawable(room, items, kerf):
    """Whether a rectangle can be sawn into the items: the first cut parts them in two lots.

    A cut at the sum of sizes of some items is enough, and the waste beyond the last is free.
    """
    if sum(n * w for n, w, _ in items) > room[0] * room[1]:
        return False
    if len(items) == 1:
        n, w, turns = items[0]
        return (n <= room[0] and w <= room[1]) or (turns and w <= room[0] and n <= room[1])
    for lot in range(1, (1 << len(items)) - 1):
        one, two = picked(items, lot), picked(items, ~lot & ((1 << len(items)) - 1))
        for side in (0, 1):
            for at in sums(one):
                left = room[side] - at - kerf
                if at > room[side] or left <= 0:
                    continue
                near, far = ((at, room[1]), (left, room[1])) if side == 0 else (
                    (room[0], at), (room[0], left))  # fmt: skip
                if sawable(near, one, kerf) and sawable(far, two, kerf):
                    return True
    return False


def sums(items):
    """Sizes, side by side in any direction with no kerf or more, that a lot can take."""
    found = {0}
    for n, w, _ in items:
        found |= {s + size for s in found for size in (n, w)}
    kerfs = range(len(items))
    return sorted({s + k * KERF for s in found for k in kerfs if s})


KERF = 4
SIDES = st.integers(20, 75)


@st.composite
def shops(draw):
    """One to five panels of at most three kinds, and a sheet that each of them fits."""
    kinds = draw(st.integers(1, 3))
    counts = draw(st.sampled_from([c for c in COUNTS if len(c) == kinds]))
    panels = [
        Panel(f"layer {n}", draw(SIDES), draw(SIDES), count, draw(st.booleans()))
        for n, count in enumerate(counts)
    ]
    trim = draw(st.sampled_from([0, 5]))
    sheet = Sheet("ply", draw(st.integers(76, 150)) + 2 * trim, 101 + 2 * trim, trim=trim)
    return panels, sheet


COUNTS = [(3,), (5,), (1, 2), (2, 2), (1, 4), (2, 3), (1, 1, 2), (2, 1, 2), (1, 1, 1)]


@settings(derandomize=True, max_examples=60)
@given(shops())
def test_as_few_sheets_as_trying_everything(shop):
    panels, sheet = shop
    found = nest(panels, sheet, KERF, Stop(5.0))
    expected = fewest(panels, sheet, KERF)
    assert found.solution.status == "optimal"
    assert found.solution.objective == found.solution.bound == expected
    assert verify_sheets(found.panels, panels, sheet, KERF) == ()
    assert len({p.sheet for p in found.panels}) == expected


@settings(derandomize=True, max_examples=25)
@given(shops())
def test_stopped_at_once_the_bound_still_holds(shop):
    panels, sheet = shop
    found = nest(panels, sheet, KERF, Stop(5.0), cancel=lambda: True)
    expected = fewest(panels, sheet, KERF)
    assert found.solution.bound <= expected <= found.solution.objective
    assert verify_sheets(found.panels, panels, sheet, KERF) == ()


@settings(derandomize=True, max_examples=15)
@given(
    st.lists(
        st.tuples(st.floats(60, 900), st.floats(40, 400), st.integers(1, 14), st.booleans()),
        min_size=3, max_size=6,
    ),
    st.floats(0.5, 6.0), st.floats(0.0, 20.0),
)  # fmt: skip
def test_many_panels_are_in_bounds(sizes, kerf, trim):
    panels = [Panel(f"layer {n}", *size) for n, size in enumerate(sizes)]
    sheet = Sheet("ply", 1250.0, 930.0, trim=trim)
    assume(all(p.length <= 880.0 for p in panels))
    found = nest(panels, sheet, kerf, Stop(0.2))
    assert verify_sheets(found.panels, panels, sheet, kerf) == ()
    assert found.solution.bound <= found.solution.objective
    taken = sum(p.length * p.width for p in found.panels)
    room = (sheet.length - 2 * trim) * (sheet.width - 2 * trim)
    assert found.solution.objective >= taken / room
    assert found.solution.status == (
        "optimal" if found.solution.bound == found.solution.objective else "feasible"
    )


@settings(derandomize=True, max_examples=40)
@given(st.integers(2, 6), st.floats(50.0, 300.0), st.floats(0.1, 5.0), st.floats(0.0, 15.0))
def test_kerf_and_trim_decide(times, size, kerf, trim):
    """So many in a row fit to a thousandth; a thousandth less and one is left over."""
    row = times * size + (times - 1) * kerf + 2 * trim
    panels = [Panel("layer", size, 100.0, times, turns=False)]
    exact = Sheet("ply", row + 1e-3, 100.0 + 2 * trim + 1e-3, trim=trim)
    short = replace(exact, length=row - 1e-3)
    assert nest(panels, exact, kerf, Stop(1.0)).solution.objective == 1
    assert nest(panels, short, kerf, Stop(1.0)).solution.objective == 2


def test_a_panel_as_large_as_the_trimmed_sheet_fits():
    panel, sheet = Panel("form", 1180.0, 560.0, 2), Sheet("ply", 1200.0, 580.0, trim=10.0)
    assert nest([panel], sheet, 3.0).solution.objective == 2


def test_a_panel_that_fits_only_turned():
    panel, sheet = Panel("form", 500.0, 1100.0, 3), Sheet("ply", 1200.0, 580.0)
    found = nest([panel], sheet, 3.0)
    assert all(p.turned for p in found.panels)
    assert found.solution.objective == 3
    (refusal,) = nest([replace(panel, turns=False)], sheet, 3.0).refusals
    assert refusal.part == "form"
    assert "as it lies" in refusal.why


def test_a_panel_larger_than_the_sheet_is_refused():
    panels = [Panel("form", 1330.0, 310.0, 4), Panel("caul", 150.0, 60.0, 2)]
    found = nest(panels, Sheet("poplar 12", 1220.0, 900.0, trim=10.0), 3.0)
    assert found.panels == ()
    assert (found.solution.status, found.solution.objective) == ("infeasible", None)
    (refusal,) = found.refusals
    assert refusal.part == "form"
    assert "1330 by 310 mm" in refusal.why
    assert "poplar 12, 1220 by 900 mm" in refusal.why
    assert "1350 by 330 mm would do" in refusal.todo


def test_the_trim_is_in_the_way():
    panel = Panel("form", 1190.0, 310.0, 1)
    assert nest([panel], Sheet("ply", 1200.0, 900.0), 3.0).panels
    assert nest([panel], Sheet("ply", 1200.0, 900.0, trim=6.0), 3.0).refusals


@pytest.mark.parametrize("there", [0, 1, 2])
def test_too_few_sheets(there):
    panel, sheet = Panel("form", 700.0, 500.0, 5), Sheet("ply", 1300.0, 720.0, count=there)
    found = nest([panel], sheet, 3.0, Stop(0.5))
    assert found.panels == ()
    assert found.solution.status == "infeasible"
    assert found.solution.bound > there
    (refusal,) = found.refusals
    assert refusal.part == "form"
    assert f"{there} of ply do not suffice" in refusal.why
    more = int(refusal.todo.split()[0])
    assert nest([panel], replace(sheet, count=there + more), 3.0, Stop(0.5)).panels


def test_nothing_to_nest():
    found = nest([], Sheet("ply", 1300.0, 720.0), 3.0)
    assert (found.panels, found.solution.objective, found.refusals) == ((), 0, ())


def test_two_panels_of_one_name_are_refused():
    with pytest.raises(StockError, match="every name once"):
        nest([Panel("a", 10, 20, 1), Panel("a", 30, 20, 1)], Sheet("ply", 90, 90), 1.0)


@settings(derandomize=True, max_examples=10)
@given(shops())
def test_the_same_seed_gives_the_same_plan(shop):
    panels, sheet = shop
    assert nest(panels, sheet, KERF, Stop(5.0), 3).panels == nest(
        panels, sheet, KERF, Stop(5.0), 3
    ).panels  # fmt: skip


@pytest.mark.parametrize(
    "make",
    [
        lambda: Panel("form", 0.0, 30.0, 1),
        lambda: Panel("form", 50.0, -1.0, 1),
        lambda: Panel("form", 50.0, 30.0, 0),
        lambda: Sheet("ply", 100.0, 60.0, trim=30.0),
        lambda: Sheet("ply", 100.0, 60.0, trim=-1.0),
        lambda: Sheet("ply", 100.0, 60.0, count=-2),
        lambda: Panel("form", float("nan"), 30.0, 1),
        lambda: Sheet("ply", float("nan"), 60.0),
    ],
)
def test_what_is_no_panel_or_sheet_is_refused(make):
    with pytest.raises(StockError):
        make()
