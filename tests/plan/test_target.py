"""The target: middle line, from the reference end, tightest bend to the left."""

import numpy as np
import pytest

from overbend.curve import ArcPath
from support.pieces import LAMINATE, plan_of


def bow(change: str = "", **swap: str):
    text = LAMINATE
    for old, new in swap.items():
        text = text.replace(old, new)
    return plan_of(text.replace('curve = "bow"', f'curve = "bow"\n{change}')).bent["bow"]


def test_a_middle_line_is_taken_as_drawn():
    part = bow()
    assert part.target.curve is part.drawn
    assert not part.target.mirrored
    assert not part.target.reversed


@pytest.mark.parametrize(("line", "shift"), [("outside", 0.5), ("inside", -0.5)])
def test_a_face_line_is_moved_by_half_the_depth(line, shift):
    part = bow(f'line = "{line}"')
    drawn, middle = part.drawn, part.target.curve
    s = drawn.even_grid(60)
    want = drawn.offset(shift * part.part.depth)
    share = want.along(s) / want.length
    gap = want.point(s) - middle.point(share * middle.length)
    assert np.abs(gap).max() < 0.01
    tight = middle.offset(-shift * part.part.depth).kappa(middle.tightest[0])
    assert abs(1 / tight) == pytest.approx(310.0, abs=1e-6)


def test_from_the_other_end_it_is_mirrored_so_that_the_bend_stays_left():
    one, other = bow(), bow('reference = "end"')
    assert other.target.mirrored
    assert other.target.reversed
    assert other.target.curve.tightest[1] == pytest.approx(one.target.curve.tightest[1])
    assert other.target.curve.stations["knee"] == pytest.approx(
        one.target.curve.length - one.target.curve.stations["knee"]
    )


def test_a_bend_to_the_right_comes_out_as_its_mirror_image():
    left = plan_of(LAMINATE).bent["bow"]
    right_text = LAMINATE.replace('curve = "bow"', 'curve = "wob"')
    wob = """
[[curve.wob.segment]]
line = 40
[[curve.wob.segment]]
easement = { length = 90, to_radius = -310 }
[[curve.wob.segment]]
arc = { radius = 310, angle = -47 }
[[curve.wob.segment]]
line = 65
"""
    right = plan_of(right_text, wob).bent["bow"]
    assert right.target.mirrored
    s = left.target.curve.even_grid(50)
    assert np.abs(left.target.curve.point(s) - right.target.curve.point(s)).max() < 1e-9
    assert left.shapes["form"] == pytest.approx(right.shapes["form"])
    path = right.target.as_drawn(right.target.curve)
    assert isinstance(path, ArcPath)
    assert path.flatten(0.01)[-1] == pytest.approx(right.drawn.point(right.drawn.length), abs=1e-6)
