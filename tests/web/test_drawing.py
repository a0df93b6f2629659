"""The drawing in a browser: dragging, the keyboard, undo, typed numbers."""

from support.browser import drag, through


def test_a_dragged_point_moves_the_curve_and_the_file_and_keeps_comments(server, tab):
    t = tab().open("slatted-bench")
    before = t.page.locator("#section-curves .lead").inner_text()
    drag(t, 5, 40, 0)
    t.waits_for(lambda: through(t, 5)[0] > 545)
    assert through(t, 5)[1] == 370
    t.rest()
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
    t.page.wait_for_timeout(700)
    assert through(t, 2) == [270, 34]


def test_an_expression_that_names_a_dimension_moves_the_dimension(server, tab):
    t = tab().open("slatted-bench")
    drag(t, 4, 40, -30)
    t.waits_for(lambda: through(t, 4)[1] != 210)
    # x is held by "= seat_depth + 48", so only y follows
    assert through(t, 4)[0] == "= seat_depth + 48"
    held = t.page.locator('.handle[data-id="point.4"]').get_attribute("aria-label")
    assert "seat_depth" in held


def test_arrow_keys_move_a_point_and_undo_redo_go_back_and_forth(server, tab):
    t = tab().open("slatted-bench")
    t.page.locator('.handle[data-id="point.1"]').focus()
    t.page.keyboard.press("ArrowUp")
    t.waits_for(lambda: through(t, 1) == [130, 37])
    t.page.keyboard.press("Shift+ArrowRight")
    t.waits_for(lambda: through(t, 1)[0] == 135)
    assert t.page.evaluate("document.activeElement.dataset.id") == "point.1"
    t.page.keyboard.press("Control+z")
    t.waits_for(lambda: through(t, 1)[0] == 130)
    t.page.keyboard.press("Control+z")
    t.waits_for(lambda: through(t, 1) == [130, 36])
    assert t.page.locator("#undo").is_disabled()
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
    t.page.keyboard.press("Shift+ArrowUp")
    t.waits_for(lambda: 'radius = 469, angle = "57 deg"' in t.text("hearth-rocker"))


def test_a_dimension_named_alone_is_what_a_handle_changes(server, tab):
    t = tab().open("hearth-rocker")
    t.page.locator('.handle[aria-label^="Middle of arc 2"]').focus()
    t.page.keyboard.press("Shift+ArrowUp")
    t.waits_for(lambda: "rocker_radius = 1060" not in t.text("hearth-rocker"))
    assert 'arc = { radius = "= rocker_radius"' in t.text("hearth-rocker")


def test_a_new_point_and_one_taken_out(server, tab):
    t = tab().open("slatted-bench")
    section = t.section("curves")
    section.get_by_label("Add one after 2").click()
    t.page.wait_for_selector('.handle[data-id="point.7"]')
    t.waits_for(lambda: through(t, 2) == [200.0, 35.0])
    t.page.locator('.handle[data-id="point.2"]').focus()
    t.page.keyboard.press("Delete")
    t.waits_for(lambda: through(t, 2) == [270, 34])


def test_the_views_show_sizes_the_form_and_all_parts(server, tab):
    t = tab().open("hearth-rocker")
    for view, inside in (("sheet", "reference"), ("form", "Form for rocker"), ("all", "5 off")):
        t.page.evaluate(f"document.querySelector('input[name=view][value={view}]').click()")
        t.until("w => document.querySelector('#picture').textContent.includes(w)", inside)
        assert t.page.locator(".handle").count() == 0
    assert t.errors == []
