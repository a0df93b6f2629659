"""Steam in the plan: which parts, what they need, the day, and clear words for bad input."""

import pytest

from overbend.errors import OverbendError
from overbend.plan import Plan, open_plan
from overbend.plan.steam import sets_of
from overbend.project import read
from support.pace import quiet_seconds
from support.pieces import EXAMPLES, HEAD, LAMINATE, SOLID, plan_of

BOX = """
[shop.steam_box]
length = 900
width = 160
height = 140
temperature = 97
[shop.boiler]
power_kW = 2
water_litres = 6
"""
LOG = '[wood.log]\nspecies = "white-ash"\ndried = "green"\nmoisture = 48\n'
STEAMED = LAMINATE.replace('"laminate"', '"steam-laminate"')


def piece(*parts: str, shop: str = "", ash: str = "") -> Plan:
    head = HEAD.replace("trim = 28", f"trim = 28\n{shop}").replace(
        'dried = "air"', f'dried = "air"\n{ash}'
    )
    return Plan(read(head + "".join(parts)))


def test_cold_parts_are_not_steamed():
    plan = plan_of(LAMINATE, SOLID, BOX)
    assert list(plan.steamed) == ["slat"]
    assert plan_of(LAMINATE, BOX).steam_run is None


def test_without_a_box_heating_is_computed_but_no_day():
    plan = plan_of(SOLID)
    assert plan.steam_run is None
    assert plan.steamed["slat"].heating.low < plan.steamed["slat"].heating.high


def test_minutes_cover_the_slow_core_and_the_practice_of_the_trade():
    steam = plan_of(SOLID, BOX).steamed["slat"]
    assert steam.minutes >= steam.heating.high / 60
    assert steam.minutes >= steam.practice[1]
    own = plan_of(SOLID, BOX, "[part.slat.steam]\nminutes = 41\n").steamed["slat"]
    assert own.minutes == 41


def test_the_thickest_strip_is_heated_and_the_thinnest_cools_first():
    steam = plan_of(STEAMED, BOX).steamed["bow"]
    assert steam.section.thickness == 4.5
    assert steam.loading.load.strip.thickness == 3.0
    assert steam.loading.load.strips == 3


def test_a_bundle_is_heated_and_carried_as_one():
    bundle = "[part.bow.steam]\nbundle = true\n"
    loose, tied = plan_of(STEAMED, BOX).steamed["bow"], plan_of(STEAMED, BOX, bundle).steamed["bow"]
    assert tied.section.thickness == pytest.approx(10.5)
    assert tied.heating.mid > 2 * loose.heating.mid
    assert tied.loading.low > loose.loading.low


def test_two_people_load_faster_than_one():
    one = piece(SOLID).steamed["slat"].loading.seconds
    two = piece(SOLID, shop="people = 2").steamed["slat"].loading.seconds
    assert two < one


PROVEN = """
[made.slat]
kind = "trial"
part = "slat"
form_radius = 280
released_radius = 300
[part.slat.form]
count = 2
"""


def test_a_day_bends_no_more_than_there_are_forms_and_one_on_a_trial_form():
    trial = plan_of(SOLID, STEAMED, BOX).steam_run
    assert [t.part for t in trial.turns if t.part == "slat"] == ["slat"]
    assert len([t for t in trial.turns if t.part == "bow"]) == 3
    proven = plan_of(SOLID, PROVEN, BOX).steam_run
    assert [t.part for t in proven.turns] == ["slat", "slat"]


def test_all_sets_cover_the_good_parts_and_their_spares():
    plan = plan_of(SOLID, STEAMED, BOX)
    assert sets_of(plan.bent["slat"]) == plan.bent["slat"].risk.spares[0].mill
    assert sets_of(plan.bent["bow"]) >= plan.bent["bow"].count


def test_the_day_keeps_each_piece_in_until_it_is_hot():
    plan = plan_of(SOLID, STEAMED, BOX)
    run = plan.steam_run
    assert all(t.out >= t.into + plan.steamed[t.part].minutes - 1e-6 for t in run.turns)
    assert all(t.core <= t.out + 1e-6 for t in run.turns)
    assert run.boiler.verdict in ("holds", "close", "fails")


def test_drying_is_a_range_and_gluing_waits_for_the_adhesives_moisture():
    steam = plan_of(STEAMED, BOX).steamed["bow"]
    assert steam.glue_at is not None
    assert steam.gluing.low < steam.gluing.mid < steam.gluing.high
    assert plan_of(SOLID).steamed["slat"].gluing is None


def test_dry_stock_is_told_how_long_to_soak():
    assert piece(SOLID, ash="moisture = 9").steamed["slat"].soaking.mid > 0
    assert piece(SOLID, ash="moisture = 18").steamed["slat"].soaking is None


def test_a_bend_made_in_damp_air_closes_in_a_dry_home():
    climates = "[shop.climate]\nhumidity = 70\n[shop.home]\nhumidity = 35\n"
    seasons = plan_of(LAMINATE, climates).seasons["bow"]
    assert seasons[0].name == "home"
    assert seasons[0].change.value > 0
    winter, summer = seasons[1:]
    assert winter.change.value > summer.change.value


def test_a_named_climate_goes_before_the_numbers():
    named = plan_of(LAMINATE, '[shop.home]\nnamed = "heated house winter"\nhumidity = 80\n')
    assert named.home_moisture.value < 8


BAD = {
    "wet": (lambda: piece(SOLID, ash="moisture = 55").steamed, ["wood.ash", "30", "55"]),
    "green and wet": (
        lambda: piece(SOLID.replace('"ash"', '"log"'), LOG).steamed,
        ["part.slat", "48", "30"],
    ),
    "cold box": (
        lambda: plan_of(SOLID, BOX.replace("97", "85")).steamed,
        ["part.slat", "90", "85"],
    ),
    "short box": (lambda: plan_of(SOLID, BOX.replace("900", "300")).steam_run, ["slat", "300"]),
    "dry air": (lambda: plan_of(SOLID, "[shop.climate]\nhumidity = 0\n").steamed, ["humidity"]),
    "no such air": (
        lambda: plan_of(SOLID, '[shop.home]\nnamed = "attick"\n').home_moisture,
        ["shop.home", "attick", "covered-porch"],
    ),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_input_is_answered_in_clear_words(name):
    compute, words = BAD[name]
    with pytest.raises(OverbendError) as caught:
        compute()
    for word in words:
        assert word in str(caught.value)


def test_a_full_steam_chapter_is_quick():
    """Issue: under 200 ms for the largest example; CPU time, so that other work does not count."""
    plan = open_plan(next(p for p in EXAMPLES if p.stem == "slatted-bench"))
    for part in plan.bent.values():
        _ = (part.risk, part.form, part.strips)
    assert quiet_seconds(lambda: (plan.steamed, plan.steam_run), 1) < 0.2
