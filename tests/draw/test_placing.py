"""Texts find places where nothing crosses them."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.curve import ArcPath
from overbend.draw.drawing import Drawing, Label, Layer, Pen, Stroke
from overbend.draw.legible import crossed_labels
from overbend.draw.placing import CROSSED, Board, beside, notes, placed

SCALE = 0.2


def line(*points, layer=Layer.TARGET) -> Stroke:
    return Stroke(ArcPath.polyline(np.array(points, float)), layer, Pen.OUTLINE)


def texts(drawing: Drawing) -> list[Label]:
    return [i for i in drawing.items if isinstance(i, Label)]


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0, 800), st.floats(-60, 60), st.floats(-1, 1)),
        min_size=1, max_size=6, unique_by=lambda p: round(p[0] / 30),
    )
)  # fmt: skip
def test_names_on_a_slanting_line_cross_nothing(places):
    items, wishes = [line((-50, -20), (400, 35), (850, 0))], []
    for k, (x, y, lean) in enumerate(places):
        way = np.array([lean, 1.0]) / np.hypot(lean, 1.0)
        items.append(line((x, y), *(np.array([[x, y]]) - 20.0 * way)))  # a tick with its name
        wishes.append(beside(np.array([x, y]), f"shoulder {k}", way, SCALE))
    drawing = placed(Drawing(tuple(items)), wishes, SCALE)
    assert len(texts(drawing)) == len(places)
    assert crossed_labels(drawing, SCALE) == ()


def test_the_handiest_place_is_taken_when_it_is_free():
    wish = list(beside(np.array([10.0, 5.0]), "knee", np.array([0.0, 1.0]), SCALE))
    drawing = placed(Drawing((line((0, 0), (90, 0)),)), [wish], SCALE)
    assert texts(drawing)[0] == wish[0][0]


def test_what_is_kept_clear_is_not_drawn():
    wish = list(beside(np.zeros(2), "knee", np.array([0.0, 1.0]), SCALE))
    kept = line((-200, 12), (200, 12))
    drawing = placed(Drawing((line((-9, -90), (9, -90)),)), [wish], SCALE, [kept])
    assert kept not in drawing.items
    assert Board([kept], SCALE).cost((texts(drawing)[0],)) < CROSSED
    assert texts(drawing)[0] != wish[0][0]


def test_a_text_may_stand_on_a_centre_line_but_not_on_one_that_is_sawn():
    board = Board([line((0, 1), (90, 1), layer=Layer.CENTRE)], 1.0)
    group = board.wiped((Label(5, 0, "on it"),))
    assert board.cost(group) < CROSSED
    assert group[0].clear
    for layer in (Layer.BODY, Layer.TARGET, Layer.HOLE, Layer.PIN, Layer.STOP):
        assert Board([line((0, 1), (90, 1), layer=layer)], 1.0).cost(group) >= CROSSED


def test_an_early_choice_gives_way_when_a_later_one_has_no_other_place():
    here, above = (Label(0, 0, "first"),), (Label(0, 60, "first"),)
    drawing = placed(Drawing(()), [[here, above], [(Label(1, 0, "second"),)]], 1.0)
    assert [(label.text, label.y) for label in texts(drawing)] == [("first", 60), ("second", 0)]


def test_places_past_a_good_one_are_never_made():
    def wish():
        yield (Label(0, 0, "here"),)
        yield (Label(0, 60, "there"),)
        raise AssertionError("asked for a third place")

    assert texts(placed(Drawing(()), [wish()], 1.0))[0].y == 0
    blocked = Drawing((line((-5, 1), (50, 1)),))
    assert texts(placed(blocked, [wish()], 1.0))[0].y == 60


def test_an_empty_wish_is_passed_over():
    assert placed(Drawing(()), [iter(()), [(Label(0, 0, "here"),)]], 1.0).items[0].text == "here"


def test_notes_point_at_one_of_their_places():
    up, down = np.array([0.0, 1.0]), np.array([0.0, -1.0])
    points = [(np.array([0.0, 0.0]), up), (np.array([0.0, -9.0]), down)]
    for leader, _, label in notes(points, "R 470", SCALE):
        tip = leader.path.vertices[0, :2]
        assert any(np.allclose(tip, point) for point, _ in points)
        assert label.text == "R 470"
