"""For every reader: axe finds nothing serious, narrow and wide, light and dark; keyboard, print."""

import pytest

from support.access import serious


def open_all(t):
    for name in ("curves", "bends", "steam", "forms", "boards", "book", "file", "waits"):
        opener = t.page.locator(f"[data-open={name}]")
        if opener.count() and opener.get_attribute("aria-expanded") == "false":
            opener.click()


@pytest.mark.parametrize(
    ("width", "scheme", "project"),
    [(1400, "light", "slatted-bench"), (360, "dark", "hearth-rocker"), (2560, "dark", "low-stool")],
)
def test_nothing_serious_is_found_with_everything_open(server, tab, width, scheme, project):
    t = tab(width, 900, color_scheme=scheme).open(project)
    open_all(t)
    t.page.wait_for_selector("textarea")
    assert serious(t.page) == []
    wide = t.page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    assert wide[0] <= wide[1]
    assert t.errors == []


def test_the_shelf_too(server, tab):
    t = tab(360, 700)
    t.page.goto(server.link)
    assert serious(t.page) == []
    assert t.errors == []


def test_every_handle_is_reached_with_the_keyboard_alone(server, tab):
    t = tab().open("slatted-bench")
    t.page.locator("#make-book").focus()
    reached = set()
    for _ in range(40):
        t.page.keyboard.press("Tab")
        reached.add(t.page.evaluate("document.activeElement.dataset.id ?? ''"))
    assert {f"point.{i}" for i in range(7)} <= reached


def test_looking_at_a_number_lights_its_place_in_the_drawing(server, tab):
    t = tab().open("slatted-bench")
    t.page.locator("#section-bends [data-place]").hover()
    t.until("() => document.querySelector('#light path').getAttribute('d').length > 10")
    box = t.page.locator("#strip").bounding_box()
    t.page.mouse.move(box["x"] + box["width"] * 0.45, box["y"] + 40)
    t.until("() => document.querySelector('#light').classList.contains('at')")


def test_printed_it_shows_notes_without_buttons(server, tab):
    t = tab().open("slatted-bench")
    t.page.emulate_media(media="print")
    assert t.page.locator("#make-book").is_hidden()
    assert t.page.locator("#handles").is_hidden()
    assert t.page.locator("#section-bends .lead").first.is_visible()
