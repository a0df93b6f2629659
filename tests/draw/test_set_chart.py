"""The picture of the bend that strips lose: in proportion, readable, nothing off the field."""

import pytest

from overbend.draw.drawing import Label, Mark, Pen, Stroke
from overbend.draw.set_chart import SetRow, set_drawing
from overbend.errors import OutputError

LEGEND = ("guess", "learnt", "trials")
ASH = SetRow("ash, thick", (0.02, 0.08, 0.26), (0.05, 0.10, 0.20), (0.08, 0.125))
OAK = SetRow("oak, thin", (0.10, 0.30, 0.55), (0.20, 0.35, 0.48), ())


def drawn(*rows):
    return set_drawing(rows, "set", LEGEND, "lost, %")


def bars(drawing, pen):
    """Left and right end of every lying line of a pen above the legend [mm]."""
    found = [i.path.bounds for i in drawing.items if isinstance(i, Stroke) and i.pen is pen]
    return sorted((b[0], b[2], b[1]) for b in found if b[3] - b[1] < 0.1)


def test_bars_reach_from_the_fifth_to_the_ninety_fifth_part():
    drawing = drawn(ASH)  # the axis ends at 30 %
    (low, high, _), *_ = [b for b in bars(drawing, Pen.HIDDEN) if b[0] > 0.1]
    assert (low, high) == pytest.approx((96.0 * 0.02 / 0.30, 96.0 * 0.26 / 0.30))
    (low, high, _), *_ = [b for b in bars(drawing, Pen.OUTLINE) if b[0] > 0.1]
    assert (low, high) == pytest.approx((96.0 * 0.05 / 0.30, 96.0 * 0.20 / 0.30))


def test_each_trial_is_a_dot_at_its_share():
    dots = [i for i in drawn(ASH).items if isinstance(i, Mark)]
    places = sorted(d.x for d in dots)[:3]
    assert places[1:] == pytest.approx([96.0 * 0.08 / 0.30, 96.0 * 0.125 / 0.30])
    assert len(dots) == 3  # one of them explains the others


def test_rows_share_an_axis_that_holds_the_widest():
    drawing = drawn(ASH, OAK)
    said = {i.text for i in drawing.items if isinstance(i, Label)}
    assert {"ash, thick", "oak, thin", "0", "50", *LEGEND, "lost, %"} <= said
    assert max(b[1] for b in bars(drawing, Pen.HIDDEN)) <= 96.0


def test_a_share_past_everything_ends_at_the_field():
    drawing = drawn(SetRow("x", (0.5, 0.9, 1.0), (0.6, 0.9, 1.0), (1.4,)))
    assert max(i.x for i in drawing.items if isinstance(i, Mark)) <= 96.0


def test_without_rows_nothing_is_drawn():
    with pytest.raises(OutputError, match="no steamed trial bend"):
        drawn()
