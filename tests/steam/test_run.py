"""The steam day: timetable, what is in the box when, refusals, speed of a chapter."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.errors import SteamError
from overbend.steam.boiler import Boiler
from overbend.steam.box import SteamBox
from overbend.steam.drying import Diffusion, drying_days, uptake
from overbend.steam.loading import FormLoad, Hands, Surroundings, check_loading
from overbend.steam.run import steam_blank, steam_run
from overbend.steam.section import Section
from overbend.wood.thermal import ThermalWood
from support.pace import quiet_seconds

BOX = SteamBox(1500.0, 150.0, 150.0)
LEG = steam_blank("leg", 5, 1100.0, Section(38.0, 25.4), 0.56, 18.0, BOX, target=90.0, window=20.0)
ROCKER = steam_blank(
    "rocker", 2, 1400.0, Section(50.0, 3.0), 0.6, 24.0, BOX, target=88.0, strips=9, window=5.0
)


def full(run, moment):
    """Part of the box that is taken at a moment."""
    share = {load.blank.name: 1.0 / load.fits.total for load in run.loads}
    return sum(share[t.part] for t in run.turns if t.into <= moment < t.out)


@given(
    legs=st.integers(1, 9),
    rockers=st.integers(1, 7),
    benders=st.integers(1, 3),
    busy=st.floats(1.0, 20.0),
    height=st.floats(60.0, 200.0),
)
@settings(max_examples=25, deadline=None)
def test_never_over_full_never_over_long_never_two_bends_at_once(
    legs, rockers, benders, busy, height
):
    blanks = [
        replace(LEG, count=legs, bend_minutes=busy),
        replace(ROCKER, count=rockers, bend_minutes=busy),
    ]
    run = steam_run(blanks, replace(BOX, height=height), benders=benders)
    assert len(run.turns) == legs + rockers
    minutes = {b.name: b.minutes for b in blanks}
    for turn in run.turns:
        assert turn.into >= 0.0
        assert turn.out - turn.into == pytest.approx(minutes[turn.part])
        assert full(run, turn.into) <= 1.0 + 1e-6
    for bender in range(1, benders + 1):
        mine = [t for t in run.turns if t.bender == bender]
        for first, then in pairwise(mine):
            assert then.out >= first.ready - 1e-9
    outs = [t.out for t in run.turns]
    assert outs == sorted(outs)
    assert run.minutes == outs[-1]


def test_what_is_in_the_box_when():
    run = steam_run([LEG, ROCKER], BOX)
    inside = []
    for event in run.events:
        if event.what == "in":
            inside.append(event.label)
        else:
            assert event.label in inside
            inside.remove(event.label)
        assert sorted(event.inside) == sorted(inside)
    assert inside == []
    assert len(run.events) == 14
    assert run.events[0].what == "in"
    minutes = [e.minute for e in run.events]
    assert minutes == sorted(minutes)


def test_one_bender_takes_them_as_fast_as_he_can_and_two_are_quicker():
    alone, two = steam_run([LEG], BOX), steam_run([LEG], BOX, benders=2)
    outs = [t.out for t in alone.turns]
    assert [b - a for a, b in pairwise(outs)] == pytest.approx([6.0] * 4)
    assert outs[0] == LEG.minutes
    assert two.minutes < alone.minutes
    assert {t.bender for t in two.turns} == {1, 2}


def test_loads_are_counted_by_what_fits():
    small = SteamBox(1150.0, 85.0, 60.0)
    run = steam_run([LEG], small)
    assert run.loads[0].fits.total == 2
    assert run.loads[0].loads == 3
    assert [t.load for t in sorted(run.turns, key=lambda t: t.number)] == [1, 1, 2, 2, 3]


def test_times_off_the_turn():
    turn = steam_run([ROCKER], BOX).turns[0]
    assert turn.core - turn.into == pytest.approx(ROCKER.band.high / 60.0)
    assert turn.clamped_by - turn.out == pytest.approx(5.0 / 60.0)
    assert turn.ready - turn.out == pytest.approx(6.0)


def test_minutes_are_the_longer_of_core_and_practice_unless_typed():
    # Dry stock goes by practice, an hour an inch; a wet bundle by its core.
    assert LEG.minutes == pytest.approx(60.0)
    assert LEG.heated == "holds"
    assert ROCKER.minutes == pytest.approx(max(ROCKER.band.high / 60.0, 30.0 * 27.0 / 25.4))
    short = replace(ROCKER, minutes=0.5 * (ROCKER.band.low + ROCKER.band.high) / 60.0)
    assert short.heated == "close"
    assert replace(ROCKER, minutes=3.0).heated == "fails"


def test_heat_into_a_blank_by_hand():
    wood = ThermalWood(0.56, 18.0)
    mass = 0.038 * 0.0254 * 1.1 * wood.density
    assert LEG.mass == pytest.approx(mass)
    assert LEG.heat == pytest.approx(mass * wood.heat_capacity(59.0) * 78.0)
    run = steam_run([LEG], BOX, Boiler(2.0, 12.0))
    assert run.need.wood == pytest.approx(5 * LEG.heat)
    assert run.boiler is not None


def test_clear_words_for_what_cannot_be():
    make = {"basic_gravity": 0.56, "moisture": 18.0, "box": BOX, "target": 90.0}
    with pytest.raises(SteamError, match=r"leg: a wood moisture of 45 %[\s\S]*fibre saturation"):
        steam_blank("leg", 1, 900.0, Section(38.0, 25.0), **(make | {"moisture": 45.0}))
    cold = replace(BOX, temperature=85.0)
    with pytest.raises(
        SteamError, match=r"leg: steam box: a box of 85 C cannot bring wood to 90 C"
    ):
        steam_blank("leg", 1, 900.0, Section(38.0, 25.0), **(make | {"box": cold}))
    with pytest.raises(SteamError, match="does not go into the steam box"):
        steam_blank("leg", 1, 1900.0, Section(38.0, 25.0), **make)
    with pytest.raises(SteamError, match="bends"):
        steam_blank("leg", 0, 900.0, Section(38.0, 25.0), **make)
    with pytest.raises(SteamError, match="minutes"):
        steam_blank("leg", 1, 900.0, Section(38.0, 25.0), **make, minutes=0.0)
    with pytest.raises(SteamError, match="names that differ"):
        steam_run([LEG, LEG], BOX)
    with pytest.raises(SteamError, match="benders"):
        steam_run([LEG], BOX, benders=0)


SIX = [(50, 3, 9), (45, 4, 7), (40, 25, 1), (38, 3.2, 5), (60, 20, 1), (30, 5, 4)]


def chapter(more):
    """All of a steam chapter for six different parts; `more` mm keeps each run uncached."""
    blanks = []
    for i, (width, thickness, strips) in enumerate(SIX):
        strip, M = Section(width + more, thickness), 17.0 + i / 3.0
        load = FormLoad(strip, strips, clamps=6)
        check = check_loading(load, ThermalWood(0.56, M), Hands(people=2), Surroundings())
        name = f"part {i}"
        blanks.append(
            steam_blank(
                name, 4, 1200.0, strip, 0.56, M, BOX, target=90.0, strips=strips, window=check.low
            )
        )
        drying_days(thickness, 20.0, 9.0, 8.0, Diffusion.of_wood(0.6))
        uptake(thickness, M, 3600.0, Diffusion.of_wood(0.6))
    return steam_run(blanks, BOX, Boiler(2.0, 12.0))


def test_a_chapter_of_six_parts_within_a_fifth_of_a_second():
    chapter(0.0)
    more = iter((0.1, 0.2, 0.3, 0.4))
    assert quiet_seconds(lambda: chapter(next(more)), 4) < 0.2
