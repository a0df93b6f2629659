"""The shop's pages in a browser: add, change, take out, plots, units, paper, narrow and wide."""

import pytest

from overbend.ledger import Measurement, Trial, open_ledger
from support.browser import Tab, stock
from support.clocked import Clocked
from support.reading import fits, serious

PAGES = ("boards", "forms", "clamps", "trials", "learnt")


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    made = Clocked(stock(tmp_path_factory.mktemp("pages") / "pieces", "hearth-rocker"))
    yield made
    made.stop()


@pytest.fixture
def look(chromium, server):
    """Open a browser of one's own at a place; every error fails the test."""
    made = []

    def fresh(place, width=1200, height=900, **more):
        context = chromium.new_context(viewport={"width": width, "height": height}, **more)
        tab = Tab(context, server)
        made.append(tab)
        tab.page.goto(server.link)
        tab.page.goto(server.root + place)
        return tab

    yield fresh
    for tab in made:
        assert tab.errors == []
        tab.context.close()


@pytest.fixture
def empty(server):
    for left in server.ledger.parent.glob(f"{server.ledger.name}*"):
        left.unlink()


@pytest.fixture
def taught(server, empty):
    """A ledger with trials of two thicknesses, one of them broken."""
    ash = {"species": "white-ash", "treatment": "steam", "dried": "air"}
    bent = ((19.0, 410.0, 446.0), (19.0, 405.0, None), (4.5, 210.0, 222.0))
    with open_ledger(server.ledger) as book:
        for thickness, radius, off in bent:
            made = Trial(**ash, thickness=thickness, form_radius=radius, broken=off is None)
            measured = () if off is None else (Measurement(after_hours=240.0, radius=off),)
            book.add(made.model_copy(update={"measurements": measured}))


def fill(page, **values):
    for name, text in values.items():
        field = page.locator(f"form.entries [name={name}]")
        if field.evaluate("e => e.tagName") == "SELECT":
            field.select_option(text)
        else:
            field.fill(text)


def go(page, role, name):
    """Click on what leads to another page, and be there."""
    with page.expect_navigation():
        page.get_by_role(role, name=name).click()


def test_a_board_from_adding_to_taking_out(look, empty):
    page = look("/shop").page
    fill(page, species="white ash", length="2440", width="152", thickness="27", dried="air",
         defects="0 to 120")  # fmt: skip
    go(page, "button", "Keep it")
    page.locator(".thing").wait_for()
    assert page.locator(".thing").inner_text() == "White ash, 2440 × 152 × 27 mm"
    go(page, "link", "Change")
    fill(page, moisture="11", defects="0 to 120; 900 to 960")
    go(page, "button", "Save the change")
    page.locator(".things").get_by_text("11 %").wait_for()
    assert "900 to 960 mm" in page.locator(".things").inner_text()
    go(page, "link", "Change")
    go(page, "button", "It is used up or sold")
    page.locator("li.gone").wait_for()
    go(page, "link", "Change")
    page.locator("summary").click()
    go(page, "button", "Take it out for good")
    page.get_by_text("No board on the rack yet.").wait_for()


def test_forms_and_clamps_are_added_and_taken_out(look, empty):
    page = look("/shop/forms").page
    fill(page, name="Crest form", radius="409")
    go(page, "button", "Keep it")
    page.locator(".things").get_by_text("radius 409 mm").wait_for()
    go(page, "link", "Clamps")
    fill(page, name="bar", count="12", opening="300", force="3 kN")
    go(page, "button", "Keep it")
    go(page, "link", "Change")
    page.locator("summary").click()
    go(page, "button", "Take it out for good")
    page.get_by_text("No clamps yet.").wait_for()


def test_a_trial_of_a_part_is_recorded_measured_again_and_taken_out(look, empty):
    page = look("/shop/trials").page
    page.locator("#of").select_option("hearth-rocker|crest")
    go(page, "button", "Fill in")
    assert page.locator("[name=thickness]").input_value() == "19"
    page.locator('form.entries [name="m1 ends"]').fill("466")
    go(page, "button", "Keep it")
    page.locator(".things").get_by_text("After 1 day").wait_for()
    page.locator(".acts summary").first.click()
    page.locator('.acts [name="m0 after"]').fill("10 days")
    page.locator('.acts [name="m0 radius"]').fill("460")
    go(page, "button", "Keep the measurement")
    page.get_by_text("After 10 days: radius 460 mm").wait_for()
    page.locator(".acts summary").last.click()
    go(page, "button", "Take it out")
    page.get_by_text("No trial bend yet").wait_for()


def test_what_is_refused_is_said_and_stays_typed(look, empty):
    tab = look("/shop/boards")
    fill(tab.page, species="unobtainium", length="2440", width="152", thickness="27")
    go(tab.page, "button", "Keep it")
    assert "unobtainium" in tab.page.get_by_role("alert").inner_text()
    assert tab.page.locator("[name=length]").input_value() == "2440"
    tab.errors.clear()  # the browser notes the refusal as an error of its own


def test_units_and_paper_are_those_chosen_anywhere(look, server, taught):
    page = look("/shop/trials").page
    assert "410 mm" in page.locator(".things").inner_text()
    with page.expect_navigation():
        page.locator("[name=units][value=in]").click()
    page.locator("[data-units=in]").wait_for()
    assert "16-5/32 in" in page.locator(".things").inner_text()
    page.locator("[name=theme][value=dark]").check()
    assert page.locator("html").get_attribute("data-theme") == "dark"
    page.goto(server.root + "/shop/learnt")
    assert page.locator("html").get_attribute("data-theme") == "dark"
    assert "3/4 in" in page.locator("main").inner_text()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_plots_take_the_pages_colours(look, taught, scheme):
    page = look("/shop/learnt", color_scheme=scheme).page
    page.locator("details.more summary").click()
    colours = page.evaluate("""() => {
        const ink = getComputedStyle(document.documentElement).getPropertyValue('--ink').trim();
        const probe = document.createElement('i'); probe.className = 'probe';
        document.body.append(probe);
        const seen = [...document.querySelectorAll('figure svg [data-color=ink]')]
            .map((g) => getComputedStyle(g).color);
        return [ink, getComputedStyle(document.body).color, [...new Set(seen)],
                document.querySelectorAll('figure svg').length];
    }""")
    ink, body, seen, count = colours
    assert count == 2
    assert seen == [body]
    assert ink == {"light": "#26221d", "dark": "#ebe4d7"}[scheme]
    for one in page.locator("figure svg").all():
        assert one.bounding_box()["width"] > 300


@pytest.mark.parametrize(
    ("width", "scheme"), [(360, "dark"), (820, "light"), (1400, "light"), (2560, "dark")]
)
def test_nothing_serious_is_found_narrow_and_wide(look, taught, server, width, scheme):
    tab = look("/shop/boards", width, 800, color_scheme=scheme)
    for place in (
        *(f"/shop/{name}" for name in PAGES),
        "/phones",
        "/shop/trials?of=hearth-rocker|slat",
    ):
        tab.page.goto(server.root + place)
        tab.page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
        assert serious(tab.page) == [], place
        assert fits(tab.page), place


def test_printed_a_shelf_is_its_list_alone(look, taught):
    page = look("/shop/trials").page
    page.emulate_media(media="print")
    assert page.locator(".things").is_visible()
    assert page.locator(".tabs").is_hidden()
    assert page.locator("form.entries").is_hidden()


def test_the_switch_on_the_page_of_a_piece(look, taught):
    tab = look("/p/hearth-rocker")
    tab.page.wait_for_selector("#section-bends")
    tab.page.get_by_role("button", name="crest").click()
    tab.until("() => document.querySelector('#section-bends')?.textContent.includes('the crest')")
    before = tab.rest().page.locator("#section-bends .lead").first.inner_text()
    tab.page.get_by_label("use what the shop has learnt").check()
    tab.until("(old) => document.querySelector('#section-bends .lead').innerText !== old", before)
    assert "3 trial bends in the ledger" in tab.page.locator(".notice").inner_text()
    tab.page.reload()
    tab.page.wait_for_selector("#section-bends")
    tab.waits_for(tab.page.get_by_label("use what the shop has learnt").is_checked)
    tab.page.get_by_label("use what the shop has learnt").uncheck()
    tab.until("(old) => document.querySelector('#section-bends .lead').innerText === old", before)
