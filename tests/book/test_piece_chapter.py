"""The piece in the book: views, joints, marking, assembly, files."""

import pytest

from overbend.book.blocks import Heading, Picture, Table, Text, Whole
from overbend.book.chapters.piece import marking_chapter, piece_chapter
from overbend.book.say import Say
from overbend.plan import open_plan
from support.pieces import EXAMPLES, LAMINATE, plan_of

LADDER = next(p for p in EXAMPLES if p.stem == "ladder-back")


@pytest.fixture(scope="module")
def plan():
    return open_plan(LADDER)


def flat(blocks):
    for block in blocks:
        yield block
        for held in ("left", "right", "blocks"):
            if hasattr(block, held) and not isinstance(block, Table):
                yield from flat(getattr(block, held))


def test_nothing_is_said_of_a_piece_that_stands_nowhere():
    plan = plan_of(LAMINATE)
    assert piece_chapter(plan, Say(plan.display)) == []
    assert marking_chapter(plan, Say(plan.display)) == []


def test_views_and_exploded_view_are_drawn(plan):
    pictures = [b for b in flat(piece_chapter(plan, Say(plan.display))) if isinstance(b, Picture)]
    words = " ".join(p.caption for p in pictures)
    assert len(pictures) == 4
    for word in ("Side", "Front", "From above", "drawn apart"):
        assert word in words


def test_every_joint_table_has_a_row_and_every_rule_is_said(plan):
    blocks = list(flat(piece_chapter(plan, Say(plan.display))))
    tables = [b for b in blocks if isinstance(b, Table) and b.header[0] == "Joint"]
    names = {row[0] for row in tables[0].rows}
    assert names == set(plan.project.joint)
    said = " ".join(b.text for b in blocks if isinstance(b, Text))
    for joint in plan.piece.joints:
        assert all(rule.lower() in said.lower() for rule in joint.rules)


def test_joints_and_their_sizes_stand_on_one_page(plan):
    blocks = piece_chapter(plan, Say(plan.display))
    (whole,) = [b for b in blocks if isinstance(b, Whole)]
    assert whole.blocks[0] == Heading("Joints")
    rules = {joint.rules for joint in plan.piece.joints}
    assert sum(isinstance(b, Text) for b in whole.blocks) == len(rules)


def test_the_order_of_glue_ups_names_every_part_once_it_is_glued(plan):
    steps = plan.piece.assembly.steps
    last = {part for group in steps[-1].groups for part in group}
    assert {body.id for body in plan.piece.bodies} == last


def test_marks_are_measured_from_the_reference_end(plan):
    blocks = list(flat(marking_chapter(plan, Say(plan.display))))
    sticks = [b for b in blocks if isinstance(b, Heading) and "story stick" in b.text]
    assert len(sticks) == sum(bool(s.marks) for s in plan.piece.sticks)
    tables = [b for b in blocks if isinstance(b, Table) and b.header[0] == "Mark"]
    stick = next(s for s in plan.piece.sticks if s.marks)
    start, _ = stick.marks[0].on_face
    assert tables[0].rows[0][3] == Say(plan.display).sharp(start)


def test_straight_parts_say_how_to_set_the_saw(plan):
    blocks = list(flat(marking_chapter(plan, Say(plan.display))))
    (cuts,) = [b for b in blocks if isinstance(b, Table) and "Cut to" in b.header]
    ends = {row[4] for row in cuts.rows} | {row[5] for row in cuts.rows}
    assert any("°" in end for end in ends)
    assert len(cuts.rows) >= len(plan.project.straight)
