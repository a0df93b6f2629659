"""The checker of nested sheets finds every fault put into a plan that `nest` made."""

from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.solver import Stop
from overbend.stock import Nested, Panel, Sheet, nest, verify_sheets

KERF = 3.4
PANELS = (
    Panel("seat form", 760.0, 215.0, 5, turns=False),
    Panel("back form", 540.0, 130.0, 4),
    Panel("caul", 310.0, 90.0, 3),
)
SHEET = Sheet("poplar 15", 1220.0, 905.0, trim=8.0)


@cache
def nested():
    return nest(PANELS, SHEET, KERF, Stop(2.0)).panels


def faults(panels, sheet=SHEET, wanted=PANELS, kerf=KERF):
    return verify_sheets(panels, wanted, sheet, kerf)


def at(n, **changes):
    """The plan with one panel changed."""
    panels = nested()
    return (*panels[:n], replace(panels[n], **changes), *panels[n + 1 :])


PLACES = st.integers(0, sum(p.count for p in PANELS) - 1)
SHARES = st.floats(1e-4, 1.0)


def test_the_untouched_plan_passes():
    assert len(nested()) == sum(p.count for p in PANELS)
    assert max(n.sheet for n in nested()) > 1
    assert faults(nested()) == ()


@settings(derandomize=True)
@given(PLACES, st.data())
def test_a_panel_over_another_is_found(n, data):
    here = nested()[n]
    mates = [m for m in nested() if m.sheet == here.sheet and m is not here]
    mate = data.draw(st.sampled_from(mates))
    x = mate.x + data.draw(st.floats(-0.99, 0.99)) * min(here.length, mate.length)
    y = mate.y + data.draw(st.floats(-0.99, 0.99)) * min(here.width, mate.width)
    assert any("edge to edge" in f for f in faults(at(n, x=x, y=y)))


def close_pairs():
    """Panels one kerf from another along the sheet, in the same row."""
    return [
        (n, m)
        for n, one in enumerate(nested())
        for m, two in enumerate(nested())
        if one.sheet == two.sheet
        and abs(two.x - one.x - one.length - KERF) < 1e-6
        and one.y < two.y + two.width
        and two.y < one.y + one.width
    ]


@settings(derandomize=True)
@given(st.data(), SHARES)
def test_a_kerf_eaten_is_found(data, share):
    n, m = data.draw(st.sampled_from(close_pairs()))
    one = nested()[n]
    x = one.x + one.length + KERF * (1 - share)
    assert any("edge to edge" in f for f in faults(at(m, x=x)))


@settings(derandomize=True)
@given(SHARES)
def test_a_wider_saw_than_planned_for_is_found(share):
    assert any("edge to edge" in f for f in faults(nested(), kerf=KERF + share))


@settings(derandomize=True)
@given(PLACES, st.sampled_from(["left", "right", "near", "far"]), SHARES)
def test_a_panel_out_of_the_trimmed_sheet_is_found(n, side, share):
    p, trim = nested()[n], SHEET.trim
    places = {
        "left": {"x": trim * (1 - share)},
        "right": {"x": SHEET.length - trim - p.length + share * p.length},
        "near": {"y": trim * (1 - share)},
        "far": {"y": SHEET.width - trim - p.width + share * p.width},
    }
    assert any("out of the sheet" in f for f in faults(at(n, **places[side])))


@settings(derandomize=True)
@given(PLACES)
def test_a_panel_turned_against_its_grain_is_found(n):
    p = nested()[n]
    new = at(n, turned=True, length=p.width, width=p.length)
    found = any("may not be turned" in f for f in faults(new))
    assert found == (p.panel == "seat form")


@settings(derandomize=True)
@given(PLACES)
def test_a_panel_said_to_be_turned_that_is_not_is_found(n):
    p = nested()[n]
    assert any("mm on the sheet" in f for f in faults(at(n, turned=not p.turned)))


@settings(derandomize=True)
@given(PLACES, st.sampled_from(["length", "width"]), SHARES)
def test_a_panel_of_a_wrong_size_is_found(n, side, share):
    size = getattr(nested()[n], side) - share
    assert any("mm on the sheet" in f for f in faults(at(n, **{side: size})))


@settings(derandomize=True)
@given(PLACES)
def test_one_missing_is_found(n):
    short = (*nested()[:n], *nested()[n + 1 :])
    name = nested()[n].panel
    assert any(f"of {name}, " in f and "are asked for" in f for f in faults(short))


@settings(derandomize=True)
@given(PLACES)
def test_one_too_many_is_found(n):
    extra = replace(nested()[n], sheet=99, x=SHEET.trim, y=SHEET.trim)
    assert any("are asked for" in f for f in faults((*nested(), extra)))


@settings(derandomize=True)
@given(PLACES)
def test_a_panel_nobody_asked_for_is_found(n):
    assert "shelf is not asked for" in faults(at(n, panel="shelf"))


def test_more_sheets_than_there_are_is_found():
    taken = max(n.sheet for n in nested())
    assert faults(nested(), sheet=replace(SHEET, count=taken)) == ()
    (fault,) = faults(nested(), sheet=replace(SHEET, count=taken - 1))
    assert f"{taken} sheets" in fault


def pinwheel(a, b, hole, kerf):
    """Four panels around a hole: no cut from edge to edge frees any of them."""
    long, short = a + hole + kerf, b
    places = [
        (0.0, 0.0, long, short),
        (long + kerf, 0.0, short, long),
        (short + kerf, long + kerf, long, short),
        (0.0, short + kerf, short, long),
    ]
    return [Nested("blade", 1, x, y, n, w, n < w) for x, y, n, w in places]


@settings(derandomize=True)
@given(
    st.floats(20.0, 300.0), st.floats(20.0, 300.0), st.floats(1.0, 90.0), st.sampled_from([0.0, 3])
)
def test_the_pinwheel_cannot_be_sawn(a, b, hole, kerf):
    blades = pinwheel(b + a, b, hole, kerf)
    size = max(p.x + p.length for p in blades)
    sheet = Sheet("ply", size + 1.0, size + 1.0)
    wanted = [Panel("blade", blades[0].length, blades[0].width, 4)]
    (fault,) = verify_sheets(blades, wanted, sheet, kerf)
    assert "edge to edge" in fault


@pytest.mark.parametrize("left_out", range(4))
def test_three_blades_of_the_pinwheel_can(left_out):
    blades = pinwheel(190.0, 120.0, 40.0, 3.0)
    wanted = [Panel("blade", blades[0].length, blades[0].width, 3)]
    three = [b for n, b in enumerate(blades) if n != left_out]
    assert verify_sheets(three, wanted, Sheet("ply", 600.0, 600.0), 3.0) == ()
