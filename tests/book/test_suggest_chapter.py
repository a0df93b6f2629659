"""The section on other stacks: short, its numbers the search's, set without complaint."""

import pytest

from overbend.book.blocks import Picture, Table, Text
from overbend.book.chapters.suggest import stack_words, suggest_rows, suggest_section
from overbend.book.pdf import pdf_bytes
from overbend.book.say import Say
from overbend.study import Stack, ask_for, suggest
from support.pieces import LAMINATE, SOLID, plan_of

HOT = LAMINATE.replace('"laminate"', '"steam-laminate"')


def section(text, **given):
    plan = plan_of(text)
    part, say = next(iter(plan.bent.values())), Say(plan.display)
    found = suggest(part, ask_for(part, **given))
    return found, suggest_section(part, say, found), say


@pytest.fixture(scope="module")
def hot():
    return section(HOT, step=0.2)


def test_the_table_holds_the_drawn_stack_and_the_best_few(hot):
    found, blocks, say = hot
    (table,) = [b for b in blocks if isinstance(b, Table)]
    assert len(table.rows) == 1 + len(found.best())
    for row, c in zip(table.rows[1:], found.best(), strict=True):
        assert row[1] == stack_words(c.stack, say)
        assert row[5] == str(c.stack.glue_lines)
        assert row[6] == f"{c.figures.mill} for {c.figures.strips}"
    assert table.rows[0][0] == "now"


def test_the_lead_counts_and_names_the_fewest_glue_lines(hot):
    found, blocks, say = hot
    lead = next(b.text for b in blocks if isinstance(b, Text) and b.kind == "lead")
    assert lead.startswith(f"{len(found.meeting)} of {len(found.candidates)} stacks keep")
    assert stack_words(found.best()[0].stack, say) in lead


def test_one_picture_and_everything_assumed(hot):
    found, blocks, _ = hot
    (picture,) = [b for b in blocks if isinstance(b, Picture)]
    assert "triangles and + steamed" in picture.svg
    small = [b.text for b in blocks if isinstance(b, Text) and b.kind == "small"]
    assert set(found.notes) <= set(small)


def test_it_can_be_set(hot):
    assert pdf_bytes(hot[1], "Bow", "")[:5] == b"%PDF-"


def test_when_none_will_do_the_reasons_stand_under_the_table():
    found, blocks, _ = section(SOLID, step=0.5, scatter=1.0)
    lead = next(b.text for b in blocks if isinstance(b, Text) and b.kind == "lead")
    assert lead.startswith(f"None of {len(found.candidates)} stacks keeps")
    assert f"{len(found.candidates)} scatter too far at the tip" in lead
    assert "Laminations may" in lead
    small = [b.text for b in blocks if isinstance(b, Text) and b.kind == "small"]
    assert any("tips scatter by" in text for text in small)


def test_the_drawn_stack_is_named_when_it_is_among_the_best():
    found, _, say = section(LAMINATE, step=1.5, risk=0.3)
    _, rows, _ = suggest_rows(found, say)
    names = [row[0] for row in rows]
    place = next((i for i, c in enumerate(found.best()) if c.present), None)
    assert place is not None
    assert names[place] == f"{'abcde'[place]}, now"
    assert "now" not in names


@pytest.mark.parametrize("thickness", ["11", "700"])
def test_a_single_stack_is_drawn_too_even_one_that_cannot_be_bent(thickness):
    text = SOLID.replace("thickness = 11", f"thickness = {thickness}")
    found, blocks, _ = section(text, step=400.0, tolerance=0.1)
    assert len(found.candidates) == 1
    (picture,) = [b for b in blocks if isinstance(b, Picture)]
    assert len(picture.svg) < 40_000
    assert pdf_bytes(blocks, "Slat", "")[:5] == b"%PDF-"


def test_without_a_search_it_searches_by_itself():
    plan = plan_of(SOLID)
    blocks = suggest_section(plan.bent["slat"], Say(plan.display))
    assert any(isinstance(b, Table) for b in blocks)


def test_a_stack_is_said_outside_in():
    say = Say(plan_of(LAMINATE).display)
    stack = Stack("steam-laminate", ("ash", "ash", "oak"), (3.0, 3.0, 2.4))
    assert stack_words(stack, say).replace("\u00a0", " ") == "2 x 3 mm ash, 1 x 2.4 mm oak, steamed"
