"""What to shave off after a trial: when it is said, what is said, and that it is right."""

import numpy as np
import pytest

from overbend.book.blocks import Heading, Picture, Table, Text
from overbend.book.chapters.shave import shave_blocks, shaves_of
from overbend.book.pdf import pdf_bytes
from overbend.book.say import Say
from overbend.plan import Plan
from overbend.project import read
from support.pieces import HEAD, LAMINATE, SOLID, plan_of

TRIAL = '\n[made.t]\nkind = "trial"\npart = "{part}"\nform_radius = 300\nreleased_radius = {off}\n'
FORM = '\n[made.f]\nkind = "form"\npart = "{part}"\nchord = {chord}\nrise = {rise}\n'
POINTS = '\n[made.f]\nkind = "form"\npart = "slat"\npoints = [{rows}]\n'


def made_as_planned(text, name):
    """Lines that say the form was made as this text plans it."""
    check = plan_of(text).bent[name].form.parts[0].check
    return FORM.format(part=name, chord=check.chord, rise=abs(check.rise))


def after_trial(text, name, off):
    """The part once its trial came off at a radius, the form made for the guess before."""
    made = made_as_planned(text, name)
    return plan_of(text, made, TRIAL.format(part=name, off=off)).bent[name]


def blocks_of(part):
    return shave_blocks(part, Say(part.display))


def lead_of(blocks):
    return next(b.text for b in blocks if isinstance(b, Text) and b.kind == "lead")


# -- when ---------------------------------------------------------------------------------
def test_only_with_a_form_and_a_trial_recorded():
    form, trial = made_as_planned(SOLID, "slat"), TRIAL.format(part="slat", off=330)
    for made in ((), (form,), (trial,)):
        assert blocks_of(plan_of(SOLID, *made).bent["slat"]) == []
    assert blocks_of(plan_of(SOLID, form, trial).bent["slat"]) != []


def test_a_trial_that_confirms_the_guess_leaves_the_form_alone():
    guess = plan_of(SOLID).bent["slat"].set.median
    typed = f"\n[part.slat.set]\nlow = {guess - 0.1}\nmedian = {guess}\nhigh = {guess + 0.05}\n"
    made, trial = made_as_planned(SOLID, "slat"), TRIAL.format(part="slat", off=330)
    blocks = blocks_of(plan_of(SOLID + typed, made, trial).bent["slat"])
    assert lead_of(blocks).startswith("Leave it")
    assert not any(isinstance(b, Picture) for b in blocks)


# -- what ---------------------------------------------------------------------------------
def test_more_springback_than_thought_shaves_the_far_end():
    part = after_trial(SOLID, "slat", 345)
    (found,) = shaves_of(part)
    assert found.kind == "shave"
    blocks = blocks_of(part)
    assert lead_of(blocks).startswith(f"Shave off up to {found.most[0]:.1f} mm")
    assert f"{found.at_trim[1]:.1f} mm at the other trim mark" in lead_of(blocks)
    assert sum(isinstance(b, Picture) for b in blocks) == 2
    (table,) = [b for b in blocks if isinstance(b, Table)]
    cells = {(row[k], row[k + 1], row[k + 2]) for row in table.rows for k in (0, 3)}
    knee = next(p for p in found.places if p.name == "knee")
    assert ("knee", f"{knee.along:.1f}".removesuffix(".0"), f"{knee.depth:.1f}") in cells


def test_shaved_by_the_table_the_form_bends_to_the_drawing():
    """Points of the shaved face, typed as a new measurement, bring the part to the target."""
    part = after_trial(SOLID, "slat", 345)
    (found,) = shaves_of(part)
    before = part.misfit
    s = np.linspace(0.0, found.old.glued.length, 9)
    depth = np.interp(s, found.s, found.depth)
    face = found.old.point(s) + depth[:, None] * found.old.inward(s)
    rows = ", ".join(f"[{x:.4f}, {y:.4f}]" for x, y in face)
    text = HEAD + SOLID + POINTS.format(rows=rows) + TRIAL.format(part="slat", off=345)
    after = Plan(read(text)).bent["slat"]
    assert before > 3.0
    assert after.misfit < 0.25 * before


def test_less_springback_than_thought_lacks_wood_and_is_laid_anew():
    part = after_trial(SOLID, "slat", 302)
    (found,) = shaves_of(part)
    assert found.kind == "add"
    lead = lead_of(blocks_of(part))
    assert f"{found.missing[0]:.1f} mm of wood would be missing" in lead
    assert "then nothing is missing" in lead
    (table,) = [b for b in blocks_of(part) if isinstance(b, Table)]
    depths = [float(row[k]) for row in table.rows for k in (2, 5) if row[k]]
    assert min(depths) >= 0.0
    assert max(depths) > 0.5


def test_far_too_little_means_a_new_form():
    made = made_as_planned(SOLID, "slat")
    chord, rise = (float(line.split("=")[1]) for line in made.splitlines()[-2:])
    tight = FORM.format(part="slat", chord=0.88 * chord, rise=1.45 * rise)
    part = plan_of(SOLID, tight, TRIAL.format(part="slat", off=302)).bent["slat"]
    assert "Build a new form" in lead_of(blocks_of(part))


def test_both_halves_of_a_form_are_looked_at():
    two = SOLID + "\n[part.slat.form]\nparts = 2\n"
    part = after_trial(two, "slat", 345)
    first, second = shaves_of(part)
    assert (first.kind, second.kind) == ("shave", "add")
    blocks = blocks_of(part)
    assert [b.text for b in blocks if isinstance(b, Heading)][1:] == ["Half 1", "Half 2"]
    assert any("second half was not measured" in b.text for b in blocks if isinstance(b, Text))


def test_what_it_rests_on_is_said():
    texts = [b.text for b in blocks_of(after_trial(SOLID, "slat", 345)) if isinstance(b, Text)]
    assert any("measure again before you cut" in text for text in texts)
    assert any("fewer than five points" in text for text in texts)


@pytest.mark.parametrize("units", ["mm", "in"])
def test_it_can_be_set_in_either_unit(units):
    from overbend.units import Display

    part = after_trial(SOLID, "slat", 345)
    part.display = Display(units)
    blocks = blocks_of(part)
    assert f" {units}" in lead_of(blocks)
    assert pdf_bytes(blocks, "Slat", "")[:5] == b"%PDF-"


def test_cold_laminations_are_compared_too():
    part = after_trial(LAMINATE, "bow", 320)
    assert lead_of(blocks_of(part)).startswith("Leave it")
