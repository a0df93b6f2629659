"""The picture of guess, trials and what was learnt."""

import math
import re

import pytest

from overbend.draw.drawing import Label, Mark, Pen, Stroke
from overbend.draw.learnt_chart import LearntPanel, TrialMark, learnt_drawing
from overbend.draw.svg import to_svg
from overbend.errors import OutputError

FIELD = (120.0, 34.0)
MARKS = [TrialMark("trial 1", 0.06, 0.08, 0.11), TrialMark("trial 3", 0.03, 0.05, 0.09)]
ASH = LearntPanel("White ash, steam", (2.44, 0.85), (2.6, 0.4), MARKS)
OAK = LearntPanel("Red oak, steam", (1.1, 1.1), (0.4, 0.7), MARKS[:1])


def curves(drawing):
    return {
        item.pen: item.path.vertices
        for item in drawing.items
        if isinstance(item, Stroke) and len(item.path.vertices) == 400
    }


def test_the_curves_peak_where_the_loss_is_likeliest():
    """Against the peak of the density on a fine grid of the loss; the axis ends at 25 %."""
    drawn = curves(learnt_drawing([ASH], "set"))
    ticks = [i.text for i in learnt_drawing([ASH], "set").items if isinstance(i, Label)]
    assert "30" in ticks
    assert "35" not in ticks
    for pen, (middle, sd) in ((Pen.LONG_DASH, ASH.guess), (Pen.OUTLINE, ASH.learnt)):
        grid = [i / 10000 for i in range(1, 3000)]
        best = max(
            grid,
            key=lambda w, m=middle, s=sd: (
                -0.5 * ((math.log(w / (1 - w)) + m) / s) ** 2 - math.log(w * (1 - w))
            ),
        )
        points = drawn[pen]
        x = points[points[:, 1].argmax(), 0]
        span = points[:, 0].max() - points[:, 0].min()
        assert (x - points[:, 0].min()) / span == pytest.approx(best / 0.30, abs=0.005)


def test_the_narrower_curve_is_the_higher():
    drawn = curves(learnt_drawing([ASH], "set"))
    base = min(points[:, 1].min() for points in drawn.values())
    guess, learnt = (drawn[p][:, 1].max() - base for p in (Pen.LONG_DASH, Pen.OUTLINE))
    assert learnt == pytest.approx(FIELD[1] / 1.05, abs=1e-6)
    assert guess < 0.7 * learnt


def test_every_trial_has_a_bar_with_its_middle_and_name():
    drawn = learnt_drawing([ASH], "set")
    dots = [i for i in drawn.items if isinstance(i, Mark)]
    assert len(dots) == len(MARKS) + 1  # one in the legend
    names = {i.text for i in drawn.items if isinstance(i, Label)}
    assert {"trial 1", "trial 3"} <= names
    bars = {i.name: i.path.vertices[:, 0] for i in drawn.items if getattr(i, "name", "")}
    low, high = bars["trial 1"]
    assert (low, high) == pytest.approx((120 * 0.06 / 0.30, 120 * 0.11 / 0.30))


def test_many_trials_keep_their_bars_and_lose_their_names():
    many = [TrialMark(f"trial {i}", 0.04, 0.06, 0.1) for i in range(60)]
    drawn = learnt_drawing([LearntPanel("ash", (2.4, 0.85), (2.6, 0.3), many)], "set")
    assert sum(isinstance(i, Mark) for i in drawn.items) == 61
    assert not any(isinstance(i, Label) and i.text.startswith("trial 1") for i in drawn.items)


def test_panels_lie_below_each_other_without_touching():
    one, two = (learnt_drawing(p, "set").extent() for p in ([ASH], [ASH, OAK]))
    assert two[3] - two[1] > 1.5 * (one[3] - one[1])
    heads = [
        i.y
        for i in learnt_drawing([ASH, OAK], "set").items
        if isinstance(i, Label) and i.text in (ASH.title, OAK.title)
    ]
    assert heads[0] - heads[1] > 50.0


def test_texts_do_not_lie_on_each_other():
    labels = [i for i in learnt_drawing([ASH, OAK], "set").items if isinstance(i, Label)]
    boxes = [(b.min(axis=0), b.max(axis=0)) for b in (i.box(1.0) for i in labels)]
    for i, (low, high) in enumerate(boxes):
        for other_low, other_high in boxes[i + 1 :]:
            assert not ((low < other_high).all() and (other_low < high).all())


def test_it_is_written_with_its_title():
    svg = to_svg(learnt_drawing([ASH], "what was learnt"))
    assert re.search(r"<title>what was learnt</title>", svg)


def test_nothing_learnt_is_nothing_to_draw():
    with pytest.raises(OutputError, match="nothing to draw"):
        learnt_drawing([], "set")
