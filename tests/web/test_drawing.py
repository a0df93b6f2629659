"""The drawing in a browser: dragging, the keyboard, undo, typed numbers."""

import tomllib

import pytest

from support.access import serious
from support.browser import drag, point, through


def curve(t, file, name):
    return tomllib.loads(t.text(file))["curve"][name]


def test_a_dragged_point_moves_the_curve_and_the_file_and_keeps_comments(server, tab):
    t = tab().open("slatted-bench")
    before = t.page.locator("#section-curves .lead").inner_text()
    drag(t, 5, 40, 0)
    t.saved()
    assert through(t, 5)[0] > 545
    assert through(t, 5)[1] == 370
    assert t.page.locator("#section-curves .lead").inner_text() != before
    assert "# Side view of one rib" in t.text("slatted-bench")
    assert t.errors == []


def test_answers_follow_while_the_pointer_is_down_and_escape_puts_it_back(server, tab):
    t = tab().open("slatted-bench")
    before = t.page.locator("#section-curves .lead").inner_text()
    drag(t, 2, 0, -60, drop=False)
    t.until("b => document.querySelector('#section-curves .lead').innerText !== b", before)
    t.page.keyboard.press("Escape")
    t.until("b => document.querySelector('#section-curves .lead').innerText === b", before)
    t.page.mouse.up()
    t.saved()
    assert through(t, 2) == [270, 34]


def test_an_expression_that_names_a_dimension_moves_the_dimension(server, tab):
    t = tab().open("slatted-bench")
    drag(t, 4, 40, -30)
    t.saved()
    assert through(t, 4)[1] != 210
    # x is held by "= seat_depth + 48", so only y follows
    assert through(t, 4)[0] == "= seat_depth + 48"
    held = t.page.locator('.handle[data-id="point.4"]').get_attribute("aria-label")
    assert "seat_depth" in held


def test_arrow_keys_move_a_point_and_undo_redo_go_back_and_forth(server, tab):
    t = tab().open("slatted-bench")
    t.page.locator('.handle[data-id="point.1"]').focus()
    t.page.keyboard.press("ArrowUp")
    t.waits_for(lambda: through(t, 1) == [130, 37])
    t.page.keyboard.press("Control+ArrowRight")
    t.waits_for(lambda: through(t, 1)[0] == 135)
    assert t.page.evaluate("document.activeElement.dataset.id") == "point.1"
    t.page.keyboard.press("Control+z")
    t.waits_for(lambda: through(t, 1)[0] == 130)
    t.page.keyboard.press("Control+z")
    t.waits_for(lambda: through(t, 1) == [130, 36])
    t.page.wait_for_selector("#undo:disabled")
    t.page.keyboard.press("Control+Shift+z")
    t.waits_for(lambda: through(t, 1) == [130, 37])


def test_segments_have_handles_for_radius_angle_and_length(server, tab):
    t = tab().open("hearth-rocker")
    t.page.locator('.parts [data-part="slat"]').click()
    t.page.wait_for_selector('.handle[aria-label^="End of line 1"]')
    labels = [h.get_attribute("aria-label") for h in t.page.locator(".handle").all()]
    assert any(label.startswith("End of line 1: 30 mm") for label in labels)
    t.page.locator('.handle[aria-label^="Middle of arc 2"]').focus()
    t.page.keyboard.press("ArrowDown")
    t.waits_for(lambda: "radius = 469" in t.text("hearth-rocker"))
    t.page.locator('.handle[aria-label^="End of arc 2"]').focus()
    t.page.keyboard.press("Control+ArrowUp")
    t.waits_for(lambda: 'radius = 469, angle = "57 deg"' in t.text("hearth-rocker"))
    t.page.keyboard.press("Shift+ArrowDown")
    t.waits_for(lambda: 'angle = "56.9 deg"' in t.text("hearth-rocker"))


def test_a_dimension_named_alone_is_what_a_handle_changes(server, tab):
    t = tab().open("hearth-rocker")
    t.page.locator('.handle[aria-label^="Middle of arc 2"]').focus()
    t.page.keyboard.press("Control+ArrowUp")
    t.waits_for(lambda: "rocker_radius = 1060" not in t.text("hearth-rocker"))
    assert 'arc = { radius = "= rocker_radius"' in t.text("hearth-rocker")


def test_a_new_point_and_one_taken_out(server, tab):
    t = tab().open("slatted-bench")
    section = t.section("curves")
    section.get_by_label("Add one after 2").click()
    t.page.wait_for_selector('.handle[data-id="point.7"]')
    t.waits_for(lambda: 195 < through(t, 2)[0] < 205)
    assert 33 < through(t, 2)[1] < 35  # on the curve, which lies under its chord there
    t.page.locator('.handle[data-id="point.2"]').focus()
    t.page.keyboard.press("Delete")
    t.waits_for(lambda: through(t, 2) == [270, 34])
    t.until("() => document.activeElement.dataset.id === 'point.1'")


def test_a_click_on_a_handle_moves_nothing(server, tab):
    t = tab().open("slatted-bench")
    x, y = point(t, 2)
    t.page.mouse.move(x + 4, y + 3)
    t.page.mouse.down()
    t.page.mouse.move(x + 5, y + 4)
    t.page.mouse.up()
    t.saved()
    assert through(t, 2) == [270, 34]
    assert t.page.locator("#undo").is_disabled()
    assert t.page.locator("#beside").is_visible()


@pytest.mark.parametrize(("key", "grain"), [("", 1.0), ("Shift", 0.1), ("Alt", 0.01)])
def test_a_drag_snaps_to_round_values_unless_it_is_held_off(server, tab, key, grain):
    t = tab().open("slatted-bench")
    if key:
        t.page.keyboard.down(key)
    drag(t, 5, 33, -17)
    if key:
        t.page.keyboard.up(key)
    t.saved()
    assert through(t, 5) != [528, 370]
    shares = [v / grain for v in through(t, 5)]
    assert all(abs(s - round(s)) < 1e-6 for s in shares)
    if key == "Alt":
        assert any(abs(v * 10 - round(v * 10)) > 1e-6 for v in through(t, 5))


def test_values_are_typed_beside_the_handle(server, tab):
    t = tab().open("slatted-bench")
    t.page.locator('.handle[data-id="point.3"]').focus()
    t.page.keyboard.press("Enter")
    assert t.page.evaluate("document.activeElement.getAttribute('aria-label')") == (
        "Point 4, to the right"
    )
    t.page.keyboard.press("Control+a")
    t.page.keyboard.type("400.5")
    t.page.keyboard.press("Enter")
    t.waits_for(lambda: through(t, 3) == [400.5, 84])
    t.page.keyboard.press("Escape")
    t.until("() => document.activeElement.dataset.id === 'point.3'")
    t.page.keyboard.press("Control+z")
    t.waits_for(lambda: through(t, 3) == [395, 84])


def test_a_double_click_adds_a_point_where_it_was(server, tab):
    t = tab().open("slatted-bench")
    (x0, y0), (x1, y1) = point(t, 2), point(t, 3)
    t.page.mouse.dblclick((x0 + x1) / 2, (y0 + y1) / 2 + 6)
    t.page.wait_for_selector('.handle[data-id="point.7"]')
    t.waits_for(lambda: len(curve(t, "slatted-bench", "rib")["through"]) == 8)
    assert 300 < through(t, 3)[0] < 360
    t.page.keyboard.press("Control+z")
    t.waits_for(lambda: len(curve(t, "slatted-bench", "rib")["through"]) == 7)


def test_a_direction_at_an_end_is_fixed_turned_and_left_free_again(server, tab):
    t = tab().open("slatted-bench")
    t.page.locator('.handle[data-id="start_heading"]').focus()
    t.page.keyboard.press("ArrowUp")
    t.waits_for(lambda: "start_heading" in curve(t, "slatted-bench", "rib"))
    first = curve(t, "slatted-bench", "rib")["start_heading"]
    t.page.keyboard.press("Control+ArrowDown")
    t.waits_for(lambda: curve(t, "slatted-bench", "rib")["start_heading"] == first - 5)
    t.page.keyboard.press("Delete")
    t.waits_for(lambda: "start_heading" not in curve(t, "slatted-bench", "rib"))


# -- segments -----------------------------------------------------------------------------


def test_segments_are_added_cut_and_taken_out_each_in_one_step(server, tab):
    t = tab().open("hearth-rocker")

    def kinds():
        return [next(iter(s)) for s in curve(t, "hearth-rocker", "rocker")["segment"]]

    t.page.locator('.handle[data-id="segment.1.middle"]').focus()
    t.page.get_by_label("Add after segment 2: line").click()
    t.waits_for(lambda: kinds() == ["easement", "arc", "line", "easement"])
    t.page.wait_for_selector('.handle[data-id="segment.3.end"]')
    t.page.keyboard.press("Control+z")
    t.waits_for(lambda: kinds() == ["easement", "arc", "easement"])
    t.rest()
    t.page.locator('.handle[data-id="segment.1.middle"]').focus()
    t.page.keyboard.press("Insert")
    t.waits_for(lambda: kinds() == ["easement", "arc", "arc", "easement"])
    assert curve(t, "hearth-rocker", "rocker")["segment"][2]["name"] == "rear post"
    t.page.wait_for_selector('.handle[data-id="segment.3.end"]')
    t.page.keyboard.press("Control+z")
    t.waits_for(lambda: kinds() == ["easement", "arc", "easement"])
    t.rest()
    t.page.locator('.handle[data-id="segment.0.end"]').focus()
    t.page.get_by_label("Add before segment 1: line").click()
    t.waits_for(lambda: kinds() == ["line", "easement", "arc", "easement"])
    t.page.wait_for_selector('.handle[data-id="segment.3.end"]')
    t.page.locator('.handle[data-id="segment.0.end"]').focus()
    t.page.keyboard.press("Delete")
    t.waits_for(lambda: kinds() == ["easement", "arc", "easement"])
    assert "# The slats lie in plan" in t.text("hearth-rocker")
    assert t.errors == []


def test_a_tooth_of_the_comb_changes_the_radius_an_easement_ends_with(server, tab):
    t = tab().open("hearth-rocker")
    tip = t.page.locator('.handle[data-id="segment.2.to"]')
    assert "1900" in tip.get_attribute("aria-label")
    tip.focus()
    t.page.keyboard.press("ArrowDown")

    def ease():
        return curve(t, "hearth-rocker", "rocker")["segment"][2]["easement"]

    t.waits_for(lambda: ease()["to_radius"] == 1890)
    box = tip.bounding_box()
    x, y = box["x"] + 14, box["y"] + 14
    t.page.mouse.move(x, y)
    t.page.mouse.down()
    t.page.mouse.move(x + 3, y + 9, steps=4)
    t.page.mouse.up()
    t.waits_for(lambda: ease()["to_radius"] not in (1890, 1900))
    assert 0 < ease()["to_radius"] < 1890  # a longer tooth is a tighter bend


def test_the_start_and_its_direction_are_moved(server, tab):
    t = tab().open("hearth-rocker")
    t.page.locator('.handle[data-id="start"]').focus()
    t.page.keyboard.press("ArrowRight")
    t.waits_for(lambda: curve(t, "hearth-rocker", "rocker").get("start") == [1, 0])
    t.page.wait_for_selector('.handle[data-id="start"][aria-label*=" 1, 0 mm"]')
    t.page.keyboard.press("ArrowUp")
    t.waits_for(lambda: curve(t, "hearth-rocker", "rocker")["start"] == [1, 1])
    t.page.locator('.handle[data-id="heading"]').focus()
    t.page.keyboard.press("ArrowUp")
    t.waits_for(lambda: curve(t, "hearth-rocker", "rocker")["heading"] == "-20.5 deg")


def pulled(t, id, dx, dy):
    box = t.page.locator(f'.handle[data-id="{id}"]').bounding_box()
    x, y = box["x"] + 14, box["y"] + 14
    t.page.mouse.move(x, y)
    t.page.mouse.down()
    t.page.mouse.move(x + dx / 2, y + dy / 2, steps=3)
    t.page.mouse.move(x + dx, y + dy, steps=3)
    t.page.mouse.up()


def test_levers_and_the_start_are_pulled_with_the_pointer(server, tab):
    t = tab().open("hearth-rocker")
    pulled(t, "heading", 0, 20)
    t.saved()
    assert float(curve(t, "hearth-rocker", "rocker")["heading"].split()[0]) > -21
    pulled(t, "start", 30, 10)
    t.saved()
    x, y = curve(t, "hearth-rocker", "rocker")["start"]
    assert x > 10
    assert y < 0
    t.page.locator("#undo").click()
    t.waits_for(lambda: "start" not in curve(t, "hearth-rocker", "rocker"))
    t.page.locator("#undo").click()
    t.waits_for(lambda: curve(t, "hearth-rocker", "rocker")["heading"] == "-21 deg")
    assert t.errors == []


def test_a_named_place_is_added_pulled_along_and_taken_out(server, tab):
    t = tab().open("slatted-bench")
    section = t.section("curves")
    section.get_by_label("Name of a new place").fill("back rail")
    section.get_by_role("button", name="Add a place").click()
    handle = t.page.locator('.handle[data-id="station.back rail"]')
    handle.wait_for()

    def places():
        return curve(t, "slatted-bench", "rib")["stations"]

    t.waits_for(lambda: "stations" in curve(t, "slatted-bench", "rib"))
    was = places()["back rail"]
    handle.focus()
    t.page.keyboard.press("ArrowRight")
    t.waits_for(lambda: places()["back rail"] == round(was) + 1)
    t.rest()
    box, (x, y) = handle.bounding_box(), point(t, 5)
    t.page.mouse.move(box["x"] + 14, box["y"] + 14)
    t.page.mouse.down()
    t.page.mouse.move(x, y, steps=5)
    t.page.mouse.up()
    t.saved()
    assert 600 < places()["back rail"] < 800
    handle.focus()
    t.page.keyboard.press("Delete")
    t.waits_for(lambda: places() == {})


def test_segments_become_points_after_the_deviation_was_shown(server, tab):
    t = tab().open("hearth-rocker")
    section = t.section("curves")
    before = t.text("hearth-rocker")
    section.get_by_role("button", name="Turn it into points").click()
    offer = section.locator("#turn-offer")
    offer.get_by_text("from the line that is drawn now").wait_for()
    assert t.page.locator("#ghost path").count() == 1
    many = t.page.locator("#ghost circle").count()
    offer.get_by_role("button", name="fewer").click()
    t.until("n => document.querySelectorAll('#ghost circle').length === n - 1", many)
    assert t.text("hearth-rocker") == before
    offer.get_by_role("button", name="Use these points").click()
    t.waits_for(lambda: len(curve(t, "hearth-rocker", "rocker").get("through", [])) == many - 1)
    assert set(curve(t, "hearth-rocker", "rocker")["stations"]) == {"front post", "rear post"}
    t.page.wait_for_selector(".notice:has-text('farthest from before')")
    t.page.locator("#undo").click()
    t.waits_for(lambda: t.text("hearth-rocker") == before)
    assert t.errors == []


# -- a drawing in its place ---------------------------------------------------------------

HOOK = (
    '<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 600 200">'
    '<path d="M20 150 A 900 900 0 0 1 580 120" fill="none" stroke="black"/></svg>'
)


def test_a_drawing_is_shown_with_its_size_and_deviation_before_it_is_used(server, tab, tmp_path):
    file = tmp_path / "arc.svg"
    file.write_text(HOOK.format(size='width="600mm" height="200mm"'))
    t = tab().open("hearth-rocker")
    section, before = t.section("curves"), t.text("hearth-rocker")
    section.locator(".bring summary").click()
    section.locator(".bring input[type=file]").set_input_files(file)
    look = section.locator(".look")
    look.get_by_text("It comes out 570").wait_for()
    assert "900 mm at its tightest" in look.inner_text()
    assert "taken over as they are" in look.inner_text()
    assert look.locator("path.drawn").count() == 1
    assert look.locator("path.now").count() == 1
    section.locator(".bring select").select_option("in")
    look.get_by_text("It comes out 14").wait_for()  # 14.5 m: a wrong unit is seen at once
    assert t.text("hearth-rocker") == before
    assert not (server.folder / "arc.svg").exists()
    section.locator(".bring select").select_option("")
    look.get_by_text("It comes out 570").wait_for()
    section.get_by_role("button", name="Use it").click()
    t.waits_for(lambda: (server.folder / "arc.svg").exists())
    t.waits_for(lambda: "arc" in tomllib.loads(t.text("hearth-rocker"))["curve"])
    assert set(curve(t, "hearth-rocker", "arc")["stations"]) == {"front post", "rear post"}
    t.page.locator("#undo").click()
    t.waits_for(lambda: t.text("hearth-rocker") == before)
    assert t.errors == []


def test_a_drawing_without_a_unit_asks_for_it_with_the_length_each_would_give(
    server, tab, tmp_path
):
    file = tmp_path / "bare.svg"
    file.write_text(HOOK.format(size='width="600" height="200"'))
    t = tab().open("slatted-bench")
    section = t.section("curves")
    section.locator(".bring summary").click()
    section.locator(".bring input[type=file]").set_input_files(file)
    section.get_by_text("In what unit was it drawn?").wait_for()
    options = section.locator(".bring select").inner_text()
    assert "mm (570" in options
    assert "px (150" in options
    section.locator(".bring select").select_option("px")
    section.locator(".look").get_by_text("It comes out 150").wait_for()


# -- looking ------------------------------------------------------------------------------


def test_the_comb_is_switched_and_stays_switched(server, tab):
    t = tab().open("slatted-bench")
    comb = t.page.locator("#comb")
    assert comb.is_visible()
    drawn = t.page.evaluate(
        "['teeth', 'edge', 'limit'].map(n => document.querySelector(`#comb .${n}`)"
        ".getAttribute('d').length)"
    )
    assert min(drawn) > 100
    t.page.locator("#comb-show").click()
    assert t.page.locator("#comb-show").get_attribute("aria-pressed") == "false"
    assert not comb.is_visible()
    t.page.reload()
    t.page.wait_for_selector('.handle[data-id="point.1"]')
    assert not comb.is_visible()


def test_on_a_narrow_screen_values_beside_a_handle_fit_and_nothing_serious_is_found(server, tab):
    t = tab(360, 760, color_scheme="dark", reduced_motion="reduce").open("hearth-rocker")
    t.page.locator('.handle[data-id="segment.1.middle"]').focus()
    box = t.page.locator("#beside").bounding_box()
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= 360
    field = t.page.locator("#beside input").first
    field.focus()
    assert field.is_visible()
    wide = t.page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    assert wide[0] <= wide[1]
    assert serious(t.page) == []


def test_the_views_show_sizes_the_form_and_all_parts(server, tab):
    t = tab().open("hearth-rocker")
    for view, inside in (("sheet", "reference"), ("form", "Form for rocker"), ("all", "5 off")):
        t.page.evaluate(f"document.querySelector('input[name=view][value={view}]').click()")
        t.until("w => document.querySelector('#picture').textContent.includes(w)", inside)
        assert t.page.locator(".handle").count() == 0
    assert t.errors == []
