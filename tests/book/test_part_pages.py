"""The pages of a part: one page first, whole tables, numbers that can be built by."""

from __future__ import annotations

import functools
import math
import re
from itertools import pairwise

import numpy as np
import pypdfium2 as pdfium
import pytest

from overbend.book.blocks import Block, Heading, Pair, Table, Text, Whole
from overbend.book.chapters.form_checks import form_checks
from overbend.book.chapters.overview import overview
from overbend.book.chapters.part import part_sheet
from overbend.book.pdf import pdf_bytes
from overbend.book.say import Say
from overbend.plan import open_plan
from overbend.units import Display
from support.pieces import EXAMPLES, LAMINATE, SOLID, plan_of

STOOL = next(p for p in EXAMPLES if p.stem == "low-stool")


@functools.cache
def plan_in(path, units):
    return open_plan(path, units)


def pages_of(blocks: list[Block], paper: str) -> list[str]:
    document = pdfium.PdfDocument(pdf_bytes(blocks, "A piece", "", paper))
    texts = [re.sub(r"\s+", " ", page.get_textpage().get_text_range()) for page in document]
    document.close()
    return texts


def flat(blocks) -> list[Block]:
    """All blocks, those side by side and kept together too."""
    out: list[Block] = []
    for block in blocks:
        if isinstance(block, Pair):
            out += flat([*block.left, *block.right])
        elif isinstance(block, Whole):
            out += flat(block.blocks)
        else:
            out.append(block)
    return out


def tables(blocks) -> list[Table]:
    return [b for b in flat(blocks) if isinstance(b, Table)]


@pytest.mark.parametrize(
    ("units", "paper"), [("mm", "a4"), ("in", "letter"), ("mm", "letter"), ("in", "a4")]
)
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_a_parts_first_sheet_is_one_page_and_no_page_is_wasted(path, units, paper):
    plan = plan_in(path, units)
    say = Say(plan.display)
    for part in plan.bent.values():
        pages = pages_of(part_sheet(part, say), paper)
        starts = [k for k, text in enumerate(pages) if f"{part.name}: the form" in text]
        assert starts == [1], (part.name, len(pages))
        assert len(pages) <= 3, part.name
        assert all(len(text.split()) > 60 for text in pages), part.name
        assert not re.search(r"\b[Ii]n in\b", " ".join(pages))


def test_a_short_table_stays_on_one_page_and_a_long_one_repeats_its_head():
    fill = [Text("line")] * 38
    for rows, split in ((15, False), (60, True)):
        body = Table(("Count", "Name"), [(str(k), "row") for k in range(rows)], (0,))
        pages = pages_of([*fill, body], "a4")
        on = [k for k, text in enumerate(pages) if "Count Name" in text]
        assert (len(on) > 1) == split
    kept = pages_of([*fill, Whole((Heading("Kept", 3), body))], "a4")
    assert "Kept" in kept[1]


# -- numbers of the form -------------------------------------------------------------------


def test_the_table_of_holes_lies_on_the_holes():
    plan = plan_in(STOOL, "mm")
    part = plan.bent["arch"]
    body = part.form.parts[0]
    table = next(t for t in tables(form_checks(part, Say(Display()))) if "Ø" in t.header)
    rows = [row[k : k + 4] for row in table.rows for k in (0, 4) if row[k]]
    a, b = body.face.point([0.0, body.face.glued.length])
    u = (b - a) / math.dist(a, b)
    bulge = np.array([u[1], -u[0]])
    holes = {hole.numbers: hole for hole in body.holes}
    assert len(rows) == len(holes)
    for number, x, y, diameter in rows:
        hole = holes[tuple(int(n) for n in number.split(" and "))]
        place = a + float(x) * u + float(y) * bulge
        assert math.dist(place, hole.centre) < 0.08
        assert float(diameter) == pytest.approx(hole.diameter, abs=0.05)


def test_the_offsets_of_an_arch_follow_its_legs():
    part = plan_in(STOOL, "mm").bent["arch"]
    table = next(t for t in tables(form_checks(part, Say(Display()))) if "On the face" in t.header)
    rows = [tuple(map(float, row[k : k + 3])) for k in (0, 3, 6) for row in table.rows if row[k]]
    steps = np.diff([along for along, _, _ in rows])
    assert steps.min() >= 25.0
    assert steps.max() <= 50.1
    for (s0, x0, y0), (s1, x1, y1) in pairwise(rows):
        assert math.hypot(x1 - x0, y1 - y0) <= s1 - s0 + 0.2
    assert rows[0][1:] == (0.0, 0.0)
    assert rows[-1][2] == 0.0


def test_forms_without_holes_list_where_clamps_stand():
    part = plan_of(
        LAMINATE.replace('adhesive = "glue"', 'adhesive = "glue"\nform = {parts = 2}')
    ).bent["bow"]
    table = next(t for t in tables(form_checks(part, Say(Display()))) if "Opening" in t.header)
    numbers = [row[k] for k in (0, 3) for row in table.rows if row[k]]
    assert numbers == [str(n + 1) for n in range(len(part.form.clamps))]


def test_columns_keep_one_decimal_in_mm_and_64ths_in_inches():
    mm, inch = Say(Display()), Say(Display("in"))
    assert [mm.cell(v) for v in (12.0, -0.04, 3.26, math.inf)] == ["12.0", "0.0", "3.3", "straight"]
    assert [inch.cell(v) for v in (25.4, 0.4, -25.4 * 3 / 64)] == ["1", "1/64", "-3/64"]
    assert (mm.unit_word, inch.unit_word) == ("mm", "inches")
    part = plan_in(STOOL, "mm").bent["arch"]
    for table in tables(form_checks(part, mm)):
        for row in table.rows:
            cells = [row[k] for k in table.right if row[k] and table.header[k] != "Clamp"]
            assert all(re.fullmatch(r"-?\d+\.\d", cell) for cell in cells)


# -- overview ------------------------------------------------------------------------------


def test_the_overview_says_whether_each_part_takes_its_bend():
    plan = plan_of(LAMINATE, SOLID)
    blocks = overview(plan, Say(plan.display))
    table = next(t for t in tables(blocks) if t.header[0] == "Bent part")
    words = {row[0]: row[-1] for row in table.rows}
    assert words == {n: p.risk.strain.verdict.word for n, p in plan.bent.items()}
    assert not any("Fails" in b.text for b in blocks if isinstance(b, Text))


def test_a_part_that_fails_is_said_at_the_top_with_its_reason():
    thick = LAMINATE.replace("thickness = 4.5", "thickness = 9")
    plan = plan_of(thick)
    part = plan.bent["bow"]
    assert part.risk.strain.verdict.word == "fails"
    blocks = overview(plan, Say(plan.display))
    assert isinstance(blocks[2], Text)
    assert blocks[2].kind == "hold"
    assert blocks[2].text.startswith("bow: fails: strip 3 of 3")
    assert "breaks more often than not from" in blocks[2].text
