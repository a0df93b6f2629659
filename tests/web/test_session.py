"""Two tabs, a killed server, an editor beside the page."""

import signal
import tomllib

from support.browser import Server, drag, point, rewrite, through


def width(server):
    return tomllib.loads((server.folder / "slatted-bench.toml").read_text())["part"]["rib"]["width"]


def type_width(t, text):
    field = t.page.get_by_label("Finished width").first
    field.click()
    field.fill(text)
    field.press("Enter")


def test_killed_without_a_word_the_last_second_is_all_that_can_be_lost(lone, tab):
    t = tab(on=lone).open("slatted-bench")
    drag(t, 5, 30, 10, drop=False)
    t.answered()
    label = t.page.locator('.handle[data-id="point.5"]').get_attribute("aria-label")
    t.waits_for(lambda: str(through(t, 5)[0]) in label)  # several times a second it is written
    lone.process.send_signal(signal.SIGKILL)
    lone.kill()
    t.page.mouse.up()
    saved = through(t, 5)
    assert saved[0] > 540
    assert list(lone.folder.glob(".*.part")) == []
    lone.start()
    again = tab(on=lone).open("slatted-bench")
    label = again.page.locator('.handle[data-id="point.5"]').get_attribute("aria-label")
    assert f"{saved[0]}" in label


def test_the_page_finds_its_server_again(lone, tab):
    t = tab(on=lone).open("slatted-bench")
    lone.stop()
    t.page.wait_for_selector(".notice[data-kind=down]")
    port = lone.port
    revived = Server(lone.folder, port)
    try:
        # another start has another cookie: the page says so instead of acting on a stale one
        t.page.goto(revived.link)
        t.page.goto(f"{revived.root}/p/slatted-bench")
        t.page.wait_for_selector("#section-bends")
    finally:
        revived.stop()


def test_two_tabs_see_each_other_and_no_change_is_lost(server, tab):
    one = tab().open("slatted-bench")
    two = tab(context=one.context).open("slatted-bench")
    one.section("bends")
    type_width(one, "46")
    two.page.wait_for_selector(".notice[data-kind=other]")
    drag(two, 5, 20, 0)
    two.waits_for(lambda: through(two, 5)[0] != 528)
    assert width(server) == 46
    there = one.page.locator('.handle[data-id="point.5"]')
    one.waits_for(  # while it is dragged, the file holds places on the way
        lambda: str(through(one, 5)[0]) in there.get_attribute("aria-label")
    )
    one.page.keyboard.press("Control+z")
    two.waits_for(lambda: through(two, 5)[0] == 528)
    assert width(server) == 46


def test_a_text_that_fell_behind_is_kept_and_offered(server, tab):
    one = tab().open("slatted-bench")
    two = tab(context=one.context).open("slatted-bench")
    one.section("file")
    two.section("bends")
    area = one.page.locator("textarea")
    mine = area.input_value().replace('name = "Slatted bench"', 'name = "Mine"')
    area.focus()
    one.page.evaluate("t => { document.querySelector('textarea').value = t; }", mine)
    type_width(two, "47")
    one.page.wait_for_selector(".notice[data-kind=behind]")
    assert 'name = "Mine"' in area.input_value()
    one.page.get_by_role("button", name="Take the other").click()
    assert "width = 47" in area.input_value()
    one.waits_for(lambda: width(server) == 47)


def test_an_editors_change_is_taken_in_and_undo_brings_the_old_back(server, tab):
    t = tab().open("slatted-bench")
    file = server.folder / "slatted-bench.toml"
    rewrite(file, file.read_text().replace("width = 44", "width = 50"))
    t.page.wait_for_selector(".notice[data-kind=taken]")
    t.section("bends")
    field = t.page.get_by_label("Finished width").first
    t.waits_for(lambda: field.input_value() == "50 mm")
    t.page.keyboard.press("Control+z")
    t.waits_for(lambda: width(server) == 44)


def test_a_broken_text_on_disk_says_where_and_the_last_drawing_stays(server, tab):
    t = tab().open("slatted-bench")
    file = server.folder / "slatted-bench.toml"
    rewrite(file, file.read_text().replace("width = 44", "width = banana"))
    t.page.locator("#trouble", has_text="line ").wait_for()
    assert point(t, 3)[0] > 0
    t.page.keyboard.press("Control+z")
    t.waits_for(lambda: t.page.locator("#trouble").count() == 0)
    t.waits_for(lambda: "width = 44" in t.text("slatted-bench"))
