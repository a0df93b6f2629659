"""Strain, breakage and spares of a part, from its form's curvature."""

import pytest

from overbend.plan import Plan
from overbend.project import read
from support.pieces import HEAD, LAMINATE, SOLID, plan_of


def test_strain_comes_from_the_form_not_the_target():
    part = plan_of(LAMINATE).bent["bow"]
    verdict = part.risk.strain.verdict
    inner = 1 / part.glued.tightest[1] - (part.depth / 2 - 4.5 / 2)
    assert verdict.ply == 2
    assert verdict.strain == pytest.approx(4.5 / 2 / inner, rel=1e-6)
    on_target = 4.5 / 2 / (310 - (part.depth / 2 - 4.5 / 2))
    assert verdict.strain > 1.02 * on_target


def test_a_strap_moves_the_trouble_to_the_hollow_face():
    thick = SOLID.replace("11", "26")
    free = plan_of(thick).bent["slat"].risk
    held = plan_of(thick, "[part.slat.form]\nstrap = 1.5\n").bent["slat"].risk
    assert free.strain.verdict.face == "convex"
    assert held.strain.verdict.face == "concave"
    assert held.worst.expected < free.worst.expected


def test_too_thick_a_strip_fails_as_a_result_not_an_error():
    part = plan_of(LAMINATE.replace("thickness = 3", "thickness = 14")).bent["bow"]
    verdict = part.risk.strain.verdict
    assert verdict.word == "fails"
    assert verdict.thickest < 14
    assert part.risk.spares[0].mill is None or part.risk.spares[0].mill > 30


def test_sloping_grain_breaks_sooner():
    sloped = LAMINATE + '[wood.x]\nspecies = "white-ash"\ndried = "air"\ngrain_slope = "1 in 10"\n'
    straight = plan_of(LAMINATE).bent["bow"].risk.worst.expected
    text = sloped.replace('wood = "ash"', 'wood = "x"')
    assert plan_of(text).bent["bow"].risk.worst.expected > straight


def test_spares_cover_every_row_of_strips():
    part = plan_of(LAMINATE, SOLID).bent["bow"]
    assert [s.good for s in part.risk.spares] == [strip.count for strip in part.strips]
    assert all(s.mill >= s.good for s in part.risk.spares)
    assert all(d.mill >= s.mill for s, d in zip(part.risk.spares, part.risk.doubted, strict=True))


def test_higher_confidence_asks_for_more():
    def mill(confidence):
        head = HEAD.replace("trim = 28", f"trim = 28\nconfidence = {confidence}")
        return Plan(read(head + SOLID)).bent["slat"].risk.spares[0].mill

    assert mill(60) <= mill(95) <= mill(99.5)
    assert mill(60) < mill(99.5)


def test_every_strip_has_its_own_strength():
    part = plan_of(LAMINATE).bent["bow"]
    assert len(part.risk.strengths) == len(part.layup.plies) == 3
    assert part.risk.strengths[0].tension.median != part.risk.strengths[2].tension.median
