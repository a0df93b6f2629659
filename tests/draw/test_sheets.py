"""Drawings of every bent part of every example: legible in both units, and true."""

from __future__ import annotations

import functools

import numpy as np
import pytest

from overbend.book.chapters.pictures import best_scale
from overbend.draw.drawing import Area, Disc, Label, Layer, Stroke
from overbend.draw.form_sheet import form_drawing
from overbend.draw.legible import crossed_labels
from overbend.draw.overview import overview_drawing
from overbend.draw.part_sheet import (
    departure_drawing,
    level_turn,
    part_drawing,
    relaxing_drawing,
)
from overbend.plan import open_plan
from overbend.units import format_length
from support.pieces import EXAMPLES

UNITS = ["mm", "in"]


@functools.cache
def plan_in(path, units):
    return open_plan(path, units)


def parts(units):
    return [part for path in EXAMPLES for part in plan_in(path, units).bent.values()]


def texts(drawing) -> list[str]:
    return [i.text for i in drawing.items if isinstance(i, Label)]


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize(
    ("draw", "height"), [(part_drawing, 62.0), (relaxing_drawing, 46.0), (form_drawing, 95.0)]
)
def test_no_text_on_a_sheet_is_crossed(draw, height, units):
    for part in parts(units):

        def build(scale, part=part):
            return draw(part, scale, part.display)

        scale = best_scale(build, 168.0, height)
        crossed = [label.text for label in crossed_labels(build(scale), scale)]
        assert crossed == [], (part.name, units)


@pytest.mark.parametrize("units", UNITS)
def test_nothing_is_crossed_in_charts_and_the_overview(units):
    for part in parts(units):
        drawing = departure_drawing(part, part.display, height=24.0)
        assert [label.text for label in crossed_labels(drawing, 1.0)] == [], part.name
        assert any("towards the inside of the tightest bend" in text for text in texts(drawing))
    for path in EXAMPLES:
        plan = plan_in(path, units)
        assert crossed_labels(overview_drawing(plan, 0.1), 0.1) == ()


@pytest.mark.parametrize("units", UNITS)
def test_a_part_drawing_names_its_stations_chord_rise_and_radius(units):
    for part in parts(units):
        said = texts(part_drawing(part, 0.2, part.display))
        shape = part.shapes["target"]
        for size in (shape.chord, shape.rise):
            assert format_length(size, part.display) in said
        assert f"R {format_length(shape.radius, part.display)}" in said
        assert any(text.replace("\n", " ") == "reference end" for text in said)


def test_the_radius_points_at_the_middle_of_the_tightest_arc():
    for part in parts("mm"):
        curve = part.target.curve.moved(turn=level_turn(part.target.curve))
        at, kappa = curve.tightest
        middles = [
            s + 0.5 * p.length
            for s, p in zip(curve.knots, curve.pieces, strict=False)
            if np.isclose(p.kappa0, kappa) and np.isclose(p.kappa1, kappa)
        ] or [at]
        faces = [
            curve.point(s) + side * 0.5 * part.depth * curve.normal(s)
            for s in middles
            for side in (-1.0, 1.0)
        ]
        drawing = part_drawing(part, 0.2, part.display)
        arrows = [i.paths[0].vertices[0, :2] for i in drawing.items
                  if isinstance(i, Area) and i.layer == Layer.DIMENSION]  # fmt: skip
        nearest = min(np.hypot(*(a - f)) for a in arrows for f in faces)
        assert nearest < 1e-6, part.name


def test_clamps_are_numbered_on_the_form_from_the_stop_on():
    for part in parts("mm"):
        drawing = form_drawing(part, 0.2, part.display)
        said = texts(drawing)
        assert [str(c.number) for c in part.form.clamps if str(c.number) not in said] == []
        assert "stop" in said
        numbered = min(part.form.clamps, key=lambda c: c.number)
        ends = [c.s for c in part.form.clamps]
        assert abs(numbered.s - part.form.stop.s) == min(abs(s - part.form.stop.s) for s in ends)


def test_the_stop_is_no_part_of_the_body():
    for part in parts("mm"):
        drawing = form_drawing(part, 0.2, part.display)
        bodies = [i for i in drawing.items if i.layer == Layer.BODY]
        assert len(bodies) == len(part.form.parts)
        assert [type(i) for i in drawing.items if i.layer == Layer.STOP] == [Stroke]
        holes = sum(len(body.holes) for body in part.form.parts)
        assert sum(isinstance(i, Disc) and i.layer == Layer.HOLE for i in drawing.items) == holes
