"""Shrinkage and swelling of strips, sections and tenons."""

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.errors import WoodError
from overbend.wood import swelling
from overbend.wood.species import all_species, custom_species, find_species
from overbend.wood.swelling import (
    dimension_change,
    movement,
    section_change,
    shrinkage,
    shrinkage_to,
    sides,
    size_at,
)

ASH, OAK = find_species("white ash"), find_species("white oak")
moistures = st.floats(0.0, 60.0)
wholes = st.floats(0.5, 20.0)


def test_doctests():
    assert doctest.testmod(swelling).failed == 0


@given(wholes, st.floats(30.0, 200.0))
def test_nothing_moves_above_fibre_saturation(whole, wet):
    assert shrinkage_to(whole, wet) == 0.0
    assert size_at(37.0, whole, wet, wet + 11.0) == 37.0


@given(wholes, st.floats(0.0, 30.0))
def test_shrinkage_is_a_straight_line(whole, moisture):
    assert shrinkage_to(whole, 0.0) == whole
    assert shrinkage_to(whole, moisture) == pytest.approx(whole * (30 - moisture) / 30)


@given(wholes, moistures, moistures, moistures)
def test_where_it_passes_through_does_not_matter(whole, first, middle, last):
    there = size_at(size_at(80.0, whole, first, middle), whole, middle, last)
    assert there == pytest.approx(size_at(80.0, whole, first, last))


@given(moistures, moistures)
def test_wetter_is_wider(one, other):
    low, high = sorted((one, other))
    assert dimension_change(OAK, 62.0, "tangential", low, high).value >= 0
    assert dimension_change(OAK, 62.0, "tangential", high, low).value <= 0


def test_a_strain_by_hand():
    s11, s6 = 0.078 * 19 / 30, 0.078 * 24 / 30
    found = movement(ASH, "tangential", 11.0, 6.0)
    assert found.value == pytest.approx((1 - s6) / (1 - s11) - 1)
    assert found.low is None
    assert found.status == "computed"


def test_unknown_rings_span_both_directions():
    both = movement(ASH, "unknown", 6.0, 11.0)
    assert both.low == pytest.approx(movement(ASH, "radial", 6.0, 11.0).value)
    assert both.high == pytest.approx(movement(ASH, "tangential", 6.0, 11.0).value)
    drying = movement(ASH, "unknown", 11.0, 6.0)
    assert drying.low < drying.value < drying.high < 0


def test_no_change_of_moisture_no_movement():
    assert movement(ASH, "radial", 9.0, 9.0).value == 0.0


def test_sections_and_tenons():
    flat = section_change(OAK, 45.0, 11.0, "flat", 12.0, 7.0)
    quarter = section_change(OAK, 45.0, 11.0, "quarter", 12.0, 7.0)
    assert flat.width == dimension_change(OAK, 45.0, "tangential", 12.0, 7.0)
    assert flat.thickness == dimension_change(OAK, 11.0, "radial", 12.0, 7.0)
    assert flat.width.value < quarter.width.value < 0
    unknown = section_change(OAK, 45.0, 11.0, "unknown", 12.0, 7.0)
    assert unknown.width.low == pytest.approx(flat.width.value)
    assert unknown.width.high == pytest.approx(quarter.width.value)


def test_directions_of_a_board():
    assert sides("quarter") == ("radial", "tangential")
    with pytest.raises(WoodError, match="flat, quarter"):
        sides("rift")


def test_woods_without_printed_shrinkage_get_an_assumed_one():
    for wood in all_species():
        radial, tangential, volumetric = (
            shrinkage(wood, d) for d in ("radial", "tangential", "volumetric")
        )
        assert radial.value < tangential.value < volumetric.value, wood.id
        assert volumetric.value < 1.5 * (radial.value + tangential.value), wood.id


def test_assumed_shrinkage_by_hand():
    bur = find_species("bur oak")
    assert bur.fact("radial") is None
    assert shrinkage(bur, "volumetric").value == pytest.approx(26.5 * 0.58)
    found = shrinkage(bur, "radial")
    assert found.status == "assumed"
    assert found.low < found.value < found.high
    beech = shrinkage(find_species("european beech"), "volumetric")
    assert beech.value == pytest.approx(5.8 + 11.8)


def test_a_range_of_ones_own_is_carried_through():
    own = ASH.with_overrides(radial=(4.0, 6.0))
    found = dimension_change(own, 100.0, "radial", 10.0, 7.0)
    ends = [100 * (size_at(1.0, s, 10.0, 7.0) - 1) for s in (6.0, 4.0)]
    assert (found.low, found.high) == pytest.approx(tuple(ends))


def test_a_wood_known_by_density_only_still_moves():
    plum = custom_species("Plum", moe=10800.0, mor=95.0, density=760.0)
    found = movement(plum, "tangential", 12.0, 8.0)
    assert found.value < 0
    assert found.status == "assumed"


@pytest.mark.parametrize(
    "call",
    [
        lambda: shrinkage_to(7.0, -0.1),
        lambda: movement(ASH, "radial", 8.0, -2.0),
        lambda: movement(ASH, "lengthwise", 8.0, 12.0),
        lambda: dimension_change(ASH, 0.0, "radial", 8.0, 12.0),
        lambda: dimension_change(ASH, float("nan"), "radial", 8.0, 12.0),
        lambda: section_change(ASH, 45.0, 11.0, "sideways", 8.0, 12.0),
    ],
)
def test_what_is_refused(call):
    with pytest.raises(WoodError) as caught:
        call()
    assert caught.value.allowed
