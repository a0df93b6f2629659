"""Readers in inches: every figure in US units, metric only in brackets behind it."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.book.blocks import Block, Facts, Pair, Picture, Table, Text, reworded
from overbend.book.report import check_report
from overbend.book.say import Say
from overbend.book.us_units import us_words
from overbend.book.write import book_blocks
from overbend.plan import open_plan
from overbend.units import Display
from support.pieces import EXAMPLES

METRIC = re.compile(r"(?<![\w.])\d[\d.]* (?:mm|GPa|MPa|kPa|°C|C|kN|N|kg|g|cm²|cm³|litres)(?![\w/])")


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
    ],
)  # fmt: skip
def test_a_sentence_written_in_metric(written, read):
    assert us_words(written) == read


@pytest.mark.parametrize(
    "text",
    ["12 C clamps", "600 kg/m3", "R 1040, at 3.5 in", "9 mm² of it", "100 s wet, 3 h", "0.8 kW",
     "1-1/8 in", "seat-27 mm", "5 N·m"],
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


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_an_inch_book_has_metric_figures_in_brackets_only(path):
    plan = open_plan(path, "in")
    texts = [t for block in book_blocks(plan) for t in texts_of(block)]
    texts.append(check_report(plan)[0])
    assert len(texts) > 100
    bare = [t for t in texts if METRIC.search(re.sub(r"\([^()]*\)", "", t))]
    assert bare == []


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
