"""Readers in inches: every figure in US units, metric only in brackets behind it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.book.blocks import Block, Facts, Pair, Picture, Table, Text, reworded
from overbend.book.report import check_report
from overbend.book.say import Say
from overbend.book.us_units import Reader, names_of, reader_of, us_words
from overbend.book.write import book_blocks
from overbend.errors import CurveError, OutputError, UnitError
from overbend.plan import open_plan
from overbend.units import Display
from support.pieces import EXAMPLES
from support.us import bare


def texts_of(block: Block) -> list[str]:
    found: list[str] = []
    reworded(block, lambda text: found.append(text) or text)
    return found


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("5 mm left behind", "13/64 in (5 mm) left behind"),
        ("the bend leaves less than 0.2 mm", "the bend leaves less than 0.008 in (0.2 mm)"),
        ("2 mm at least", "0.08 in (2 mm) at least"),
        ("a blank of 900 by 40 by 26 mm", "a blank of 35-7/16 by 1-9/16 by 1-1/32 in (900 by 40 by "
                                          "26 mm)"),
        ("32 to 38 C", "90 to 100 °F (32 to 38 °C)"),
        ("70 °C in moist air", "158 °F (70 °C) in moist air"),
        ("a clamp of 3500 N", "a clamp of 787 lbf (3500 N)"),
        ("the 1.35 MPa wanted", "the 196 psi (1.35 MPa) wanted"),
        ("a gap (0.1 mm or less)", "a gap (0.004 in, 0.1 mm or less)"),
        ("0.25 kg of it", "8.82 oz (0.25 kg) of it"),
        ("14.4 cm² and 2 cm³", "2.23 in² (14.4 cm²) and 0.122 in³ (2 cm³)"),
        ("moved by 0.012 mm", "moved by 0.0005 in (0.012 mm)"),
        ("0.1 mm to 1000 m", "0.004 in (0.1 mm) to 3280 ft (1000 m)"),
        ("above 0, to 105 C", "above 32, to 221 °F (0, to 105 °C)"),
        ("12 or 15 mm", "15/32 or 19/32 in (12 or 15 mm)"),
        ("3-5 mm, 3–5 mm", "1/8 to 13/64 in (3-5 mm), 1/8 to 13/64 in (3–5 mm)"),
        ("curvature 0.01 to 0.02 per mm", "curvature 0.254 to 0.508 per in (0.01 to 0.02 per mm)"),
        ("near (12.3, -45.6) mm: far", "near (15/32, -1-25/32) in ((12.3, -45.6) mm): far"),
        ("2e-05 mm", "0.0000008 in (2e-05 mm)"),
        ("a tank of 8 litres", "a tank of 2.11 US gallons (8 litres)"),
        ("7' 2-1/2\" and 5 mm", "7' 2-1/2\" and 13/64 in (5 mm)"),
        ("the shop's 20 C, the box's 98 C", "the shop's 68 °F (20 °C), the box's 208 °F (98 °C)"),
        ("±0.5 mm", "±0.020 in (0.5 mm)"),
    ],
)  # fmt: skip
def test_a_sentence_written_in_metric(written, read):
    assert us_words(written) == read


@pytest.mark.parametrize(
    "text",
    ["12 C clamps", "600 kg/m3", "R 1040, at 3.5 in", "9 mm² of it", "100 s wet, 3 h", "0.8 kW",
     "1-1/8 in", "seat-27 mm", "5 N·m", "12 mm3 and 3 mm2/s", "2 m/s2", "20 W/m2K", "7 mm/N",
     "'12 mm' cannot be used", 'thickness = "12 mm", now', "the key `12 mm`", "the “12 mm” board",
     "x\n  Allowed: 450, 450.5 mm, 45 cm, 1.2 m, 3/16 in, 1-1/8 in, 7' 2-1/2\"",
     "Allowed: 1, 1 MPa, 150 psi; bare is MPa"],
)  # fmt: skip
def test_what_is_left_alone(text):
    assert us_words(text) == text


@given(
    st.floats(0.01, 4000).map(lambda v: f"{v:.4g}"),
    st.sampled_from(["mm", "MPa", "C", "°C", "N", "kg", "g", "cm²", "cm³"]),
)
def test_saying_it_twice_changes_nothing_more(figure, unit):
    once = us_words(f"keep {figure} {unit} free")
    if "e" not in figure:
        assert once != f"keep {figure} {unit} free"
    assert us_words(once) == once


@pytest.mark.parametrize(
    "text", ["(0.1 mm or less)", "near (12.3, 4.5) mm", "3–5 mm", "0.02 per mm", "8 litres, 9 m"]
)
def test_forms_with_brackets_are_said_once(text):
    assert us_words(us_words(text)) == us_words(text) != text


# -- what the maker typed ------------------------------------------------------------------


def test_names_of_the_piece_stay():
    raw = {
        "name": "Shelf 20 mm",
        "part": {"leg": {"width": "20 mm", "length": "= 2 * 30 mm"}},
        "curve": {"back": {"stations": {"at 30 mm": 12, "top": 300}}},
        "shop": {"yard": [{"name": "oak 50 mm", "note": "plain"}], "clamp": [{"name": "12 mm"}]},
    }
    kept = names_of(raw)
    assert kept == ("12 mm", "= 2 * 30 mm", "Shelf 20 mm", "at 30 mm", "oak 50 mm")
    said = us_words("oak 50 mm is 50 mm thick, at 30 mm; 20 mm wide", kept=kept)
    assert said == "oak 50 mm is 1-31/32 in (50 mm) thick, at 30 mm; 25/32 in (20 mm) wide"


def test_an_error_is_reworded_part_by_part_and_keeps_its_kind():
    error = CurveError("a radius of 6.35 mm", "/home/12 mm/x.toml: arch, 254 mm along",
                       "above 10 mm", "ease '5 mm'")  # fmt: skip
    said = Reader("in", ("/home/12 mm/x.toml",)).error(error)
    assert type(said) is CurveError
    assert said.problem == "a radius of 1/4 in (6.35 mm)"
    assert said.where == "/home/12 mm/x.toml: arch, 10 in (254 mm) along"
    assert (said.allowed, said.todo) == ("above 13/32 in (10 mm)", "ease '5 mm'")
    assert Reader("mm").error(error) is error
    assert Reader("in").error(OutputError("no room", "/tmp/12 mm")).where == "/tmp/12 mm"


def test_ways_to_write_a_value_name_both_systems_already():
    error = UnitError("cannot read 'x'", allowed="20, 20 C or 68 F, not below zero (-273.15 C)")
    assert Reader("in").error(error).allowed == error.allowed
    assert Reader("in").error(UnitError("x", allowed="20 C at most")).allowed != "20 C at most"


@pytest.mark.parametrize(
    ("text", "system", "found"),
    [
        ('schema = 1\nunits = "in"', None, "in"),
        ("units='in' # inches\n[broken", None, "in"),
        ('units = "mm"', None, "mm"),
        ('# units = "in"\nunits = "mm"', None, "mm"),
        ("", None, "mm"),
        ('units = "in"', "mm", "mm"),
        ('units = "mm"', "in", "in"),
    ],
)
def test_who_reads_is_the_files_unit_or_what_was_chosen(text, system, found):
    assert reader_of(text, system).system == found


def test_a_file_that_reads_gives_its_names():
    reader = reader_of('units = "in"\nname = "Bench 40 mm"', None, ("40 mm-book", "plain"))
    assert reader.words("Bench 40 mm is 40 mm high") == "Bench 40 mm is 1-9/16 in (40 mm) high"


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_an_inch_book_has_metric_figures_in_brackets_only(path):
    plan = open_plan(path, "in")
    texts = [t for block in book_blocks(plan) for t in texts_of(block)]
    texts.append(check_report(plan)[0])
    assert len(texts) > 100
    assert [t for t in texts if bare(t)] == []


def test_a_metric_book_is_as_it_was_written():
    say = Say(Display("mm"))
    assert say.words("5 mm at 20 C") == "5 mm at 20 C"
    shown = (say.stiffness(12240.0), say.area(1440.0), say.volume(2000.0))
    assert shown == ("12.2 GPa", "14.4 cm²", "2.0 cm³")
    assert (say.temperature(20.0), say.timber(2.5e6), say.water(3.0)) == (
        "20 °C",
        "2.50 litres",
        "3.0 litres",
    )


def test_handbook_figures_in_an_inch_book():
    say = Say(Display("in"))
    shown = (say.stiffness(12240.0), say.area(1440.0), say.volume(2000.0))
    assert shown == ("1.78 million psi", "2.23 in²", "0.12 in³")
    assert (say.temperature(20.0), say.water(3.785), say.mass(0.5)) == (
        "68 °F",
        "1.0 US gallons",
        "1.1 lb",
    )


def test_every_text_of_a_block_is_reworded_and_no_picture_is():
    block = Pair(
        (Text("one", "hold"), Table(("two",), [("three", "four")], (1,), "five")),
        (Facts([("six", "seven")]), Picture("<svg/>", "eight")),
    )
    changed = reworded(block, str.upper)
    assert texts_of(changed) == ["ONE", "TWO", "THREE", "FOUR", "FIVE", "SIX", "SEVEN", "EIGHT"]
    assert changed.left[0].kind == "hold"
    assert changed.right[1].svg == "<svg/>"
