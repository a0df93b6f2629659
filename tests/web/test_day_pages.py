"""The steam day in a browser: a day at speed, reload, restart, no network, readers of all kinds."""

import json
import time

import pytest

from overbend.ledger import Run, Trial, open_ledger
from overbend.web.shop.phones import addresses
from support.browser import Server, Tab, stock
from support.clocked import Clocked
from support.reading import fits, serious, sizes, smallest_type

FAR = (addresses() or ["127.0.0.2"])[0]
PIECE = "hearth-rocker"
POLL = 3.1  # s, after which the page asks the server again


@pytest.fixture
def server(tmp_path):
    made = Clocked(stock(tmp_path / "pieces", PIECE), lan=True)
    yield made
    made.stop()


@pytest.fixture
def look(chromium, server):
    """Open a browser of one's own; every error that is not the network's fails the test."""
    made = []

    def fresh(width=390, height=844, on=server, root=None, **more):
        tab = Tab(chromium.new_context(viewport={"width": width, "height": height}, **more), on)
        made.append(tab)
        tab.page.clock.install()
        if root is None:
            tab.page.goto(on.link)
        return tab

    yield fresh
    for tab in made:
        assert [e for e in tab.errors if "Failed to load resource" not in e] == []
        tab.context.close()


def begin(tab, root):
    tab.page.goto(f"{root}/day/{PIECE}")
    tab.page.get_by_role("button", name="Begin the day").click()
    heard(tab)


def heard(tab):
    """Wait for an answer to what the page asks from now on, and for what it draws then."""
    tab.page.locator("#tick").wait_for()
    was = int(tab.page.locator("#app").get_attribute("data-heard") or 0)
    for n in (was, was + 1):  # the first may have been asked before
        wait(tab, tab.server, POLL)
        tab.until("(n) => Number(document.querySelector('#app').dataset.heard ?? 0) > n", n)


def sent(tab):
    """Wait until the page knows that the server has everything."""
    tab.until("() => document.querySelector('#app').dataset.unsent === '0'")


def step(tab):
    return tab.page.locator("#app").get_attribute("data-step")


def tick(tab):
    before = step(tab)
    tab.page.locator("#tick").click()
    tab.until("(old) => document.querySelector('#app')?.dataset.step !== old", before)


def reach(tab, wanted):
    while step(tab) != wanted:
        tick(tab)


def wait(tab, server, seconds):
    """Let time pass, here and on the server."""
    with server.passing(seconds):
        tab.page.clock.fast_forward(int(1000 * seconds))


class Began:
    """A clock of the test: what a page shows may be older by as long as that took."""

    def __init__(self):
        self.at = time.monotonic()

    def near(self, value, off=3.0):
        return pytest.approx(value, abs=off + time.monotonic() - self.at)


def seconds(tab):
    """What the clock shows [s]."""
    total = 0
    for part in tab.page.locator("#clock").inner_text().split(":"):
        total = 60 * total + int(part)
    return total


def events(server):
    with open_ledger(server.ledger) as book:
        ((_, run),) = book.all_of(Run)
    return [(e.what, e.step) for e in run.events]


# -- a day --------------------------------------------------------------------------------
def test_a_day_at_speed_from_the_cautions_to_the_ledger(look, server):
    tab = look()
    page = tab.page
    begin(tab, server.root)
    assert "scald" in page.locator(".cautions").inner_text()
    began = Began()
    reach(tab, "hot")
    assert seconds(tab) == began.near(26.55 * 60)
    wait(tab, server, 27 * 60)
    began = Began()
    reach(tab, "out:slat/1")
    start = seconds(tab)
    assert start == began.near(23.62 * 60)
    assert "It is out already" in page.locator("#tick").inner_text()
    began = Began()
    wait(tab, server, 600)
    assert seconds(tab) == began.near(start - 600)
    wait(tab, server, start - 600 + 2)
    page.get_by_text("Take it out now", exact=True).wait_for()
    assert "due" in page.locator("#clock").get_attribute("class")
    began = Began()
    tick(tab)
    assert seconds(tab) == began.near(0)
    assert page.locator("#judged").get_attribute("data-word") == "holds"
    wait(tab, server, 30)
    tab.until("() => document.querySelector('#judged').dataset.word === 'close'")
    wait(tab, server, 60)
    tab.until("() => document.querySelector('#judged').dataset.word === 'fails'")
    assert "bend no further" in page.locator("#judged").inner_text()
    page.get_by_role("button", name="cracked").click()
    page.get_by_role("button", name="note").click()
    page.locator("textarea").fill('<img src=x onerror="alert(1)"> split')
    page.get_by_role("button", name="Keep the note").click()
    tick(tab)
    wait(tab, server, 25 * 60)
    reach(tab, "shut")
    page.locator("#tick").click()
    page.get_by_role("heading", name="How it went").wait_for()
    assert "10 mm: 0 whole, 1 cracked" in page.locator("main").inner_text()
    assert '<img src=x onerror="alert(1)"> split' in page.locator("main").inner_text()
    page.get_by_role("button", name="Keep the results").click()
    page.get_by_text("Trial bends in the ledger from this day: 2.").wait_for()
    page.locator("summary").first.click()
    page.locator('[name="chord 1 day"]').first.fill("466")
    with page.expect_navigation():
        page.get_by_role("button", name="Keep what was measured").first.click()
    page.locator("summary").first.click()
    page.get_by_text("After 1 day: radius").wait_for()
    with open_ledger(server.ledger) as book:
        kept = sorted((t.thickness, t.broken, len(t.measurements)) for _, t in book.all_of(Trial))
    assert kept == [(10.0, True, 0), (19.0, False, 1)]


def test_a_second_blank_is_put_in_when_its_turn_comes(look, server):
    text = (server.folder / f"{PIECE}.toml").read_text()
    two = text.replace("[part.slat.form]\n", "[part.slat.form]\ncount = 2\n")
    trial = 'kind = "trial"\npart = "slat"\nform_radius = 428\nreleased_radius = 445'
    (server.folder / "proven.toml").write_text(f"{two}\n[made.first]\n{trial}\n")
    tab = look()
    tab.page.goto(f"{server.root}/day/proven")
    tab.page.locator("select").last.select_option("0")
    tab.page.get_by_role("button", name="Begin the day").click()
    heard(tab)
    reach(tab, "in:slat/1")
    began = Began()
    reach(tab, "in:slat/2")
    assert seconds(tab) == began.near(360)
    assert "slat 1" in tab.page.locator(".inside").first.inner_text()
    wait(tab, server, 361)
    tab.page.get_by_text("put it in now", exact=True).wait_for()


def test_a_step_can_be_taken_back(look, server):
    tab = look()
    begin(tab, server.root)
    reach(tab, "fire")
    tab.page.get_by_role("button", name="go back a step").click()
    tab.until("() => document.querySelector('#app').dataset.step === 'cautions'")
    tab.waits_for(lambda: ("back", "cautions") in events(server))


def test_a_crack_can_be_taken_back(look, server):
    tab = look()
    begin(tab, server.root)
    reach(tab, "clamp:slat/1")
    tab.page.get_by_role("button", name="cracked").click()
    assert tab.page.get_by_role("button", name="cracked (1)").is_disabled()
    tab.page.get_by_role("button", name="not cracked after all").click()
    assert tab.page.get_by_role("button", name="cracked", exact=True).is_enabled()


# -- what goes wrong in a shop ------------------------------------------------------------
def test_a_reload_in_the_middle_loses_nothing(look, server):
    tab = look()
    begin(tab, server.root)
    reach(tab, "out:slat/1")
    wait(tab, server, 300)
    began, before = Began(), seconds(tab)
    sent(tab)
    assert ("tick", "in:slat/1") in events(server)
    tab.page.reload()
    heard(tab)
    assert seconds(tab) == began.near(before - 2 * POLL)
    assert step(tab) == "out:slat/1"


def test_a_minute_without_network_loses_nothing(look, server):
    tab = look()
    begin(tab, server.root)
    reach(tab, "in:crest/1")
    sent(tab)
    tab.context.set_offline(True)
    reach(tab, "in:slat/1")
    began = Began()
    reach(tab, "out:slat/1")
    tab.page.get_by_text("No connection.").wait_for()
    assert "2 not sent yet" in tab.page.locator(".line").inner_text()
    assert ("tick", "in:slat/1") not in events(server)
    wait(tab, server, 60)
    tab.context.set_offline(False)
    tab.waits_for(lambda: ("tick", "in:slat/1") in events(server))
    tab.page.locator(".line").wait_for(state="detached")
    assert len(events(server)) == 5
    assert seconds(tab) == began.near(23.62 * 60 - 60)


def test_a_device_whose_clock_is_set_shows_the_time_that_is_left(look, server):
    tab = look()
    begin(tab, server.root)
    reach(tab, "out:slat/1")
    began, before = Began(), seconds(tab)
    for turns, ahead in ((1, 600), (2, -1500)):
        tab.page.clock.set_system_time(time.time() + ahead)
        heard(tab)
        assert seconds(tab) == began.near(before - turns * 2 * POLL)


def test_what_was_sent_but_never_answered_is_there_once(look, server):
    tab = look()
    begin(tab, server.root)
    lost = []

    def swallow(route):
        if len(lost) < 2:
            lost.append(route.fetch())  # the server has it; the answer is lost on the way
            route.abort()
        else:
            route.continue_()

    tab.page.route("**/day-events/**", swallow)
    tick(tab)
    tab.page.get_by_text("No connection.").wait_for()
    tab.waits_for(lambda: len(lost) == 2)
    tab.page.locator(".line").wait_for(state="detached")
    assert events(server) == [("tick", "cautions")]


def test_two_devices_see_each_others_steps(look, server):
    one, two = look(), look(820, 1100)
    begin(one, server.root)
    two.page.goto(f"{server.root}/day/{PIECE}")
    reach(one, "hot")
    two.until("() => document.querySelector('#app').dataset.step === 'hot'")
    reach(two, "in:crest/1")
    one.until("() => document.querySelector('#app').dataset.step === 'in:crest/1'")


def test_a_killed_server_started_again_goes_on(look, tmp_path):
    own = Server(stock(tmp_path / "pieces", PIECE), 0, "--lan")
    try:
        code = own.log.split("code ")[1][:11]
        root = f"http://{FAR}:{own.port}"
        phone = look(on=own, root=root)
        phone.page.goto(f"{root}/let-in?code={code}")
        phone.page.get_by_role("button", name="Let it in").click()
        phone.page.get_by_role("link", name="Hearth rocker").click()
        phone.page.get_by_role("button", name="Begin the day").click()
        phone.page.locator("#tick").wait_for()
        reach(phone, "in:slat/1")
        phone.waits_for(lambda: ("tick", "in:crest/1") in events(own))
        own.kill()
        reach(phone, "out:slat/1")
        phone.page.get_by_text("No connection.").wait_for()
        own.start()
        phone.waits_for(lambda: ("tick", "in:slat/1") in events(own))
        phone.page.reload()
        phone.page.locator("#clock").wait_for()
        assert step(phone) == "out:slat/1"
        assert seconds(phone) == pytest.approx(23.62 * 60, abs=60)
    finally:
        own.stop()
    assert "Traceback" not in own.log


# -- a phone ------------------------------------------------------------------------------
def test_a_phone_is_let_in_by_its_code_and_put_out_again(look, server):
    maker = look(1200, 900)
    maker.page.goto(f"{server.root}/phones")
    maker.page.get_by_role("button", name="Make a new code").click()
    code = maker.page.locator("#code").inner_text()
    maker.page.locator(".picture svg").wait_for()
    assert serious(maker.page) == []
    root = f"http://{FAR}:{server.port}"
    phone = look(360, 740, root=root, user_agent="Mozilla/5.0 (Linux; Android 16) Mobile")
    phone.page.goto(root)
    assert phone.page.url.endswith("/let-in")
    assert serious(phone.page) == []
    assert smallest_type(phone.page) >= 20
    assert fits(phone.page)
    assert phone.page.locator("[name=name]").input_value() == "Android"
    phone.page.locator("[name=code]").fill(code.lower())
    phone.page.get_by_role("button", name="Let it in").click()
    phone.page.get_by_role("heading", name="Which piece").wait_for()
    begin(phone, root)
    tick(phone)
    sent(phone)
    assert events(server) == [("tick", "cautions")]
    assert "timeout longer" in phone.page.locator("main").inner_text()
    maker.page.reload()
    maker.page.get_by_role("button", name="Take Android off the list").click()
    maker.page.get_by_text("No device is let in.").wait_for()
    phone.page.get_by_text("no longer let in").wait_for()
    tick(phone)
    assert "1 not sent yet" in phone.page.locator(".line").inner_text()
    assert events(server) == [("tick", "cautions")]


def passed(tab, ms):
    """What the page says is left once time has passed."""
    tab.page.clock.fast_forward(ms)
    return tab.page.locator("#left").inner_text()


def test_a_code_that_ran_out_is_taken_off_the_page(look, server):
    tab = look(1200, 900)
    tab.page.goto(f"{server.root}/phones")
    tab.page.get_by_role("button", name="Make a new code").click()
    tab.page.locator("#code").wait_for()
    left = tab.page.locator("#left").inner_text()
    tab.waits_for(lambda: passed(tab, 1_000) != left)  # its script has begun to count
    tab.page.clock.fast_forward(601_000)
    tab.page.locator("#code").wait_for(state="detached")


# -- every reader -------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("width", "height", "scheme"), [(360, 740, "dark"), (820, 1180, "light"), (740, 360, "light")]
)
def test_every_step_is_large_and_nothing_serious_is_found(look, server, width, height, scheme):
    tab = look(width, height, color_scheme=scheme)
    page = tab.page
    for place in (f"{server.root}/day", f"{server.root}/day/{PIECE}"):
        page.goto(place)
        check(page)
    page.get_by_role("button", name="Begin the day").click()
    page.locator("#tick").wait_for()
    while page.locator("#tick").count():
        heard(tab)  # from here on nothing is drawn anew
        check(page)
        if step(tab) == "clamp:slat/1":
            page.get_by_role("button", name="note").click()
            check(page)
        if step(tab) == "shut":
            page.locator("#tick").click()
            page.get_by_role("heading", name="How it went").wait_for()
        else:
            tick(tab)
    page.locator("summary").first.click()
    check(page)


def check(page):
    assert serious(page) == []
    assert fits(page)
    assert smallest_type(page) >= 20
    for text, width, height in sizes(
        page, "button, select, input:not([type=hidden]), textarea, summary, a"
    ):
        assert min(width, height) >= 47.5, text
    figures = page.locator("#clock")
    if figures.count():
        height = figures.evaluate("e => parseFloat(getComputedStyle(e).fontSize)")
        assert height >= 70
        overflow = figures.evaluate("e => e.scrollWidth - e.clientWidth")
        assert overflow <= 1


def test_the_figures_keep_their_width(look, server):
    tab = look()
    begin(tab, server.root)
    reach(tab, "out:slat/1")
    style = "() => getComputedStyle(document.querySelector('#clock')).fontVariantNumeric"
    tab.waits_for(lambda: tab.page.evaluate(style) == "tabular-nums")  # it is drawn every second


def test_the_day_runs_by_keyboard_alone(look, server):
    tab = look()
    begin(tab, server.root)
    for _ in range(3):
        before = step(tab)
        tab.page.locator("#tick").focus()
        tab.page.keyboard.press("Enter")
        tab.until("(old) => document.querySelector('#app').dataset.step !== old", before)
        assert tab.page.evaluate("document.activeElement.tagName") == "H1"


FOCUS = "document.activeElement.dataset.at"


def test_the_focus_outlasts_the_servers_answer(look, server):
    tab, held = look(), []
    begin(tab, server.root)
    tab.page.route("**/day-events/**", lambda route: held.append(route))
    tab.page.locator("#tick").focus()
    tab.page.keyboard.press("Enter")
    tab.waits_for(lambda: held)
    assert tab.page.evaluate(FOCUS) == "title"
    tab.page.evaluate("document.querySelector('#app h1').dataset.old = 'yes'")
    held.pop().continue_()
    tab.until("document.querySelector('#app h1').dataset.old !== 'yes'")  # drawn anew
    assert tab.page.evaluate(FOCUS) == "title"
    tab.page.unroute("**/day-events/**")


def test_a_note_half_written_keeps_its_caret_while_another_ticks(look, server):
    mine, other = look(), look()
    begin(mine, server.root)
    other.page.goto(f"{server.root}/day/{PIECE}")
    other.page.locator("#tick").wait_for()
    mine.page.get_by_role("button", name="Note").click()
    mine.page.keyboard.type("knot near the end")
    for _ in range(3):
        mine.page.keyboard.press("ArrowLeft")
    before = step(mine)
    tick(other)
    sent(other)
    heard(mine)
    mine.until("(old) => document.querySelector('#app').dataset.step !== old", before)
    assert mine.page.evaluate(FOCUS) == "notes"
    mine.page.keyboard.type("reference ")
    assert mine.page.locator("textarea").input_value() == "knot near the reference end"


def test_a_button_under_the_finger_stays_until_it_is_up(look, server):
    mine, other = look(), look()
    begin(mine, server.root)
    other.page.goto(f"{server.root}/day/{PIECE}")
    other.page.locator("#tick").wait_for()
    tick(mine)
    tick(mine)
    sent(mine)
    heard(mine)  # from here on nothing is drawn anew but for the other's step
    box = mine.page.get_by_role("button", name="Note").bounding_box()
    mine.page.mouse.move(box["x"] + 9, box["y"] + 9)
    mine.page.mouse.down()
    heard(other)
    other.until("(id) => document.querySelector('#app').dataset.step === id", step(mine))
    before = step(other)
    tick(other)
    sent(other)
    heard(mine)
    assert step(mine) == before
    mine.page.mouse.up()
    mine.page.locator("textarea").wait_for()
    assert step(mine) != before


def test_printed_the_summary_has_no_buttons(look, server):
    tab = look()
    begin(tab, server.root)
    reach(tab, "shut")
    tab.page.locator("#tick").click()
    tab.page.get_by_role("heading", name="How it went").wait_for()
    tab.page.emulate_media(media="print")
    tab.page.locator(".result").first.wait_for()
    assert tab.page.get_by_role("button").count() == 0


def test_a_device_may_refuse_to_keep_anything(look, server):
    tab = look()
    tab.page.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new Error('no'); } });"
    )
    begin(tab, server.root)
    tick(tab)
    sent(tab)
    assert events(server) == [("tick", "cautions")]


def left_in_store(tab, server, text):
    """Open the day where a text was left in the store while no page of the day wrote there."""
    tab.page.goto(f"{server.root}/day")
    tab.page.evaluate(f"(t) => localStorage.setItem('day-{PIECE}-1', t)", text)
    tab.page.goto(f"{server.root}/day/{PIECE}?run=1")


def test_what_the_server_does_not_take_is_said(look, server):
    tab = look()
    begin(tab, server.root)
    bad = {"uid": "ab", "at": 1.0, "what": "dance", "step": "cautions", "text": "", "who": ""}
    left_in_store(tab, server, json.dumps([bad]))
    tab.page.locator("[data-lost]").wait_for()
    tick(tab)
    tab.waits_for(lambda: events(server) == [("tick", "cautions")])
    assert tab.page.locator("[data-lost]").count() == 1


def test_what_another_page_left_in_the_store_does_no_harm(look, server):
    tab = look()
    begin(tab, server.root)
    for left in ('{"x": 1}', "[3]", "nothing", json.dumps([{"uid": "a"}])):
        left_in_store(tab, server, left)
        tab.page.locator("#tick").wait_for()
    tick(tab)
    sent(tab)
    assert events(server) == [("tick", "cautions")]
