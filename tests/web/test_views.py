"""The whole piece in view: in lines and in space, what is pointed at, what a browser asks for."""

import shutil

import numpy as np
import pytest

from overbend.plan import Plan
from overbend.project import load
from overbend.units import Display
from overbend.web.replan import Replanner
from overbend.web.solid import plotting_script, solid_of
from overbend.web.views import WHOLE, whole_scene
from support.browser import drag, through
from support.pieces import ROOT
from web.conftest import CHROMIUM
from web.test_access import serious

SPACE = ("--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader")
FLAT = ("--no-sandbox", "--disable-gpu", "--disable-software-rasterizer", "--disable-3d-apis")
SIZE = (180.0, 130.0)


@pytest.fixture(scope="module")
def rocker():
    return Plan(load(ROOT / "examples" / "hearth-rocker.toml")).piece


# -- what is sent -------------------------------------------------------------------------


@pytest.mark.parametrize("view", ["side", "front", "plan"])
def test_every_part_can_be_pointed_at_and_every_joint_lies_on_the_sheet(rocker, view):
    scene = whole_scene(rocker, view, SIZE, Display("mm"))
    assert {shape["kind"] for shape in scene["shapes"]} == set(rocker.placed)
    assert set(scene["joints"]) == {joint.spec.name for joint in rocker.joints}
    places = np.array([p for places in scene["joints"].values() for p in places])
    assert (places > 0.0).all()
    assert (places < SIZE).all()
    assert "style=" not in scene["svg"]
    assert "Parts: 20, joints: 32" in scene["about"]


def test_parts_that_lie_exactly_behind_each_other_are_one_outline(rocker):
    shapes = whole_scene(rocker, "side", SIZE, Display("mm"))["shapes"]
    kinds = [shape["kind"] for shape in shapes]
    assert kinds.count("rear-post") == 1
    assert kinds.count("slat") == 5
    # the viewer looks at the right side: that rocker lies before the crest
    assert kinds.index("crest") < kinds.index("rocker")


def test_a_small_sheet_leaves_the_dimensions_out(rocker):
    wide, small = (whole_scene(rocker, "side", s, Display("mm")) for s in (SIZE, (89.0, 60.0)))
    assert "mm</tspan>" in wide["svg"]
    assert "mm</tspan>" not in small["svg"]


def test_what_is_sent_of_a_part_encloses_its_volume(rocker):
    for tube, body in zip(solid_of(rocker)["parts"], rocker.bodies, strict=True):
        n, at = tube["n"], np.array(tube["at"]).reshape(-1, 3) / 10.0
        rings = at.reshape(-1, n, 3)
        assert all(isinstance(v, int) for v in tube["at"])
        a, b = rings, np.roll(rings, -1, axis=1)
        faces = [(a[:-1], b[:-1], b[1:]), (a[:-1], b[1:], a[1:])]
        caps = [(rings[0, :1], rings[0, 2:], rings[0, 1:-1]),
                (rings[-1, :1], rings[-1, 1:-1], rings[-1, 2:])]  # fmt: skip
        volume = sum(
            np.einsum("...i,...i", p, np.cross(q, r)).sum() / 6.0
            for p, q, r in (np.broadcast_arrays(*f) for f in (*faces, *caps))
        )
        # corners are rounded to 0.1 mm on the thinnest part, 10 mm
        assert volume == pytest.approx(body.volume, rel=0.01)


def test_tenons_go_with_their_joints(rocker):
    pegs = solid_of(rocker)["pegs"]
    assert {peg["joint"] for peg in pegs} <= {joint.spec.name for joint in rocker.joints}
    assert {len(peg["at"]) for peg in pegs} == {2 * 4 * 3, 2 * 12 * 3}


def test_the_piece_is_kept_until_something_in_it_changes():
    path = ROOT / "examples" / "low-stool.toml"
    loaded, replanner = load(path), Replanner()
    first = replanner.plan(loaded, Display("in")).piece
    assert replanner.plan(load(path), Display("in")).piece is first
    assert replanner.plan(loaded, Display("mm")).piece is not first  # its bends are planned anew
    assert whole_scene(first, "side", SIZE, Display("in")) is whole_scene(
        first, "side", SIZE, Display("in")
    )


def test_a_piece_without_places_says_so():
    piece = Plan(load(ROOT / "tests" / "web" / "pieces" / "low-stool.toml")).piece
    for view in WHOLE:
        assert "No part has a place" in whole_scene(piece, view, SIZE, Display("in"))["none"]


def test_the_plotting_script_comes_from_its_wheel():
    assert plotting_script().stat().st_size > 1_000_000


# -- in a browser -------------------------------------------------------------------------


@pytest.fixture
def bench(server):
    for name in ("hearth-rocker", "low-stool"):
        shutil.copy(ROOT / "examples" / f"{name}.toml", server.folder)
    return server


@pytest.fixture
def spacious(chromium):
    """A browser that draws in space, in software."""
    browser = chromium.browser_type.launch(executable_path=CHROMIUM, args=list(SPACE))
    yield browser
    browser.close()


def turn(t, view):
    t.page.evaluate(f"document.querySelector('input[name=view][value={view}]').click()")
    t.until(
        "v => { const s = document.querySelector('#sheet'); "
        "return s.dataset.view === v && !s.classList.contains('late'); }", view
    )  # fmt: skip
    t.rest()


def drawn(t, more_than=0):
    t.until(
        "n => Number(document.querySelector('#round').dataset.drawn ?? 0) > n", more_than,
        seconds=180,
    )  # fmt: skip
    return t.page.evaluate("Number(document.querySelector('#round').dataset.drawn)")


def test_three_views_in_lines_and_a_part_selected_by_a_click(bench, tab):
    t = tab().open("hearth-rocker")
    for view, words in (("side", "right side"), ("front", "the front"), ("plan", "from above")):
        turn(t, view)
        t.until("w => document.querySelector('#picture title').textContent.includes(w)", words)
        assert t.page.locator("#strip").is_hidden()
        assert t.page.locator(".handle").count() == 0
    turn(t, "front")
    slat = t.page.locator('#whole .part[data-kind="slat"]').first
    slat.hover()
    t.page.locator("#told", has_text="5 off").wait_for()
    slat.click()
    t.page.wait_for_selector('#parts [data-part="slat"][aria-pressed="true"]')
    t.page.wait_for_selector('#picture path.chosen[data-name^="slat/"]', state="attached")
    assert t.page.locator('#whole .part.chosen[data-kind="slat"]').count() == 5
    assert t.errors == []


def test_a_straight_part_is_told_but_the_page_keeps_its_own(bench, tab):
    t = tab().open("hearth-rocker")
    turn(t, "side")
    t.page.locator('#whole .part[data-kind="side-rail"]').click()
    t.page.locator("#told", has_text="side-rail, 2 off").wait_for()
    assert t.page.locator('#parts [aria-pressed="true"]').get_attribute("data-part") == "rocker"


def test_views_follow_a_change_and_the_drag_still_works(server, bench, tab):
    t = tab().open("low-stool")
    turn(t, "side")
    before = t.page.evaluate("document.querySelector('#picture').innerHTML")
    width = t.section("bends").get_by_label("Finished width")
    width.fill("2 in")
    width.press("Enter")
    t.until("b => document.querySelector('#picture').innerHTML !== b", before)
    t.page.goto(f"{server.root}/p/{server.prefix}slatted-bench")
    t.page.wait_for_selector("#section-book")
    t.rest()
    t.page.evaluate("document.querySelector('input[name=view][value=side]').click()")
    t.page.wait_for_selector("#blank:visible")
    assert "No part has a place" in t.page.locator("#blank").inner_text()
    t.page.evaluate("document.querySelector('input[name=view][value=curve]').click()")
    t.page.wait_for_selector(".handle")
    t.rest()
    drag(t, 5, 40, 0)
    t.saved()
    assert through(t, 5)[0] > 545
    assert t.errors == []


@pytest.mark.parametrize(("width", "scheme"), [(360, "dark"), (1280, "light")])
def test_views_fit_and_nothing_serious_is_found(bench, tab, width, scheme):
    t = tab(width, 800, color_scheme=scheme).open("hearth-rocker")
    turn(t, "side")
    t.section("joints")
    assert serious(t.page) == []
    wide = t.page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    assert wide[0] <= wide[1]
    assert t.errors == []


def test_round_about_is_fetched_when_asked_for_turns_selects_and_rests(bench, spacious, tab):
    context = spacious.new_context(viewport={"width": 1280, "height": 800})
    t = tab(context=context)
    t.page.add_init_script(
        "{ const f = window.requestAnimationFrame.bind(window); window.drawnFrames = 0;"
        "window.requestAnimationFrame = (a) => { window.drawnFrames += 1; return f(a); }; }"
    )
    t.open("low-stool")
    assert not any("plotly" in url for url in t.asked)
    turn(t, "round")
    drawn(t)
    assert [url for url in t.asked if "plotly" in url] == [f"{bench.root}/plotly.js"]
    assert "Parts: 9" in t.page.locator("#round").get_attribute("aria-label")
    _keys(t)
    _pointing(t)
    light = t.page.evaluate(INK)
    t.page.evaluate("document.querySelector('input[name=theme][value=dark]').click()")
    t.waits_for(lambda: t.page.evaluate(INK) != light, 180)
    t.section("joints")
    assert serious(t.page) == []
    t.page.mouse.move(5, 5)
    t.waits_for(lambda: _frames(t) < 5, 180)
    assert t.errors == []


def _frames(t):
    """How often it draws in a second."""
    before = t.page.evaluate("window.drawnFrames")
    t.page.wait_for_timeout(1000)
    return t.page.evaluate("window.drawnFrames") - before


EYE = (
    "() => { const e = document.querySelector('#round').layout.scene.camera.eye; "
    "return [e.x, e.y, e.z]; }"
)


INK = "document.querySelector('#round').layout.font.color"
PLACES = "() => document.querySelector('#round').data.map((d) => [...d.x].join()).join(';')"
CLEAR = "() => document.querySelector('#round').data[0].opacity < 1"


def _keys(t):
    """Arrow keys turn it, buttons set a direction, and a change leaves it where it is."""
    start = t.page.evaluate(EYE)
    t.page.locator("#round").focus()
    t.page.keyboard.press("ArrowRight")
    t.waits_for(lambda: t.page.evaluate(EYE) != start, 180)
    turned = t.page.evaluate(EYE)
    angle = np.degrees(np.arctan2(turned[1], turned[0]) - np.arctan2(start[1], start[0]))
    assert angle == pytest.approx(15.0, abs=0.1)
    before = t.page.evaluate(PLACES)
    width = t.section("bends").get_by_label("Finished width")
    width.fill("2 in")
    width.press("Enter")
    t.waits_for(lambda: t.page.evaluate(PLACES) != before, 180)
    assert t.page.evaluate(EYE) == pytest.approx(turned)
    t.page.get_by_role("button", name="right side").click()
    t.waits_for(lambda: t.page.evaluate(EYE) == pytest.approx([0.0, -2.0, 0.0], abs=1e-9), 180)
    through_ = t.page.get_by_role("button", name="see the tenons")
    through_.click()
    t.until(CLEAR, seconds=180)
    assert through_.get_attribute("aria-pressed") == "true"


def _pointing(t):
    """A part pointed at says its name, a click selects it."""
    box = t.page.locator("#round").bounding_box()
    x, y = box["x"] + 0.5 * box["width"], box["y"] + 0.5 * box["height"]
    told = t.page.locator("#told")
    # from the middle upwards, until the top lies under the pointer; slowly where drawing is slow
    for rest, k in ((rest, k) for rest in (120, 500, 3000) for k in range(16)):
        t.page.mouse.move(x, y - 14 * k)
        t.page.wait_for_timeout(rest)
        if "top-slat, 5 off" in told.inner_text():
            break
    t.waits_for(lambda: "top-slat" in told.inner_text())
    t.page.mouse.down()
    t.page.mouse.up()
    t.page.mouse.move(box["x"] + 8, box["y"] + 8)
    t.until("() => document.querySelector('#told').textContent.includes('top-slat, 5 off')")


def test_without_drawing_in_space_the_page_says_so_and_fetches_nothing(bench, chromium, tab):
    flat = chromium.browser_type.launch(executable_path=CHROMIUM, args=list(FLAT))
    t = tab(context=flat.new_context(viewport={"width": 1280, "height": 800}))
    t.open("low-stool")
    turn(t, "round")
    t.page.wait_for_selector("#round .blank")
    assert "Side, front and from above" in t.page.locator("#round").inner_text()
    assert not any("plotly" in url for url in t.asked)
    assert t.errors == []
    t.page.close()
    flat.close()
