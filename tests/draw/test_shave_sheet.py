"""The shaving sheet: true lines, a sliver that can be seen, its factor written."""

import numpy as np
import pytest

from overbend.curve import arc, chain, line
from overbend.draw.drawing import Area, Label, Layer, Stroke
from overbend.draw.legible import crossed_labels
from overbend.draw.part_sheet import level_turn
from overbend.draw.shave_sheet import depth_text, shave_chart, shave_drawing, sliver_factor
from overbend.form.face import Face
from overbend.form.shave import shave
from overbend.units import Display


def found(old=400.0, new=380.0, side=1.0):
    faces = (
        Face(chain(line(30.0), arc(r, 320.0 / r), line(50.0)), 9.0 * side, 60.0, side)
        for r in (old, new)
    )
    return shave(*faces)


def items(drawing, kind):
    return [i for i in drawing.items if isinstance(i, kind)]


def test_the_sliver_is_thick_enough_to_see_and_says_how_much_too_thick():
    some = found()
    factor = sliver_factor(some, 0.2)
    assert factor > 1
    assert factor * np.abs(some.depth).max() * 0.2 >= 4.0
    texts = [label.text for label in items(shave_drawing(some, 0.2, Display()), Label)]
    assert f"sliver drawn {factor} times too thick" in texts


def test_one_that_can_be_seen_is_drawn_true():
    some = found(400.0, 330.0)
    drawing = shave_drawing(some, 0.5, Display())
    assert sliver_factor(some, 0.5) == 1
    assert not any("too thick" in label.text for label in items(drawing, Label))
    new = next(i for i in items(drawing, Stroke) if i.name == "face asked for")
    turn = level_turn(some.old.glued)
    c, s = np.cos(turn), np.sin(turn)
    true = some.new.line.base.extended(300, 300).offset(some.new.d)
    dense = true.point(np.linspace(0.0, true.base.length, 60_000)) @ np.array([[c, s], [-s, c]])
    for p in new.path.vertices[::9, :2]:
        assert np.hypot(*(dense - p).T).min() < 0.02


def test_the_old_face_is_thin_and_exact_the_new_one_wide():
    some = found()
    lines = {i.name: i for i in items(shave_drawing(some, 0.25, Display()), Stroke) if i.name}
    assert not lines["face as it is"].pen.value.wide
    assert lines["face asked for"].pen.value.wide
    assert np.count_nonzero(lines["face as it is"].path.vertices[:, 2]) >= 1


def test_taking_off_and_missing_have_hatches_of_their_own():
    off, missing = (
        {a.fill for a in items(shave_drawing(f, 0.25, Display()), Area)}
        for f in (found(), found(380.0, 400.0))
    )
    assert off == {"hatch"}
    assert missing == {"cross"}


def test_the_hatch_lies_in_front_of_the_body_side():
    """What comes off lies on the body's side of the old face."""
    for side in (1.0, -1.0):
        some = found(side=side) if side > 0 else found(380.0, 400.0, side)
        drawing = shave_drawing(some, 0.25, Display())
        (area,) = items(drawing, Area)
        ring = area.paths[0].vertices[:, :2]
        half = len(ring) // 2
        edge, drawn = ring[:half], ring[half:][::-1]
        turn = level_turn(some.old.glued)
        c, s = np.cos(turn), np.sin(turn)
        into = some.old.inward(some.s)[-half:] @ np.array([[c, s], [-s, c]])
        assert (((drawn - edge) * into).sum(axis=1) >= -1e-9).all()
        assert ((drawn - edge) * into).sum(axis=1).max() > 10.0


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("scale", [0.2, 0.5])
def test_no_line_runs_through_a_text(side, scale):
    assert crossed_labels(shave_drawing(found(side=side), scale, Display()), scale) == ()


def test_nothing_to_shave_is_drawn_without_a_sliver():
    some = found(400.0, 400.0)
    drawing = shave_drawing(some, 0.25, Display())
    assert items(drawing, Area) == []
    assert sliver_factor(some, 0.25) == 1


@pytest.mark.parametrize("system", ["mm", "in"])
def test_depths_are_written_as_the_table_has_them(system):
    some, display = found(), Display(system)
    texts = [label.text for label in items(shave_drawing(some, 0.25, display), Label)]
    trim = next(p for p in some.places if p.name == "trim")
    assert depth_text(trim.depth, display) in texts


def test_the_chart_shows_the_depth_along_the_face():
    some = found()
    drawing = shave_chart(some, Display())
    line_drawn = [s for s in items(drawing, Stroke) if s.layer == Layer.TARGET][-1]
    x, y = line_drawn.path.vertices[:, 0], line_drawn.path.vertices[:, 1]
    assert len(x) == len(some.s)
    assert (np.diff(y) >= -1e-9).all()
    assert (x[0], x[-1]) == pytest.approx((0.0, 122.0))
    assert {"reference end", "trim"} <= {label.text for label in items(drawing, Label)}
