"""The strap sheet of a part."""

import pytest

from support.pieces import LAMINATE, SOLID, plan_of

THICK = SOLID.replace("11", "24")


def strapped(*lines: str):
    return plan_of(THICK, "[part.slat.form]\nstrap = 1.6\n" + "\n".join(lines) + "\n").bent["slat"]


def test_no_strap_no_sheet():
    assert plan_of(THICK).bent["slat"].strap is None
    cold = plan_of(LAMINATE, "[part.bow.form]\nstrap = 1.5\n").bent["bow"]
    assert cold.strap is None


def test_a_strap_without_a_rating_fails_and_says_what_it_needs():
    sheet = strapped().strap
    assert sheet.verdict == "fails"
    assert sheet.needed_rating == pytest.approx(1.5 * sheet.tension)
    assert "no rating is stated" in sheet.words()[0]


def test_a_strong_enough_strap_holds_and_the_pull_goes_with_the_lever():
    short = strapped('strap_rating = "90 kN"', "lever = 600").strap
    long = strapped('strap_rating = "90 kN"', "lever = 1200").strap
    assert short.verdict == long.verdict == "holds"
    assert short.pull == pytest.approx(2 * long.pull)


def test_the_blank_is_the_strip_as_milled():
    part = strapped('strap_rating = "90 kN"')
    sheet, strip = part.strap, part.strips[0]
    assert sheet.stop_spacing + sheet.take_up == pytest.approx(strip.length)
    assert sheet.stop_pressure == pytest.approx(sheet.stop_load / (24 * strip.width))
