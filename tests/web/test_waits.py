"""What waits for the maker: in the page's words, with the way to where it is answered."""

import re

import pytest

from overbend.plan import Plan
from overbend.project import read
from overbend.web.waits import waits
from support.browser import PIECES

FILES = sorted(PIECES.glob("*.toml"))


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_nothing_that_waits_speaks_the_language_of_the_file(file):
    said = waits(Plan(read(file.read_text(), file)))
    assert said
    for hold in said:
        assert not re.search(r"[\[\]]|\w\.\w+\.|kind =|overbend ", hold["text"]), hold["text"]
    assert {h["href"] for h in said if h["kind"] == "trial"} <= {"/shop/trials"}


def test_a_machine_and_a_moisture_lead_to_their_values():
    file = next(f for f in FILES if f.stem == "slatted-bench")
    text = re.sub(r"(?m)^moisture = .*$", "", file.read_text())
    text = re.sub(r"(?ms)^\[shop\.machine.*?(?=^\[)", "", text)
    said = waits(Plan(read(text, file)))
    keys = {h["key"] for h in said if "key" in h}
    assert "shop.machine.saw.least_length" in keys
    assert any(re.fullmatch(r"wood\.\w+\.moisture", key) for key in keys)
    assert all(h["go"] for h in said if "key" in h)


def test_the_link_opens_the_field_and_puts_the_focus_there(server, tab):
    path = server.folder / "slatted-bench.toml"
    text = re.sub(r"(?m)^moisture = .*$", "", path.read_text())
    path.write_text(re.sub(r"(?ms)^\[shop\.machine.*?(?=^\[)", "", text))
    t = tab().open("slatted-bench")
    if t.page.locator("[data-open=waits]").count():
        t.page.locator("[data-open=waits]").click()
    for key in ("wood.ash.moisture", "shop.machine.saw.least_length"):
        t.page.locator(f"[data-go='{key}']").first.click()
        t.until("k => document.activeElement.dataset.key === k", key)
        field = t.page.evaluate("document.activeElement.getBoundingClientRect().height")
        assert field > 5
    assert t.errors == []


def test_the_link_waits_for_fields_that_are_drawn_late(server, tab):
    path = server.folder / "slatted-bench.toml"
    path.write_text(re.sub(r"(?ms)^\[shop\.machine.*?(?=^\[)", "", path.read_text()))
    t, held = tab(), []
    t.page.route("**/schema.json", lambda route: held.append(route))
    t.open("slatted-bench")
    if t.page.locator("[data-open=waits]").count():
        t.page.locator("[data-open=waits]").click()
    key = "shop.machine.saw.least_length"
    t.page.locator(f"[data-go='{key}']").first.click()
    t.waits_for(lambda: held)
    t.page.wait_for_timeout(2500)
    held.pop().continue_()
    t.until("k => document.activeElement.dataset.key === k", key)
