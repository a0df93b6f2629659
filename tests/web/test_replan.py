"""Planning again: what is the same is kept, a draft is near enough, and errors are answers."""

from dataclasses import replace

import numpy as np
import pytest

from overbend.project import read
from overbend.units import Display
from overbend.web.answers import View, answers, slow_answers
from overbend.web.draft import changed
from overbend.web.replan import DraftPart, Replanner
from support.browser import PIECES

FILES = {p.stem: p for p in sorted(PIECES.glob("*.toml"))}
ROCKER = FILES["hearth-rocker"]


def loaded(*edits, file=ROCKER):
    return read(changed(file.read_text(), edits, file), file)


def test_parts_that_are_the_same_are_kept_and_others_are_not():
    replanner = Replanner()
    first = replanner.plan(loaded(), Display())
    again = replanner.plan(loaded(("part.slat.width", 61)), Display())
    assert again.bent["rocker"] is first.bent["rocker"]
    assert again.bent["slat"] is not first.bent["slat"]
    assert again.bent["slat"].part.width == 61
    shop = replanner.plan(loaded(("shop.trim", 31)), Display())
    assert all(shop.bent[n] is not first.bent[n] for n in first.bent)


def test_a_dimension_reaches_the_parts_that_use_it():
    replanner = Replanner()
    first = replanner.plan(loaded(), Display())
    again = replanner.plan(loaded(("dimensions.rocker_radius", 990)), Display())
    assert again.bent["slat"] is first.bent["slat"]
    assert again.bent["rocker"].shapes["target"].radius == pytest.approx(990)


@pytest.mark.parametrize("name", sorted(FILES))
def test_a_draft_is_close_to_the_full_plan(name):
    file, replanner = FILES[name], Replanner()
    full = replanner.plan(loaded(file=file), Display())
    draft = replanner.plan(loaded(file=file), Display(), draft=True)
    for part, quick in zip(full.bent.values(), draft.bent.values(), strict=True):
        assert isinstance(quick, DraftPart)
        for line in ("target", "form", "released"):
            a, b = part.shapes[line], quick.shapes[line]
            assert b.chord == pytest.approx(a.chord, abs=0.3)
        assert quick.risk.strain.verdict.word == part.risk.strain.verdict.word
        width = part.band.high[-1] - part.band.low[-1]
        assert quick.band.high[-1] - quick.band.low[-1] == pytest.approx(width, rel=0.25)


def test_handles_lie_on_the_drawing_where_the_file_says():
    view = View(width=200.0, height=140.0)
    file = FILES["slatted-bench"]
    answer = answers(Replanner(), loaded(file=file), view, False)
    x0, y0, x1, y1 = answer.window
    scene = answer.data["scene"]
    assert scene["scale"] == pytest.approx(200.0 / (x1 - x0))
    assert scene["scale"] == pytest.approx(140.0 / (y1 - y0))
    handle = next(h for h in scene["handles"] if h["id"] == "point.5")
    assert handle["x"] == pytest.approx((528 - x0) * scene["scale"], abs=0.01)
    assert handle["y"] == pytest.approx((y1 - 370) * scene["scale"], abs=0.01)
    track = np.array(scene["track"])
    assert track.min() > 0
    assert (track < [200.0, 140.0]).all()
    assert "style=" not in scene["svg"]


def test_an_error_of_one_stage_leaves_the_rest():
    text = ROCKER.read_text().replace("box]\nlength = 1500", "box]\nlength = 200")
    view = View(part="slat", mode="curve")
    pieces = list(slow_answers(Replanner(), read(text, ROCKER), view, lambda: False))
    assert pieces[-1]["stage"] == "full"
    made = {k for p in pieces for k in p.get("sections", {})}
    assert {"steam", "forms", "book"} <= made


def test_slow_answers_stop_when_something_changes():
    pieces = slow_answers(Replanner(), loaded(), View(), lambda: True)
    assert list(pieces) == []


def test_a_view_of_a_part_that_is_gone_shows_the_first():
    answer = answers(Replanner(), loaded(), replace(View(), part="nothing"), False)
    assert answer.data["part"] == "rocker"


def test_a_piece_without_bent_parts_has_an_answer():
    bare = read('schema = 1\nname = "Plank"\nunits = "mm"')
    answer = answers(Replanner(), bare, View(), False)
    assert answer.data["parts"] == []
    assert list(slow_answers(Replanner(), bare, View(), lambda: False))[-1]["stage"] == "full"
