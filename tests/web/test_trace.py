"""A picture to trace: hostile files, its scale, and points along it in a browser."""

import json
import math
import struct
import tomllib
from dataclasses import replace

import httpx
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.errors import DrawingFileError, InputError
from overbend.project import build_curve, read
from overbend.web import tracing
from overbend.web.history import History
from overbend.web.store import Store
from overbend.web.tracing import Placed, checked, keep_picture, placed, put_placed, scaled
from support.access import serious
from support.paint import drawing, png

GOOD = drawing(300, 200, [(40, 60), (240, 160)])
JPEG = (
    b"\xff\xd8\xff\xe1\x00\x08Exif\xff\xd9"  # a thumbnail's end, in a header
    b"\xff\xc0\x00\x0b\x08\x00\xc8\x01\x2c\x01\x01\x11\x00"
    b"\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00\x12\xff\x00\x34"
)
WEBP = b"RIFF" + struct.pack("<I", 22) + b"WEBPVP8L" + struct.pack("<I", 10)
WEBP += b"\x2f" + struct.pack("<I", 299 | 199 << 14) + bytes(5)
SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'


def bomb(width, height):
    """A small PNG that says it is large."""
    return GOOD[:16] + struct.pack(">II", width, height) + GOOD[24:]


# -- what is taken ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "ending"), [(GOOD, ".png"), (JPEG + b"\xff\xd9", ".jpg"), (WEBP, ".webp")]
)
def test_a_picture_is_known_by_its_first_bytes_whatever_its_name(data, ending):
    assert checked(data, "holiday.exe") == (ending, 300, 200)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (SVG, "no picture"), (b"", "no picture"), (b"GIF89a" + bytes(40), "no picture"),
        (GOOD[:-9], "not whole"), (GOOD[:20], "not whole"), (JPEG, "not whole"),
        (WEBP[:-4], "not whole"), (WEBP[:16], "not whole"), (bomb(0, 10), "not whole"),
        (bomb(30_000, 30_000), "too large"), (GOOD + bytes(tracing.LARGEST_PICTURE), "too large"),
        (b"\xff\xd8\xff" + bytes(30), "not whole"),
    ],
)  # fmt: skip
def test_anything_else_is_refused_plainly(data, said):
    with pytest.raises(DrawingFileError, match=said) as found:
        checked(data, "chair.png")
    assert "chair.png" in found.value.problem


@given(st.binary(max_size=400))
def test_no_bytes_whatever_upset_it(data):
    for head in (b"", b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF\x20\x00\x00\x00WEBP"):
        try:
            _, width, height = checked(head + data, "x")
        except DrawingFileError:
            continue
        assert width > 0
        assert height > 0


# -- where it lies ------------------------------------------------------------------------

near = st.floats(-3000.0, 3000.0)
spots = st.tuples(st.floats(0.0, 4000.0), st.floats(0.0, 3000.0))


@given(near, near, st.floats(-3.0, 3.0), spots, spots, st.floats(1.0, 5000.0),
       st.sampled_from(["none", "level", "plumb"]))  # fmt: skip
def test_two_points_and_their_distance_place_the_picture(x, y, turn, one, other, distance, level):
    if math.dist(one, other) < 50.0:
        return
    before = Placed(x=x, y=y, size=0.7, turn=turn)
    after = scaled(before, [one, other], distance, level)
    a, b = after.at(*one), after.at(*other)
    assert math.dist(a, b) == pytest.approx(distance, abs=1e-6)
    assert a == pytest.approx(before.at(*one), abs=1e-6)
    across = {"none": None, "level": b[1] - a[1], "plumb": b[0] - a[0]}[level]
    if across is None:
        assert after.turn == before.turn
    else:
        assert across == pytest.approx(0.0, abs=1e-6)
        assert abs(after.turn) <= math.pi / 2 + 1e-9


def test_points_on_each_other_and_no_distance_are_refused():
    for marks, mm in (([(5, 5), (5.2, 5)], 100.0), ([(0, 0), (9, 9)], 0.0), ([(0, 0), (9, 9)], -4)):
        with pytest.raises(DrawingFileError):
            scaled(Placed(), marks, mm)


def test_the_picture_lies_beside_the_project_and_only_one_does(tmp_path):
    project = tmp_path / "stool.toml"
    project.write_text("x")
    keep_picture(project, GOOD, "a.png")
    put_placed(project, Placed(x=3.0, size=0.25, marks=((1.0, 2.0), (3.0, 4.0)), distance=9.0))
    assert placed(project).marks == ((1.0, 2.0), (3.0, 4.0))
    keep_picture(project, WEBP, "b.png")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["stool.toml", "stool.trace.webp"]
    (tmp_path / "stool.trace.json").write_text('{"x": 1e999, "size": "large"}')
    assert placed(project) == Placed()
    tracing.remove_picture(project)
    assert [p.name for p in tmp_path.iterdir()] == ["stool.toml"]
    assert placed(project) is None


def test_a_copy_a_new_name_and_the_trash_take_the_picture_along(tmp_path):
    store = Store(tmp_path / "pieces")
    id = store.new("low-stool", "Perch")
    keep_picture(store.path(id), GOOD, "a.png")
    put_placed(store.path(id), Placed(size=0.5))
    copy = store.path(store.duplicate(id))
    assert placed(copy).size == 0.5
    assert tracing.picture_of(copy).read_bytes() == GOOD
    renamed = store.path(store.rename(id, "Roost"))
    assert tracing.picture_of(renamed).name == "roost.trace.png"
    assert placed(renamed).size == 0.5
    gone = store.delete(store._id(renamed))
    assert sorted(p.name for p in gone.iterdir()) == [
        "roost.toml", "roost.trace.json", "roost.trace.png",
    ]  # fmt: skip


def test_the_picture_of_a_project_without_a_folder_of_its_own_goes_with_it(tmp_path):
    store = Store(tmp_path)
    for name in ("one", "two"):
        (tmp_path / f"{name}.toml").write_text('schema = 1\nname = "x"\nunits = "mm"\n')
        keep_picture(tmp_path / f"{name}.toml", GOOD, "a.png")
    store.rename("one", "three")
    assert (tmp_path / "three.trace.png").exists()
    assert (tmp_path / "two.trace.png").exists()
    gone = store.delete("three")
    assert (gone / "three.trace.png").exists()
    with pytest.raises(InputError):
        store.path("three")


def test_a_picture_is_put_back_as_it_lay_but_seen_as_it_is_now(tmp_path):
    project = tmp_path / "stool.toml"
    assert not tracing.put_back(project, tracing.Kept())
    keep_picture(project, GOOD, "a.png")
    put_placed(project, Placed(x=3.0, size=0.25, opacity=0.9))
    before = tracing.kept(project)
    put_placed(project, Placed(x=9.0, size=0.25, opacity=0.2))
    assert not before.lies_as(tracing.kept(project))
    assert tracing.put_back(project, before)
    assert placed(project) == Placed(x=3.0, size=0.25, opacity=0.2)
    assert before.lies_as(tracing.kept(project))
    assert not tracing.put_back(project, before)
    keep_picture(project, WEBP, "b.webp")
    assert tracing.put_back(project, before)
    assert tracing.picture_of(project).name == "stool.trace.png"
    assert before.lies_as(tracing.kept(project))
    assert tracing.put_back(project, tracing.Kept())
    assert tracing.as_data(project) is None
    assert tracing.put_back(project, before)
    assert tracing.kept(project) == before


def test_texts_and_pictures_are_undone_in_the_order_they_came():
    at = [tracing.Kept(Placed(x=float(i)), bytes(GOOD)) for i in range(3)]
    history = History("one")
    history.add("two")
    history.trace(at[0], at[1])
    history.add("three")
    history.trace(replace(at[1], data=bytes(bytearray(GOOD))), tracing.Kept())
    found = []
    while (text := history.undo()) is not None:
        found.append((text, history.picture and history.picture.where))
    assert found == [
        ("three", Placed(x=1.0)), ("two", Placed(x=1.0)), ("two", Placed()), ("one", None),
    ]  # fmt: skip
    held = {id(step.picture.data) for step in history._steps if step.picture and step.picture.where}
    assert len(held) == 1
    assert [history.redo() for _ in range(4)] == ["two", "two", "three", "three"]
    assert history.picture == tracing.Kept()
    assert not history.can_redo


# -- the server ---------------------------------------------------------------------------


@pytest.fixture
def keys(server):
    with httpx.Client(base_url=server.root, timeout=60) as client:
        client.get(server.link)
        yield client


SAME = {"sec-fetch-site": "same-origin"}


def sent(keys, server, data, name="chair.png"):
    files = {"picture": (name, data, "image/png")}
    return keys.post(f"/trace/{server.prefix}low-stool", files=files, headers=SAME)


def beside(server):
    return sorted(p.name for p in server.folder.iterdir() if ".trace" in p.name)


def test_hostile_files_leave_nothing_behind_and_say_why(server, keys):
    for data in (SVG, GOOD[:-8], bomb(20_000, 20_000), b"MZ" + bytes(3000)):
        answer = sent(keys, server, data)
        assert answer.status_code == 400
        assert answer.headers["content-type"].startswith("text/plain")
        assert "chair.png" in answer.text
        assert beside(server) == []
    assert sent(keys, server, bytes(6_000_000)).status_code == 413
    path = f"/trace/{server.prefix}low-stool"
    assert keys.post(path, data={"picture": "text"}, headers=SAME).status_code == 400
    assert sent(keys, server, GOOD, "../../evil.png").status_code == 200
    assert beside(server) == ["low-stool.trace.json", "low-stool.trace.png"]


def test_the_picture_is_served_as_what_it_is_and_to_nobody_else(server, keys):
    sent(keys, server, GOOD)
    path = f"/trace-picture/{server.prefix}low-stool"
    answer = keys.get(path)
    assert answer.content == GOOD
    assert answer.headers["content-type"] == "image/png"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert httpx.get(server.root + path).status_code == 403
    assert keys.get(path, headers={"sec-fetch-site": "cross-site"}).status_code == 403
    for bad in ("/trace-picture/../low-stool", "/trace-picture/%2e%2e/x", "/trace/none"):
        assert keys.get(bad).status_code in (400, 404)
    (server.folder / "low-stool.trace.png").unlink()
    (server.folder / "low-stool.trace.png").symlink_to("/etc/hostname")
    assert keys.get(path).status_code == 404


def test_places_that_make_no_sense_are_refused(server, keys):
    sent(keys, server, GOOD)
    path = f"/trace/{server.prefix}low-stool"
    good = keys.get(path).json()
    for body in (
        b"", b"[]", b"{}", b'{"placed": 3}', b"x" * 30_000, b"[" * 5000,
        json.dumps({"placed": {**good, "size": -1}}).encode(),
        json.dumps({"placed": {**good, "x": 1e300}}).encode(),
        json.dumps({"placed": good, "text": "900", "marks": [[0, 0]]}).encode(),
        json.dumps({"placed": good, "text": "a yard", "marks": [[0, 0], [9, 9]]}).encode(),
    ):  # fmt: skip
        answer = keys.put(path, content=body, headers=SAME)
        assert answer.status_code == 400, body[:60]
        assert answer.text
    assert keys.get(path).json() == good
    asked = {"placed": good, "text": "3' 4-1/2\"", "unit": "in", "marks": [[0, 0], [0, 81]]}
    assert keys.put(path, json=asked, headers=SAME).json()["size"] == pytest.approx(12.7)
    assert keys.request("DELETE", path, headers=SAME).json() is None
    assert beside(server) == []


# -- in a browser -------------------------------------------------------------------------

ARC = (600, -500, 1000)  # the arc in the picture, in points of colour
MARKS = [(150, 600), (1050, 560)]
PER = 0.8  # mm for a point of colour
DISTANCE = PER * math.dist(*MARKS)


def on_screen(t, x, y):
    """Where a point of the picture is seen."""
    return t.page.evaluate(
        """([x, y]) => {
          const picture = document.querySelector('#trace-picture');
          const m = new DOMMatrix(getComputedStyle(picture).transform);
          const box = document.querySelector('#sheet').getBoundingClientRect();
          return [box.left + m.a * x + m.c * y + m.e, box.top + m.b * x + m.d * y + m.f];
        }""",
        [x, y],
    )


SEEN = "getComputedStyle(document.querySelector('#trace-picture')).transform"


def press(t, x, y, closer=0):
    """Click on a point of the picture, looked at closely first."""
    for _ in range(closer):
        t.page.mouse.move(*on_screen(t, x, y))
        before = t.page.evaluate(SEEN)
        t.page.mouse.wheel(0, -400)
        t.waits_for(lambda before=before: t.page.evaluate(SEEN) != before)
    t.page.mouse.click(*on_screen(t, x, y))
    if closer:
        t.page.locator("#trace-whole").click()


def with_picture(t, tmp_path, project="slatted-bench"):
    file = tmp_path / "rib.png"
    file.write_bytes(drawing(1200, 700, MARKS, ARC))
    t.page.locator("#trace-open").click()
    with t.page.expect_response(lambda r: r.request.method == "POST"):
        t.page.locator("#trace-file").set_input_files(file)
    t.page.locator("#trace-step-scale").wait_for()
    assert record(t, project)["width"] == 1200
    return t


def scale_it(t, closer=3):
    for x, y in MARKS:
        press(t, x, y, closer)
    t.page.locator("#trace-distance").fill(f"{DISTANCE:.3f} mm")


def record(t, project="slatted-bench"):
    return json.loads((t.server.folder / f"{project}.trace.json").read_text())


def test_two_marks_and_a_distance_give_the_scale_to_a_tenth_of_a_millimetre(server, tab, tmp_path):
    t = with_picture(tab().open("slatted-bench"), tmp_path)
    scale_it(t)
    t.page.locator("#trace-level").select_option("level")
    t.page.locator("#trace-set").click()
    t.page.get_by_text("Click along the curve").wait_for()
    found = record(t)
    where = tracing.read_placed(found)
    a, b = (where.at(*mark) for mark in MARKS)  # where the marks of the picture really are
    assert math.dist(a, b) == pytest.approx(DISTANCE, abs=0.1)
    assert b[1] - a[1] == pytest.approx(0.0, abs=0.1)
    assert found["width"] == 1200
    assert t.errors == []


def test_points_along_the_picture_become_the_curve_of_the_part(server, tab, tmp_path):
    t = with_picture(tab().open("slatted-bench"), tmp_path)
    before = t.text("slatted-bench")
    scale_it(t)
    t.page.locator("#trace-set").click()
    t.page.get_by_text("Click along the curve").wait_for()
    for degrees in (-26, -13, 0, 13, 26):
        a = math.radians(degrees)
        press(t, ARC[0] + ARC[2] * math.sin(a), ARC[1] + ARC[2] * math.cos(a), 2)
    press(t, 300, 100)
    t.page.get_by_text("6 points").wait_for()
    t.page.locator("#trace-back").click()
    t.page.locator("#trace-use").click()
    t.waits_for(lambda: 'curve = "rib-traced"' in t.text("slatted-bench"))
    text = t.text("slatted-bench")
    assert len(tomllib.loads(text)["curve"]["rib-traced"]["through"]) == 5
    curve = build_curve("rib-traced", read(text).project)
    radius = 1 / np.abs(curve.kappa(np.linspace(0.1, 0.9, 9) * curve.length))
    assert radius == pytest.approx(PER * ARC[2], rel=0.02)
    assert curve.length == pytest.approx(PER * ARC[2] * math.radians(52), rel=0.002)
    t.page.wait_for_selector(".notice:has-text('5 traced points')")
    t.page.locator("#undo").click()
    t.waits_for(lambda: t.text("slatted-bench") == before)
    assert t.errors == []


def test_tracing_with_the_keyboard_alone_gives_a_curve_of_its_own(server, tab, tmp_path):
    t = with_picture(tab().open("slatted-bench"), tmp_path)
    t.page.locator("#trace-surface").focus()
    key = t.page.keyboard
    key.press("Enter")
    for _ in range(4):
        key.press("Control+ArrowRight")
    key.press("Enter")
    t.page.locator("#trace-distance").focus()
    key.type("500")
    key.press("Enter")
    t.page.get_by_text("Click along the curve").wait_for()
    for way in ("ArrowUp", "ArrowLeft", "ArrowDown"):
        key.press("Enter")
        for _ in range(3):
            key.press(f"Control+{way}")
    key.press("Enter")
    key.press("Backspace")
    t.page.get_by_text("3 points").wait_for()
    t.page.locator("#trace-name").fill("My back leg")
    t.page.locator("#trace-new").focus()
    key.press("Enter")
    t.waits_for(lambda: "my-back-leg" in tomllib.loads(t.text("slatted-bench"))["curve"])
    (x0, y0), (x1, y1), _ = tomllib.loads(t.text("slatted-bench"))["curve"]["my-back-leg"][
        "through"
    ]
    assert x1 == pytest.approx(x0, abs=0.2)
    assert y1 > y0  # up on the sheet is up
    t.page.locator("#trace-surface").focus()
    key.press("Escape")
    assert not t.page.locator("#trace-panel").is_visible()


def test_the_picture_is_moved_faded_hidden_kept_over_a_reload_and_removed(server, tab, tmp_path):
    t = with_picture(tab().open("slatted-bench"), tmp_path)
    before = record(t)
    t.page.locator("#trace-step-move").click()
    box = t.page.locator("#trace-surface").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    t.page.mouse.move(x, y)
    t.page.mouse.down()
    t.page.mouse.move(x + 50, y - 20, steps=4)
    t.page.mouse.up()
    t.waits_for(lambda: record(t)["x"] > before["x"] and record(t)["y"] > before["y"])
    t.page.locator("#trace-opacity").fill("30")
    t.waits_for(lambda: record(t)["opacity"] == 0.3)
    t.page.locator("#trace-close").click()
    t.page.reload()
    t.page.wait_for_selector("#section-book")
    picture = t.page.locator("#trace-picture")
    t.until("() => document.querySelector('#trace-picture').naturalWidth === 1200")
    assert picture.is_visible()
    assert t.page.evaluate("document.querySelector('#trace-picture').style.opacity") == "0.3"
    t.page.locator("#trace-open").click()
    t.page.locator("#trace-shown").uncheck()
    t.waits_for(lambda: record(t)["shown"] is False)
    t.page.locator("#trace-close").click()
    assert not picture.is_visible()
    t.page.locator("#trace-open").click()
    t.page.locator("#trace-remove").click()
    t.page.locator("#trace-file").wait_for()
    assert beside(server) == []
    assert t.errors == []


def grabbed(t, dx, dy):
    """Drag the picture."""
    box = t.page.locator("#trace-surface").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    t.page.mouse.move(x, y)
    t.page.mouse.down()
    t.page.mouse.move(x + dx, y + dy, steps=4)
    t.page.mouse.up()


def test_the_picture_and_the_curve_are_undone_in_the_order_they_were_changed(server, tab, tmp_path):
    t = tab().open("slatted-bench")
    undo = t.page.locator("#undo")
    with_picture(t, tmp_path)
    first, text = record(t), t.text("slatted-bench")
    t.page.locator("#trace-step-move").click()
    grabbed(t, 60, -20)
    t.waits_for(lambda: record(t)["x"] > first["x"])
    moved = record(t)
    t.page.locator("#trace-opacity").fill("30")
    t.page.locator("#trace-close").click()
    t.page.locator('.handle[data-id="point.2"]').focus()
    t.page.keyboard.press("ArrowUp")
    t.waits_for(lambda: t.text("slatted-bench") != text)
    bent = t.text("slatted-bench")
    t.page.locator("#trace-open").click()
    t.page.locator("#trace-step-move").click()
    t.page.locator("#trace-surface").focus()
    t.page.keyboard.press("ArrowRight")
    t.page.keyboard.press("Control+z")  # at once, before the picture rests
    t.waits_for(lambda: record(t) == {**moved, "opacity": 0.3})
    assert t.text("slatted-bench") == bent
    t.page.keyboard.press("Control+z")
    t.waits_for(lambda: t.text("slatted-bench") == text)
    assert record(t)["x"] == moved["x"]
    undo.click()
    t.waits_for(lambda: record(t) == {**first, "opacity": 0.3})
    undo.click()
    t.page.locator("#trace-file").wait_for()
    assert beside(server) == []
    t.page.wait_for_selector("#undo:disabled")
    for _ in range(4):
        t.page.locator("#redo").click()
    t.waits_for(lambda: record(t)["x"] > moved["x"] and t.text("slatted-bench") == bent)
    t.page.wait_for_selector("#redo:disabled")
    assert t.errors == []


def test_a_picture_removed_and_a_scale_set_come_back_with_undo_in_every_tab(server, tab, tmp_path):
    t = tab().open("slatted-bench")
    other = tab(context=t.context).open("slatted-bench")
    with_picture(t, tmp_path)
    before = record(t)
    scale_it(t)
    t.page.locator("#trace-set").click()
    t.page.get_by_text("Click along the curve").wait_for()
    scaled_ = record(t)
    assert scaled_["size"] != before["size"]
    t.page.locator("#trace-remove").click()
    t.page.locator("#trace-file").wait_for()
    other.until("() => document.querySelector('#trace-picture').hidden")
    other.page.locator("#undo").click()
    t.waits_for(lambda: len(beside(server)) == 2 and record(t) == scaled_)
    for one in (t, other):
        one.until("() => document.querySelector('#trace-picture').naturalWidth === 1200")
    press(t, 300, 100)
    t.page.get_by_text("1 points").wait_for()
    t.page.keyboard.press("Control+z")  # the point, which is not in the file
    t.page.get_by_text("0 points").wait_for()
    assert record(t) == scaled_
    t.page.keyboard.press("Control+z")
    t.waits_for(lambda: record(t) == before)
    t.page.get_by_text("no scale yet").wait_for()
    assert t.errors == []
    assert other.errors == []


def test_what_a_browser_cannot_draw_is_not_kept(server, tab, tmp_path):
    t = tab().open("slatted-bench")
    t.page.locator("#trace-open").click()
    bad = tmp_path / "chair.webp"
    bad.write_bytes(WEBP)  # its head is right, which is all the server looks at
    t.page.locator("#trace-file").set_input_files(bad)
    t.page.wait_for_selector(".notice[data-kind=trace]:has-text('no picture that can be used')")
    assert beside(server) == []
    assert t.page.locator("#undo").is_disabled()


def test_what_is_no_picture_is_refused_in_words(server, tab, tmp_path):
    t = tab().open("slatted-bench")
    t.page.locator("#trace-open").click()
    bad = tmp_path / "chair.png"
    hostile = (
        (SVG, "no picture"),
        (GOOD[:-8], "not whole"),
        (png(np.zeros((4, 4)))[:30], "not whole"),
    )
    for data, said in hostile:
        bad.write_bytes(data)
        t.page.locator("#trace-file").set_input_files(bad)
        t.page.wait_for_selector(f".notice[data-kind=trace]:has-text('{said}')")
        t.page.locator(".notice[data-kind=trace] button").click()
    assert beside(server) == []


@pytest.mark.parametrize(("width", "scheme"), [(360, "light"), (1400, "dark")])
def test_nothing_serious_is_found_while_tracing(server, tab, tmp_path, width, scheme):
    t = tab(width, 800, color_scheme=scheme, reduced_motion="reduce").open("slatted-bench")
    with_picture(t, tmp_path)
    for step in ("scale", "points", "move"):
        t.page.locator(f"#trace-step-{step}").click()
        assert serious(t.page) == []
    wide = t.page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    assert wide[0] <= wide[1]
