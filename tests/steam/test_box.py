"""What fits in the box, and water and power counted by hand."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.errors import SteamError
from overbend.steam.boiler import LATENT, Boiler, HeatDraw, SteamNeed, check_boiler, steam_need
from overbend.steam.box import SteamBox, capacity
from overbend.steam.section import Section

BOX = SteamBox(1500.0, 160.0, 140.0)


def by_laying(inside, size, gap, walls):
    """Count sides by laying them one after another."""
    count, at = 0, gap if walls else 0.0
    while at + size + (gap if walls else 0.0) <= inside + 1e-6:
        count, at = count + 1, at + size + gap
    return count


@given(
    length=st.floats(100.0, 1500.0),
    width=st.floats(5.0, 130.0),
    thickness=st.floats(2.0, 110.0),
)
@settings(max_examples=60)
def test_counts_agree_with_laying_them_in(length, width, thickness):
    fits = capacity(BOX, length, Section(width, thickness))
    if fits.tight:
        assert fits.total == 1
        return
    b, h = (thickness, width) if fits.on_edge else (width, thickness)
    assert fits.along == by_laying(BOX.length, length, BOX.gap, walls=False)
    assert fits.across == by_laying(BOX.width, b, BOX.gap, walls=True)
    assert fits.layers == by_laying(BOX.height, h, BOX.gap, walls=True)


def test_a_blank_as_long_as_the_box_goes_in():
    assert capacity(BOX, 1500.0, Section(40.0, 25.0)).along == 1
    assert capacity(BOX, 745.0, Section(40.0, 25.0)).along == 2


def test_on_edge_when_more_go_in():
    assert capacity(BOX, 1200.0, Section(75.0, 20.0)).on_edge
    assert not capacity(BOX, 1200.0, Section(65.0, 27.0)).on_edge


def test_a_blank_that_only_just_goes_in_is_tight():
    fits = capacity(BOX, 1000.0, Section(158.0, 100.0))
    assert (fits.total, fits.tight) == (1, True)


@pytest.mark.parametrize(
    ("length", "section"), [(1501, (40, 25)), (900, (200, 50)), (90, (159, 141))]
)
def test_a_blank_larger_than_the_box_is_refused(length, section):
    with pytest.raises(SteamError, match="does not go into the steam box"):
        capacity(BOX, length, Section(*section))


def test_impossible_boxes_are_refused():
    with pytest.raises(SteamError, match="above zero"):
        SteamBox(0.0, 100.0, 100.0)
    with pytest.raises(SteamError, match="vented box"):
        SteamBox(1500.0, 160.0, 140.0, temperature=115.0)
    with pytest.raises(SteamError, match="hotter than the shop"):
        SteamBox(1500.0, 160.0, 140.0, temperature=18.0)
    with pytest.raises(SteamError, match="above zero"):
        capacity(BOX, 0.0, Section(40.0, 25.0))


def test_water_and_power_by_hand():
    area = 2 * (1.5 * 0.16 + 0.16 * 0.14 + 0.14 * 1.5)
    assert BOX.area == pytest.approx(area)
    assert BOX.loss_power == pytest.approx(3.5 * area * 78.0)
    draws = [HeatDraw(0.0, 600.0, 3e5), HeatDraw(300.0, 900.0, 1.2e5), HeatDraw(900.0, 1200.0, 6e4)]
    need = steam_need(BOX, draws, 7200.0, water_reserve=2.0, power_reserve=1.25)
    walls = area * 11.0 * 1600.0 * 78.0 * 0.5
    heat = 4.8e5 + walls + 3.5 * area * 78.0 * 7200.0
    assert need.water == pytest.approx(2.0 * heat / 2.257e6)
    assert need.bare_power == pytest.approx((BOX.loss_power + 500.0 + 200.0) / 1e3)
    assert need.power == pytest.approx(1.25 * need.bare_power)
    assert need.hours == 2.0


def test_an_empty_run_still_heats_the_box():
    need = steam_need(BOX, [], 3600.0)
    assert need.wood == 0.0
    assert need.bare_power == pytest.approx(BOX.loss_power / 1e3)


def test_a_boiler_against_a_need():
    need = SteamNeed(1e6, 4e5, 2e6, hours=3.0, water=4.0, power=1.3, bare_power=1.0)
    words = [check_boiler(Boiler(kW, 8.0), need).verdict for kW in (1.5, 1.1, 0.8)]
    assert words == ["holds", "close", "fails"]
    strong = check_boiler(Boiler(2.0, 8.0, keep=0.25), need, shop=15.0)
    boiled = 2000.0 * 3 * 3600.0 / LATENT
    assert strong.water == pytest.approx(boiled)
    assert strong.refills == 1  # 9.6 litres out of 6 usable
    assert strong.minutes_between == pytest.approx(6.0 * LATENT / 2000.0 / 60.0)
    assert strong.minutes_to_steam == pytest.approx((8.0 * 4186.0 * 85.0 + 4e5) / 2000.0 / 60.0)


def test_a_boiler_that_can_only_boil_dry_is_refused():
    with pytest.raises(SteamError, match="boiler"):
        Boiler(2.0, 8.0, keep=1.0)
    with pytest.raises(SteamError, match="boiler"):
        Boiler(0.0, 8.0)
