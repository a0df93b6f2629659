"""Release of whole curves: exactness, material points, lengths."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.bend import Layup, Ply, relax, release, release_fraction, release_rates
from overbend.curve.core import Curve, Piece
from overbend.errors import LayupError
from support.pace import quiet_seconds

STACK = Layup((Ply(2.0, 12e3), Ply(3.0, 8e3, 0.3), Ply(4.0, 14e3), Ply(3.0, 9e3, 0.1)))
LONG = Curve(
    (
        Piece(300, 0.0, 0.0),
        Piece(400, 0.0, 1 / 150),
        Piece(300, 1 / 150, 1 / 150),
        Piece(500, 1 / 150, -1 / 300),
        Piece(900, -1 / 300, 0.0),
        Piece(600, 0.001, 0.001),
    ),
    start=(20.0, -30.0),
    heading=0.4,
    stations={"rail": 650.0, "seat": 1700.0},
)
SETTING = Curve((Piece(900, 0.0, 1 / 120), Piece(1500, 1 / 120, -1 / 300), Piece(605, 0.001, 0.0)))
THICK = Curve((Piece(60, 0.0, 1 / 40), Piece(50, 1 / 40, 1 / 40), Piece(70, 1 / 40, -1 / 60)))


def by_brute_force(layup, glued, set_curve=None, steps=60000):
    """Points of the released mid-depth line from rates alone, at many form stations."""
    edges = np.linspace(0.0, glued.length, steps + 1)
    s, ds = 0.5 * (edges[1:] + edges[:-1]), glued.length / steps
    kappa_set = None
    if set_curve is not None:
        kappa_set = set_curve.kappa(s * set_curve.length / glued.length)
    turn, length = release_rates(layup, glued.kappa(s), kappa_set)
    heading = glued.heading + np.cumsum(turn * ds) - 0.5 * turn * ds
    unit = np.stack([np.cos(heading), np.sin(heading)], axis=-1)
    return edges[1:], glued.start + np.cumsum(unit * (length * ds)[:, None], axis=0), length * ds


@pytest.mark.parametrize(
    ("layup", "glued", "set_curve"),
    [
        (STACK, LONG, None),
        (STACK, LONG, SETTING),
        (STACK, THICK, None),
        (STACK.reversed, THICK, None),
    ],
)
def test_positions_follow_the_rates_over_three_metres(layup, glued, set_curve):
    s, points, _ = by_brute_force(layup, glued, set_curve)
    off = relax(layup, glued, set_curve)
    found = off.released.point(np.minimum(off.to_released(s), off.released.length))
    assert np.abs(found - points).max() < 0.002


def test_lines_stay_lines_and_arcs_stay_arcs():
    released = release(STACK, LONG)
    line, last = released.pieces[0], released.pieces[-1]
    assert (line.length, line.kappa0, line.kappa1) == (300.0, 0.0, 0.0)
    assert last.kappa0 == last.kappa1
    arc = [p for p in released.pieces if p.kappa0 == p.kappa1 > 0.004]
    assert len(arc) == 1
    w = float(release_fraction(STACK, 1 / 150))
    assert arc[0].kappa0 * arc[0].length == pytest.approx((1 - w) * 2.0, rel=1e-12)


def test_continuous_curvature_stays_continuous():
    smooth = Curve(LONG.pieces[:5])
    pieces = release(STACK, smooth).pieces
    jumps = [abs(a.kappa1 - b.kappa0) for a, b in pairwise(pieces)]
    assert max(jumps) < 1e-16
    assert len(pieces) > 5


def test_the_neutral_fibre_keeps_its_length():
    arc = Curve((Piece(200.0, 1 / 60, 1 / 60),))
    released = release(STACK, arc)
    r, w = 60.0, float(release_fraction(STACK, 1 / 60))
    E, t, z = STACK.modulus, STACK.thickness, STACK.z
    logs = np.log((r - z + t / 2) / (r - z - t / 2))
    r_n = (E * t).sum() / (E * logs).sum()
    angle = released.turn
    neutral_after = released.length / angle - (r - r_n)
    assert angle == pytest.approx((1 - w) * 200.0 / 60.0, rel=1e-12)
    assert neutral_after * angle == pytest.approx(r_n * 200.0 / 60.0, rel=1e-12)
    assert abs(released.length - 200.0) > 0.01


def test_named_stations_keep_to_their_material_points():
    s, _, steps = by_brute_force(STACK, LONG)
    released = release(STACK, LONG)
    along = np.cumsum(steps)
    for name, at in LONG.stations.items():
        assert released.stations[name] == pytest.approx(np.interp(at, s, along), abs=0.001)


def test_start_and_heading_are_kept():
    released = release(STACK, LONG)
    assert released.start == LONG.start
    assert released.heading == LONG.heading


def test_a_single_strip_keeps_its_set_whatever_the_radius():
    strip = Layup((Ply(7.0, 9e3, 0.83),))
    w = release_fraction(strip, [1 / 10, 1 / 40, -1 / 900, 0.0])
    np.testing.assert_allclose(w, 0.17, rtol=1e-9)


def test_a_bend_to_the_other_side_is_the_stack_turned_over():
    mirrored = release(STACK.reversed, LONG.mirrored())
    np.testing.assert_allclose(
        mirrored.point(mirrored.even_grid(50)),
        release(STACK, LONG).mirrored().point(mirrored.even_grid(50)),
        atol=1e-8,
    )


def test_set_strips_glued_straight_come_off_bent():
    straight = Curve((Piece(300.0, 0.0, 0.0),))
    setting = Curve((Piece(300.0, 0.004, 0.004),))
    stack = Layup.equal(3, 3.0, 11e3, 0.9)
    released = release(stack, straight, setting)
    assert released.turn == pytest.approx(0.9 / 9 * 0.004 * 300, rel=1e-3)
    assert np.isinf(release_fraction(stack, 0.0, 0.004))


def test_the_same_setting_form_is_no_setting_form():
    scaled = Curve(LONG.pieces)
    np.testing.assert_allclose(
        release(STACK, LONG, scaled).point(2900.0), release(STACK, LONG).point(2900.0), atol=1e-6
    )


def test_forms_of_other_lengths_are_refused():
    with pytest.raises(LayupError, match="took their set along 150 mm and are glued along 180 mm"):
        release(STACK, THICK, Curve((Piece(150.0, 0.01, 0.01),)))


@pytest.mark.parametrize("which", ["form", "setting form"])
def test_a_form_too_tight_is_refused_by_name(which):
    tight = Curve((Piece(20.0, 0.0, 0.2),))
    fine = Curve((Piece(20.0, 0.0, 0.05),))
    curves = (tight, fine) if which == "form" else (fine, tight)
    with pytest.raises(LayupError, match=f"^{which}, 20 mm along"):
        release(STACK, *curves)


@given(
    st.lists(st.tuples(st.floats(1, 6), st.floats(4e3, 2e4)), min_size=2, max_size=7),
    st.floats(0.005, 0.15),
    st.floats(0.0, 0.95),
)
def test_fraction_lies_between_zero_and_what_one_strip_loses(plies, depth_over_r, phi):
    layup = Layup(tuple(Ply(t, E, phi) for t, E in plies))
    w = float(release_fraction(layup, depth_over_r / layup.depth))
    assert 0.0 < w < 1.0 - phi


def test_release_is_quick():
    wave = 0.003 * np.sin(np.linspace(0, 7, 201)) + 0.001
    curve = Curve(tuple(Piece(6.0, float(a), float(b)) for a, b in pairwise(wave)))
    stack = Layup(tuple(Ply(3.0, 11e3 + 300 * i, 0.5) for i in range(8)))
    assert quiet_seconds(lambda: release(stack, curve)) < 0.005
