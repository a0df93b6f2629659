"""Values between file and page: typing, handles, history, elements of lists, drafts."""

import math
from pathlib import Path

import pytest

from overbend.errors import ProjectError
from overbend.plan import Plan
from overbend.project import read
from overbend.units import Display
from overbend.web.draft import Draft, changed, with_element
from overbend.web.fields import Fields, typed
from overbend.web.handles import handles_of, moved, stepped
from overbend.web.history import History
from support.browser import PIECES

FILES = {p.stem: p for p in sorted(PIECES.glob("*.toml"))}


def opened(name, part, system="mm"):
    loaded = read(FILES[name].read_text(), FILES[name])
    plan = Plan(loaded, Display(system))
    bent = plan.bent[part]
    fields = Fields(loaded, plan.display)
    return bent, fields, {h.id: h for h in handles_of(bent.part.curve, bent.drawn, fields)}


def after(name, part, edits):
    text = changed(FILES[name].read_text(), edits, FILES[name])
    return Plan(read(text, FILES[name])).bent[part]


@pytest.mark.parametrize(
    ("text", "shown", "said"),
    [
        ("45", "mm", 45), ("45.5", "mm", 45.5), ("-3", "mm", -3), ("45.0", "mm", 45.0),
        ("1-3/4", "in", "1-3/4 in"), ("45", "in", "45 in"), ("45 mm", "in", "45 mm"),
        ("= post - 4", "in", "= post - 4"), ("  ", "mm", None), ("7'", "in", "7'"),
    ],
)  # fmt: skip
def test_typed_lengths_are_written_as_a_maker_would(text, shown, said):
    raw = {"units": "mm", "part": {"leg": {"kind": "bent"}}}
    assert typed(text, "part.leg.width", raw, shown) == said


def test_names_stay_texts_and_switches_become_switches():
    raw = {"units": "mm", "part": {"leg": {"kind": "bent"}}}
    assert typed("12", "name", raw, "mm") == "12"
    assert typed("true", "part.leg.steam.bundle", raw, "mm") is True
    assert typed("2", "part.leg.form.parts", raw, "mm") == 2


def test_a_field_shows_what_the_file_says_and_what_it_comes_to():
    _, fields, _ = opened("slatted-bench", "rib")
    number = fields.number("curve.rib.through.4.0", "Point 5")
    assert (number["raw"], number["text"]) == ("= seat_depth + 48", "478 mm")
    assert fields.number("part.rib.form.depth", "Depth")["text"] == "–"
    _, inches, _ = opened("slatted-bench", "rib", "in")
    assert inches.number("part.rib.width", "Width")["raw"] == "1-23/32"


@pytest.mark.parametrize(("segment", "angle"), [("segment.1.middle", 0.3), ("segment.1.end", -0.2)])
def test_an_arc_follows_its_handle_to_where_it_was_pulled(segment, angle):
    part, fields, handles = opened("hearth-rocker", "slat")
    handle = handles[segment]
    x, y = handle.x + 25.0 * math.cos(angle), handle.y + 25.0 * math.sin(angle)
    edits = moved(handle, x, y, 0.1, fields)
    bent = after("hearth-rocker", "slat", edits)
    assert len(edits) == 1
    line = bent.drawn
    s = line.knots[1] + (0.5 if segment.endswith("middle") else 1.0) * line.pieces[1].length
    placed = line.point(s)
    # the handle keeps to its own way (a ray or a circle): the nearest place there, rounded
    before = math.dist((handle.x, handle.y), (x, y))
    assert math.dist(placed, (x, y)) < before
    assert part.drawn.length != line.length


def test_the_end_of_a_line_follows_along_the_line_only():
    _, fields, handles = opened("hearth-rocker", "slat")
    assert moved(handles["segment.0.end"], 47.2, 90.0, 1.0, fields) == [
        ("curve.slat.segment.0.line", 47)
    ]
    assert moved(handles["segment.0.end"], -80.0, 0.0, 1.0, fields)[0][1] == 1


def test_an_angle_may_pass_half_a_turn_and_never_jumps():
    _, fields, handles = opened("hearth-rocker", "slat")
    handle = handles["segment.1.end"]
    f, seen = handle.frame, []
    cx = f["x"] - f["radius"] * math.sin(f["heading"])
    cy = f["y"] + f["radius"] * math.cos(f["heading"])
    for turn in range(20, 215, 5):
        a = math.atan2(f["y"] - cy, f["x"] - cx) + math.radians(turn)
        x, y = cx + f["radius"] * math.cos(a), cy + f["radius"] * math.sin(a)
        seen.append(float(moved(handle, x, y, 1.0, fields)[0][1].split()[0]))
    assert seen == [float(t) for t in range(20, 215, 5)]


@pytest.mark.parametrize(
    ("handle", "way", "step", "said"),
    [
        ("segment.0.end", (1, 0), 1.0, 31), ("segment.0.end", (0, -1), 5.0, 25),
        ("segment.1.middle", (0, 1), 0.1, 470.1), ("segment.1.end", (-1, 0), 1.0, "51.5 deg"),
        ("segment.1.end", (1, 0), 5.0, "57 deg"), ("segment.1.end", (0, 1), 0.1, "52.1 deg"),
    ],
)  # fmt: skip
def test_arrow_keys_make_a_size_larger_or_smaller(handle, way, step, said):
    _, fields, handles = opened("hearth-rocker", "slat")
    assert stepped(handles[handle], way, step, fields)[0][1] == said


def test_an_expression_of_more_than_a_name_holds_its_handle():
    _, _, handles = opened("slatted-bench", "rib")
    handle = handles["point.4"]
    assert [m.key for m in handle.moves] == ["curve.rib.through.4.1"]
    assert "seat_depth" in handle.why


def test_inches_are_written_in_the_files_unit():
    _, fields, handles = opened("low-stool", "arch")
    handle = next(h for h in handles.values() if h.moves and h.moves[0].along == "line")
    edits = moved(handle, handle.x + 25.4, handle.y, 25.4 / 16, fields)
    assert all(value == round(value * 16) / 16 for _, value in edits)


def test_a_row_added_lies_between_its_neighbours():
    path = FILES["slatted-bench"]
    text = with_element(path.read_text(), "insert", "curve.rib.through", 1, path)
    assert read(text).project.curve["rib"].through[2] == (200.0, 35.0)
    last = with_element(path.read_text(), "insert", "curve.rib.through", 6, path)
    assert read(last).project.curve["rib"].through[7] == (668.0, 650.0)
    plies = with_element(path.read_text(), "insert", "part.rib.ply", 1, path)
    assert [p.wood for p in read(plies).project.bent["rib"].ply] == [
        "ash", "walnut", "walnut", "ash",
    ]  # fmt: skip
    for key, index in (("part", 0), ("curve.rib.through", 7), ("nothing.here", 0)):
        with pytest.raises(ProjectError):
            with_element(path.read_text(), "remove", key, index, path)


def test_a_change_that_leaves_nothing_readable_is_refused():
    with pytest.raises(ProjectError):
        changed(FILES["low-stool"].read_text(), [("units", "yards")], Path("x.toml"))


def test_a_draft_lays_the_latest_over_and_leaves_the_rest():
    text = FILES["slatted-bench"].read_text()
    draft = Draft(read(text))
    draft.put([("curve.rib.through.2.1", 50)])
    trial = draft.put([("curve.rib.through.2.1", 61.5)])
    assert trial.text == draft.text == text.replace("[270, 34]", "[270, 61.5]")
    assert trial.project == read(trial.text).project
    assert trial.raw == read(trial.text).raw


def test_history_goes_back_through_everything_and_forgets_what_was_undone():
    history = History("0")
    for i in range(1, 400):
        history.add(str(i))
    for i in range(398, -1, -1):
        assert history.undo() == str(i)
    assert history.redo() == "1"
    history.add("other")
    assert not history.can_redo
    assert history.undo() == "1"
