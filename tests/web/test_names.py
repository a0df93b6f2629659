"""Texts of the drawing: on all examples they keep clear of each other and of what is dragged."""

import re
from itertools import combinations

import numpy as np
import pytest
import shapely

from overbend.draw.drawing import Label
from overbend.draw.lettering import text_width
from overbend.plan import Plan, named_stations
from overbend.project import load
from overbend.units import Display
from overbend.web.comb import comb_lines, lever_of
from overbend.web.curvature import curvature_strip
from overbend.web.fields import Fields
from overbend.web.handles import handles_of
from overbend.web.names import handle_lines, names_of
from overbend.web.scene import Pane, fitted_pane
from support.pieces import EXAMPLES

PLANS = {p.stem: Plan(load(p)) for p in EXAMPLES}
PARTS = [(name, part) for name, plan in PLANS.items() for part in plan.bent]
NARROW, WIDE = (89.0, 50.0), (230.0, 150.0)
TEXT = re.compile(r'text-anchor="middle"[^>]*><tspan x="([^"]+)" y="([^"]+)">([^<]+)<')


def written(name, part, size, system):
    """Texts with their boxes, handles, comb and window of one drawing, in model mm."""
    plan, display = PLANS[name].bent[part], Display(system)
    pane = fitted_pane(plan, Pane(*size), display)
    fields = Fields(PLANS[name].loaded, display)
    lever = lever_of(plan, pane.scale)
    handles = handles_of(plan.part.curve, plan.drawn, fields, lever)
    places = [(np.array([h.x, h.y]), np.array(h.root) if h.root else None) for h in handles]
    combed = comb_lines(plan, pane.scale)
    keep = [*combed, *handle_lines(places, pane.scale)]
    items = names_of(plan, pane.scale, display, pane.window, keep)
    labels = {i.text: shapely.Polygon(i.box(pane.scale)) for i in items if isinstance(i, Label)}
    discs = [shapely.Point(p).buffer(1.5 / pane.scale) for p, _ in places]
    return labels, discs, [shapely.LineString(line) for line in combed], pane


@pytest.mark.parametrize("system", ["mm", "in"])
@pytest.mark.parametrize("size", [NARROW, WIDE])
@pytest.mark.parametrize(("name", "part"), PARTS)
def test_no_text_lies_on_another_on_a_handle_or_over_the_edge(name, part, size, system):
    labels, discs, _, pane = written(name, part, size, system)
    window = shapely.box(*pane.window)
    assert labels
    for text, box in labels.items():
        others = [b for t, b in labels.items() if t != text]
        assert not any(box.intersects(other) for other in others), text
        assert not any(box.intersects(disc) for disc in discs), text
        assert window.contains(box), text


@pytest.mark.parametrize(("name", "part"), PARTS)
def test_no_text_lies_on_the_comb_where_there_is_room(name, part):
    labels, _, combed, _ = written(name, part, WIDE, "mm")
    for text, box in labels.items():
        assert not any(box.intersects(line) for line in combed), text


def test_a_text_that_has_all_the_room_stands_where_it_stands_best():
    plan = PLANS["hearth-rocker"].bent["rocker"]
    pane = fitted_pane(plan, Pane(*WIDE), Display("mm"))
    alone = names_of(plan, pane.scale, Display("mm"))
    (far, *_) = pane.window
    free = names_of(plan, pane.scale, Display("mm"), (far, -1e5, 1e5, 1e5))
    at = [[(i.x, i.y) for i in items if isinstance(i, Label)] for items in (alone, free)]
    assert at[0] == at[1]
    (x, y), *_ = at[0]
    wall = np.array([[x + 1.0, y - 200.0], [x + 1.0, y + 200.0]])
    moved = names_of(plan, pane.scale, Display("mm"), (far, -1e5, 1e5, 1e5), [wall])
    box = shapely.Polygon(next(i for i in moved if isinstance(i, Label)).box(pane.scale))
    assert not box.intersects(shapely.LineString(wall))


# -- the strip below ----------------------------------------------------------------------------


@pytest.mark.parametrize("width", [90.0, 200.0, 340.0])
@pytest.mark.parametrize(("name", "part"), PARTS)
def test_names_below_the_strip_do_not_overlap(name, part, width):
    plan = PLANS[name].bent[part]
    svg = curvature_strip(plan, width, 30.0, Display("mm"))["svg"]
    stations = named_stations(plan.glued)
    boxes = [
        (float(x), float(y), text_width(text, 2.1))
        for x, y, text in TEXT.findall(svg)
        if text in stations
    ]
    assert bool(boxes) == bool(stations)
    for (x, y, wide), (x2, y2, wide2) in combinations(boxes, 2):
        assert abs(x - x2) > 0.5 * (wide + wide2) or abs(y - y2) > 2.1
    if width > 300:
        assert len(boxes) == len(stations)
