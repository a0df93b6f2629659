import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.bend.hot import HotWood, bend_free, bend_strapped
from overbend.bend.strain import (
    BendWay,
    Limits,
    StripBend,
    cold_strain,
    part_strain,
    thickest_strip,
    tightest_radius,
)
from overbend.curve import Curve, Piece
from overbend.errors import CurveError, LayupError

FEW, HALF = Limits(0.010, 0.20), Limits(0.015, 0.30)
ASH = HotWood(3000.0, 9.0)
WAYS = st.sampled_from(
    [BendWay(), BendWay(ASH), BendWay(ASH, strap=True), BendWay(ASH, strap=True, stretch=0.004)]
)


def cold(thickness):
    return StripBend(thickness, BendWay(), FEW, HALF)


def easing(length, radius):
    """A straight, an easement into an arc, and the arc."""
    k = 1 / radius
    return Curve((Piece(70.0, 0.0, 0.0), Piece(length, 0.0, k), Piece(130.0, k, k)))


@given(st.floats(0.5, 40), st.floats(50, 5000))
def test_cold_strain_is_the_lengthening_of_the_face(thickness, radius):
    face = (radius + thickness / 2) / radius - 1
    assert cold_strain(thickness, -1 / radius) == pytest.approx(face, rel=1e-9)


@given(WAYS, st.floats(0.5, 40), st.floats(0.005, 0.03), st.floats(0.05, 0.4))
def test_both_inverses_reach_a_limit_and_undo_each_other(way, thickness, tension, compression):
    limits = Limits(tension, compression)
    radius = tightest_radius(thickness, way, limits)
    e, c = way.faces(thickness, 1 / radius)
    assert max(e / tension, c / compression) == pytest.approx(1.0, rel=1e-6)
    assert thickest_strip(radius, way, limits) == pytest.approx(thickness, rel=1e-12)


@given(WAYS, st.floats(1, 30), st.floats(1.01, 3))
def test_a_gentler_bend_always_strains_less(way, thickness, ease):
    limits = Limits(0.012, 0.25)
    radius = tightest_radius(thickness, way, limits)
    tight, gentle = (way.faces(thickness, 1 / r) for r in (radius, ease * radius))
    assert gentle[1] < tight[1]
    assert gentle[0] <= tight[0] + 1e-12


def test_each_strip_bends_to_its_own_radius():
    arc = Curve((Piece(150.0, 1 / 240, 1 / 240),))
    part = part_strain(arc, [cold(2.0), cold(5.0), cold(3.0)])
    # outside in from z = -5: middles at -4, -0.5 and 3.5 mm towards the centre
    radii = np.array([244.0, 240.5, 236.5])
    assert 1 / part.kappa[:, 0] == pytest.approx(radii)
    assert part.tension[:, 0] == pytest.approx(np.array([2, 5, 3]) / (2 * radii))
    assert part.kappa[:, 0] == pytest.approx(
        [float(arc.offset(z).kappa(60.0)) for z in (-4.0, -0.5, 3.5)]
    )


def test_worst_place_is_the_end_of_a_segment_even_between_stations():
    peak = Curve((Piece(101.0, 0.0, 1 / 150), Piece(77.0, 0.0, 0.0)))
    verdict = part_strain(peak, [cold(2.9)], spacing=40.0).verdict
    assert verdict.start == verdict.end == pytest.approx(101.0)
    assert verdict.radius == pytest.approx(150.0)


def test_an_arc_is_named_from_end_to_end():
    verdict = part_strain(easing(90.0, 170.0), [cold(2.2), cold(3.0)]).verdict
    assert (verdict.start, verdict.end) == pytest.approx((160.0, 290.0))
    assert verdict.ply == 1


def test_two_equal_bends_apart_name_the_first_only():
    k = 1 / 200
    twice = Curve((Piece(50, k, k), Piece(60, 0, 0), Piece(50, k, k)))
    verdict = part_strain(twice, [cold(3.0)]).verdict
    assert (verdict.start, verdict.end) == pytest.approx((0.0, 50.0))


@pytest.mark.parametrize(
    ("radius", "word"), [(151.0, "holds"), (149.0, "close"), (101.0, "close"), (99.9, "fails")]
)
def test_words_of_a_cold_strip(radius, word):
    verdict = part_strain(Curve((Piece(90.0, 1 / radius, 1 / radius),)), [cold(3.0)]).verdict
    assert verdict.word == word
    assert verdict.face == "convex"
    assert verdict.strain == pytest.approx(1.5 / radius)
    assert verdict.tightest == pytest.approx(150.0)
    assert verdict.thickest == pytest.approx(0.02 * radius)
    assert verdict.words().startswith(word.capitalize() + ": it stretches by")


def test_verdict_goes_to_the_strip_nearest_to_failing_not_the_most_strained():
    weak = StripBend(2.0, BendWay(), Limits(0.004, 0.2), Limits(0.006, 0.3))
    arc = Curve((Piece(90.0, 1 / 180, 1 / 180),))
    verdict = part_strain(arc, [cold(3.0), weak, cold(3.0)]).verdict
    assert (verdict.ply, verdict.word) == (1, "close")
    assert "strip 2 of 3 from the outside" in verdict.words()


def test_a_strapped_strip_crumples_on_the_hollow_side():
    radius = 3.0 * 25.0 + 12.5
    way = BendWay(ASH, strap=True)
    arc = Curve((Piece(120.0, 1 / radius, 1 / radius),))
    verdict = part_strain(arc, [StripBend(25.0, way, FEW, HALF)]).verdict
    assert (verdict.word, verdict.face) == ("close", "concave")
    assert verdict.strain == pytest.approx(0.25)
    assert "is squeezed by 25.00 %" in verdict.words()


def test_a_strap_does_nothing_where_the_curve_turns_the_other_way():
    k = 1 / 300
    wave = Curve((Piece(80.0, k, k), Piece(80.0, -0.9 * k, -0.9 * k)))
    way = BendWay(ASH, strap=True)
    part = part_strain(wave, [StripBend(20.0, way, FEW, HALF)])
    held, free = bend_strapped(ASH, 20.0, k), bend_free(ASH, 20.0, 0.9 * k)
    assert part.tension[0, 0] == pytest.approx(float(held.tension))
    assert part.tension[0, -1] == pytest.approx(float(free.tension))
    assert part.verdict.start > 79.9


@given(st.floats(0.0, 0.05))
def test_reach_grows_with_strain_and_marks_the_limits(strain):
    arc = Curve((Piece(50.0, strain / 1.5, strain / 1.5),))
    reach = float(part_strain(arc, [cold(3.0)]).reach.max())
    assert reach == pytest.approx(np.interp(strain, [0, 0.01, 0.015, 0.06], [0, 1, 2, 8]))


def test_nothing_bent_holds():
    verdict = part_strain(Curve((Piece(300.0, 0.0, 0.0),)), [cold(4.0), cold(6.0)]).verdict
    assert verdict.word == "holds"
    assert math.isinf(verdict.radius)
    assert verdict.words() == "Holds: nothing is bent."


def test_words_take_the_readers_unit():
    arc = Curve((Piece(100.0, 1 / 254, 1 / 254),))
    said = part_strain(arc, [cold(3.0)]).verdict.words(lambda mm: f"{mm / 25.4:.2f} in")
    assert "its radius is 10.00 in" in said


def test_refusals():
    arc = Curve((Piece(100.0, 1 / 60, 1 / 60),))
    with pytest.raises(LayupError, match="one strip or more"):
        part_strain(arc, [])
    with pytest.raises(CurveError, match="folds"):
        part_strain(arc, [cold(130.0), cold(6.0)])
    with pytest.raises(LayupError, match="steamed wood only"):
        BendWay(strap=True)
    with pytest.raises(LayupError, match="limits above zero"):
        Limits(0.0, 0.3)
    with pytest.raises(LayupError, match="above those of holding"):
        StripBend(3.0, BendWay(), HALF, FEW)
    with pytest.raises(LayupError, match="thickness above zero"):
        StripBend(0.0, BendWay(), FEW, HALF)
