"""The notes in a browser: typed numbers, units, the file's text and fields, book, upload."""

import re
import tomllib
import zipfile

import pytest


def rib(t):
    return tomllib.loads(t.text("slatted-bench"))["part"]["rib"]


def fill(field, text):
    field.click()
    field.fill(text)
    field.press("Enter")


def test_numbers_are_typed_in_any_way_a_maker_writes_them(server, tab):
    t = tab().open("slatted-bench")
    t.section("bends")
    field = t.page.get_by_label("Thickness of row 2")
    for text, said in (("3.2", 3.2), ("1/8 in", "1/8 in"), ("= 2 mm + 1", "= 2 mm + 1")):
        fill(field, text)
        t.waits_for(lambda said=said: rib(t)["ply"][1]["thickness"] == said)
    field.blur()
    t.waits_for(lambda: field.input_value() == "3 mm")
    assert t.errors == []


def test_a_number_that_cannot_be_used_says_why_and_changes_nothing(server, tab):
    t = tab().open("slatted-bench")
    t.section("bends")
    field = t.page.get_by_label("Finished width").first
    before = t.text("slatted-bench")
    fill(field, "banana")
    why = t.page.wait_for_selector(".why-bad")
    assert "length" in why.inner_text() or "banana" in why.inner_text()
    assert field.get_attribute("aria-invalid") == "true"
    field.press("Escape")
    t.saved()
    assert t.text("slatted-bench") == before
    assert t.page.locator(".why-bad").count() == 0


def test_arrow_keys_and_dragging_sideways_change_a_number(server, tab):
    t = tab().open("slatted-bench")
    t.section("bends")
    field = t.page.get_by_label("Thickness of row 1")
    field.focus()
    field.press("ArrowUp")
    t.waits_for(lambda: rib(t)["ply"][0]["thickness"] == 4.6)
    field.blur()
    t.rest()
    box = t.page.get_by_label("Thickness of row 3").bounding_box()
    t.page.mouse.move(box["x"] + 5, box["y"] + 8)
    t.page.mouse.down()
    t.page.mouse.move(box["x"] + 35, box["y"] + 8, steps=6)
    t.page.mouse.up()
    t.waits_for(lambda: rib(t)["ply"][2]["thickness"] == 6.5)
    t.page.keyboard.press("Control+z")
    t.waits_for(lambda: rib(t)["ply"][2]["thickness"] == 5.5)


def test_a_choice_changes_the_verdicts(server, tab):
    t = tab().open("slatted-bench")
    t.section("bends")
    t.page.get_by_label("Wood of row 2").select_option("ash")
    t.waits_for(lambda: rib(t)["ply"][1]["wood"] == "ash")
    t.until("() => !document.querySelector('#section-boards .lead').parentElement"
            ".innerText.includes('strips of walnut')")  # fmt: skip


def test_inches_show_everywhere_and_typed_bare_numbers_keep_their_unit(server, tab):
    t = tab().open("slatted-bench")
    t.page.locator("input[name=units][value=in]").check()
    t.until("() => document.querySelector('#section-curves .lead').innerText.includes(' in ')")
    t.section("bends")
    fill(t.page.get_by_label("Finished width").first, "1-3/4")
    t.waits_for(lambda: rib(t)["width"] == "1-3/4 in")
    t.page.reload()
    t.until("() => document.querySelector('#section-curves .lead')?.innerText.includes(' in ')")


def test_text_and_fields_are_one_file(server, tab):
    t = tab().open("slatted-bench")
    t.section("file")
    area = t.page.locator("textarea")
    area.fill(t.text("slatted-bench").replace("width = 44", "width = 41   # narrower"))
    t.waits_for(lambda: rib(t)["width"] == 41)
    for name in ("part", "rib"):
        exact = re.compile(f"^{name}$")
        t.page.locator("#file-fields summary").filter(has_text=exact).first.click()
    field = t.page.locator('[id="field-part.rib.width"]')
    t.waits_for(lambda: field.input_value() == "41")
    fill(field, "42")
    t.waits_for(lambda: "width = 42   # narrower" in area.input_value())
    t.waits_for(lambda: "width = 42   # narrower" in t.text("slatted-bench"))


def test_a_text_that_does_not_read_says_where_and_stays(server, tab):
    t = tab().open("slatted-bench")
    t.section("file")
    area = t.page.locator("textarea")
    area.fill(t.text("slatted-bench").replace("width = 44", "width = "))
    t.until("() => document.querySelector('#file-text .trouble')?.innerText.includes('line ')")
    assert "width = \n" in area.input_value()
    area.fill(area.input_value().replace("width = \n", "width = 43\n"))
    t.waits_for(lambda: rib(t)["width"] == 43 if "width = 43" in t.text("slatted-bench") else False)


def test_the_book_is_made_with_progress_and_opened(server, tab):
    t = tab().open("low-stool")
    t.page.get_by_role("button", name="Make the book").first.click()
    t.page.wait_for_selector("#section-book a[href*='book.zip']", timeout=180_000)
    assert (server.folder / "low-stool-book" / "book.pdf").read_bytes()[:5] == b"%PDF-"
    with t.page.expect_download() as got:
        t.page.locator("#section-book a[href*='book.zip']").click()
    with zipfile.ZipFile(got.value.path()) as archive:
        assert "low-stool-book/book.pdf" in archive.namelist()


@pytest.mark.parametrize("kind", ["pdf", "dxf", "svg"])
def test_templates_come_singly(server, tab, kind):
    t = tab().open("low-stool")
    t.section("book")
    with t.page.expect_download() as got:
        t.page.get_by_label(f"arch: at rest, {kind}").click()
    head = {"pdf": b"%PDF", "dxf": b"  0\n", "svg": b"<svg"}[kind]
    assert got.value.path().read_bytes()[:4] == head


def test_a_drawing_becomes_the_curve_of_a_part(server, tab, tmp_path):
    drawing = tmp_path / "My Curve.svg"
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="200mm" '
        'viewBox="0 0 600 200"><path d="M20 150 A 900 900 0 0 1 580 120" fill="none" '
        'stroke="black"/></svg>'
    )
    t = tab().open("slatted-bench")
    section = t.section("curves")
    section.locator(".bring summary").click()
    section.locator("input[type=file]").set_input_files(drawing)
    section.get_by_role("button", name="Use it").click()
    t.waits_for(lambda: rib(t)["curve"] == "my-curve")
    assert (server.folder / "my-curve.svg").exists()
    t.until("() => document.querySelector('#section-curves').innerText.includes('my-curve.svg')")
    bad = tmp_path / "bad.dxf"
    bad.write_text("this is no drawing")
    if not section.locator("input[type=file]").is_visible():
        section.locator(".bring summary").click()
    section.locator("input[type=file]").set_input_files(bad)
    section.get_by_role("button", name="Use it").click()
    t.page.wait_for_selector(".notice[data-kind=drawing]:has-text('bad.dxf')")
    assert not (server.folder / "bad.dxf").exists()


def test_new_copy_rename_and_delete_from_the_shelf(lone, tab):
    t = tab(on=lone)
    t.page.goto(lone.link)
    t.page.locator("input[type=radio][value=low-stool]").check()
    t.page.get_by_label("Call it").fill("Ann's perch")
    t.page.get_by_role("button", name="Start").click()
    t.page.wait_for_selector("#section-book")
    assert t.page.locator("#name").input_value() == "Ann's perch"
    t.page.get_by_role("link", name="Pieces").click()
    t.page.get_by_text("Copy, rename, delete: Ann's perch").click()
    t.page.get_by_role("button", name="Delete").first.click()
    t.page.wait_for_selector(".hold")
    assert list((lone.folder / "trash").glob("ann-s-perch-*/ann-s-perch.toml"))
    assert t.errors == []
