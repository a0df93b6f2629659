"""The form whose release is the target."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.bend import (
    Layup,
    Ply,
    form_curvature,
    form_for,
    lay_on,
    overbent,
    relax,
    release,
    release_fraction,
)
from overbend.curve.core import Curve, Piece
from overbend.errors import LayupError
from support.pace import quiet_seconds

STACK = Layup((Ply(2.0, 12e3), Ply(3.0, 8e3, 0.3), Ply(4.0, 14e3), Ply(3.0, 9e3, 0.1)))
TARGET = Curve(
    (
        Piece(300, 0.0, 0.0),
        Piece(400, 0.0, 1 / 180),
        Piece(300, 1 / 180, 1 / 180),
        Piece(500, 1 / 180, -1 / 300),
        Piece(900, -1 / 300, 0.0),
        Piece(600, 0.001, 0.001),
    ),
    start=(20.0, -30.0),
    heading=0.4,
    stations={"rail": 650.0, "seat": 1700.0},
)
SETTING = Curve((Piece(900, 0.0, 1 / 120), Piece(1500, 1 / 120, -1 / 300), Piece(605, 0.001, 0.0)))
TIGHT = Curve((Piece(60, 0.0, 1 / 50), Piece(50, 1 / 50, 1 / 50), Piece(70, 1 / 50, -1 / 60)))
SETTING_TIGHT = Curve((Piece(90, 0.0, 1 / 30), Piece(90, 1 / 35, -1 / 50)))


def miss(layup, target, set_curve=None):
    """Largest distance between a target and the release of its form, point by point."""
    made = overbent(layup, target, set_curve)
    off = relax(layup, made.form, set_curve)
    placed = lay_on(off.released, target)
    s = target.even_grid(3001)
    there = np.clip(off.to_released(made.to_form(s)), 0.0, placed.length)
    return np.hypot(*(placed.point(there) - target.point(s)).T).max(), off.released


@pytest.mark.parametrize(
    ("layup", "target", "set_curve"),
    [
        (STACK, TARGET, None),
        (STACK, TARGET, SETTING),
        (STACK, TIGHT, None),
        (STACK, TIGHT, SETTING_TIGHT),
        (Layup.equal(1, 25.0, 12e3, 0.9), TARGET, None),
        (Layup.equal(2, 5.0, 12e3), TARGET, None),
    ],
)
def test_the_release_of_the_form_is_the_target(layup, target, set_curve):
    distance, released = miss(layup, target, set_curve)
    assert distance < 0.002
    for name, at in target.stations.items():
        assert released.stations[name] == pytest.approx(at, abs=0.001)


@given(
    st.lists(
        st.tuples(st.floats(1, 6), st.floats(5e3, 2e4), st.floats(0, 0.95)),
        min_size=2, max_size=8,
    ),
    st.lists(st.floats(-0.08, 0.08), min_size=2, max_size=6),
)  # fmt: skip
@settings(max_examples=40, deadline=None)
def test_any_stack_and_curve_come_back(plies, bends):
    layup = Layup(tuple(Ply(*p) for p in plies))
    kappas = [b / layup.depth for b in bends]
    target = Curve(tuple(Piece(8 * layup.depth, a, b) for a, b in pairwise(kappas)))
    w = float(np.max(release_fraction(layup, kappas)))
    if w > 0.85:
        return
    assert miss(layup, target)[0] < 0.002


def test_lines_and_arcs_of_the_target_are_lines_and_arcs_of_the_form():
    form = form_for(STACK, TARGET)
    line = form.pieces[0]
    assert (line.length, line.kappa0, line.kappa1) == (300.0, 0.0, 0.0)
    arcs = [p for p in form.pieces if p.kappa0 == p.kappa1 > 0.004]
    assert len(arcs) == 1
    assert arcs[0].kappa0 > 1 / 180
    again = release(STACK, Curve((arcs[0],)))
    assert again.pieces[0].kappa0 == pytest.approx(1 / 180, rel=1e-12)
    assert again.length == pytest.approx(300.0, rel=1e-12)


def test_a_reverse_bend_is_overbent_to_its_own_side():
    kappa = np.array([1 / 180, 0.0, -1 / 300])
    found = form_curvature(STACK, kappa)
    assert found[0] > kappa[0]
    assert found[1] == 0.0
    assert found[2] < kappa[2]


def test_a_single_cold_strip_has_no_form():
    with pytest.raises(LayupError, match="spring back almost straight"):
        form_for(Layup.equal(1, 6.0, 11e3), TARGET)


def test_a_single_strip_has_no_gluing_form():
    with pytest.raises(LayupError, match="single strip is not glued"):
        form_for(Layup.equal(1, 6.0, 11e3, 0.8), TARGET, SETTING)


def test_a_form_tighter_than_the_stack_is_refused_with_the_radius_asked():
    weak = Layup.equal(1, 10.0, 11e3, 0.4)
    with pytest.raises(LayupError, match=r"radius of 5\.5 mm"):
        form_for(weak, Curve((Piece(6.0, 1 / 5.5, 1 / 5.5),)))


def test_a_target_tighter_than_the_stack_is_refused_by_name():
    with pytest.raises(LayupError, match=r"^target, 0 mm along"):
        form_for(STACK, Curve((Piece(6.0, 1 / 5, 1 / 8),)))


def test_the_inverse_is_quick():
    wave = 0.003 * np.sin(np.linspace(0, 7, 201)) + 0.001
    curve = Curve(tuple(Piece(6.0, float(a), float(b)) for a, b in pairwise(wave)))
    stack = Layup(tuple(Ply(3.0, 11e3 + 300 * i, 0.5) for i in range(8)))
    assert quiet_seconds(lambda: form_for(stack, curve)) < 0.005
