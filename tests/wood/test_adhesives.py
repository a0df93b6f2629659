"""Adhesive classes: figures with their standing, the maker's data sheet over them."""

import doctest

import pytest

from overbend.errors import WoodError
from overbend.wood import adhesives, tables
from overbend.wood.adhesives import FIGURES, adhesive_ids, all_adhesives, find_adhesive

IDS = {
    "pva-white", "pva-yellow", "pva-crosslinking", "urea-formaldehyde-powder",
    "urea-formaldehyde-liquid", "resorcinol", "epoxy", "polyurethane", "emulsion-isocyanate",
}  # fmt: skip


def test_doctests():
    assert doctest.testmod(adhesives).failed == 0


def test_nine_classes():
    assert set(adhesive_ids()) == IDS


def test_rows_name_known_classes_figures_and_sources():
    sources = {row["key"] for row in tables.rows("sources")}
    for row in tables.rows("adhesive_facts"):
        assert row["adhesive"] in IDS
        assert row["source"] in sources
        assert row["status"] in {"read", "memory"}
        assert bool(row["low"]) or bool(row["words"])
        if row["low"]:
            assert row["fact"] in FIGURES


def test_every_class_has_what_a_glue_up_cannot_do_without():
    for glue in all_adhesives():
        assert glue.spread.value > 0
        assert glue.clamp_time.value > 0
        assert glue.pressure.value >= 0
        assert glue.words["creep"].text


def test_spread_and_pressure_are_from_memory():
    for glue in all_adhesives():
        assert glue.spread.status == "memory"
        assert glue.pressure.status == ("read" if glue.id == "epoxy" else "memory")


@pytest.mark.parametrize(
    ("glue", "open_time", "clamp_time"),
    [("pva-white", 300, 3600), ("pva-yellow", 300, 1800), ("pva-crosslinking", 300, 3600),
     ("urea-formaldehyde-powder", 1200, 43200), ("urea-formaldehyde-liquid", 900, 10800),
     ("resorcinol", 900, 36000)],
)  # fmt: skip
def test_times_that_were_read(glue, open_time, clamp_time):
    found = find_adhesive(glue)
    assert (found.open_time.value, found.open_time.status) == (open_time, "read")
    assert (found.clamp_time.value, found.clamp_time.status) == (clamp_time, "read")


def test_ranges_in_core_units():
    foam = find_adhesive("PUR")
    assert (foam.open_time.low, foam.open_time.high) == (900.0, 1800.0)
    assert (foam.closed_time.value, foam.closed_time.unit) == (1950.0, "s")
    assert str(find_adhesive("resorcinol").open_time) == "at least 900 s"
    assert str(find_adhesive("pva-white").figure("strength")) == "at least 10 MPa"


def test_epoxy_asks_for_its_sheet_and_takes_it():
    epoxy = find_adhesive("epoxy")
    assert epoxy.figure("open_time") is None
    with pytest.raises(WoodError, match="hardener") as caught:
        epoxy.need("open_time")
    assert "data sheet" in caught.value.todo
    assert (epoxy.pressure.value, "contact only" in epoxy.pressure.source) == (0.0, True)
    own = epoxy.with_sheet("hardener 30 sheet", open_time=2400.0, clamp_time=(25200.0, 32400.0))
    assert (own.open_time.value, own.open_time.status) == (2400.0, "yours")
    assert (own.clamp_time.low, own.clamp_time.source) == (25200.0, "hardener 30 sheet")
    assert "open_time" not in own.words
    assert own.spread == epoxy.spread
    assert epoxy.figure("open_time") is None


@pytest.mark.parametrize(
    "figures",
    [{"open_time": 5.0}, {"spread": -3.0}, {"pressure": 150.0}, {"clamp_time": float("nan")},
     {"wood_moisture": (12.0, 6.0)}, {"colour": 3.0}],
)  # fmt: skip
def test_a_sheet_that_cannot_be_meant(figures):
    with pytest.raises(WoodError) as caught:
        find_adhesive("pva-white").with_sheet(**figures)
    assert caught.value.allowed


def test_names_of_the_trade_belong_to_one_class():
    taken = {}
    for glue in all_adhesives():
        assert find_adhesive(glue.id) is glue
        for name in (glue.name, *glue.also):
            assert taken.setdefault(tables.plain(name), glue.id) == glue.id
            assert find_adhesive(name.upper()) is glue


def test_an_unknown_adhesive():
    with pytest.raises(WoodError, match="did you mean") as caught:
        find_adhesive("yelow glue")
    assert "pva-white" in caught.value.allowed
    with pytest.raises(WoodError, match="no adhesive"):
        find_adhesive("hope")
