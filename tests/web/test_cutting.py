"""Buying and cutting in a browser: the yard's list typed, the search watched, lists taken."""

import csv
import io
import tomllib

from support.browser import PIECES

MACHINES = """
[shop.machine.saw]
least_length = 6
least_width = "1/2"
least_thickness = "1/16"
depth = 6
resaw_depth = 7

[shop.machine.surfacing]
least_length = 12
least_width = "3/4"
least_thickness = "3/8"

[shop.machine.thicknessing]
least_length = 4
least_width = "1/2"
least_thickness = "1/32"
"""

YARD = """
[[shop.yard]]
name = "maple 5/4"
wood = "maple"
length = "9 ft"
width = 7
thickness = "1-1/4"
price = 41

[[shop.yard]]
name = "walnut 4/4"
wood = "walnut"
length = "6 ft"
width = 5
thickness = 1
price = 33.5
count = 3
"""


def stool(t, *more):
    """The stool with the shop's own tables; what it says of the shop now."""
    text = (PIECES / "low-stool.toml").read_text()
    (t.server.folder / "low-stool.toml").write_text(
        text.replace("[shop.climate]", "".join(more) + "\n[shop.climate]")
    )


def shop(t):
    return tomllib.loads(t.text("low-stool"))["shop"]


def chosen(t, seconds=180):
    """Wait until the search is over."""
    done = """() => {
      const part = document.querySelector("#section-cutting");
      return part && !part.querySelector(".sawing progress") && /Buy/.test(part.innerText);
    }"""
    t.until(done, seconds=seconds)
    return t.page.locator("#section-cutting")


def test_boards_are_typed_into_a_list_that_was_empty(server, tab):
    t = tab()
    stool(t, MACHINES)
    t.open("low-stool")
    assert "list what your yard sells" in t.page.locator("#section-cutting").inner_text()
    form = t.page.locator("#section-cutting form")
    t.page.locator("#section-cutting summary").click()
    rows = (
        ("maple 5/4", "maple", "9 ft", "7", "1-1/4", "41"),
        ("walnut 4/4", "walnut", "6 ft", "5", "1", "33.5"),
    )
    for n, (name, wood, length, width, thickness, price) in enumerate(rows, 1):
        form.locator("[name=name]").fill(name)
        form.locator("[name=wood]").select_option(wood)
        for field, text in (
            ("length", length),
            ("width", width),
            ("thickness", thickness),
            ("price", price),
        ):
            form.locator(f"[name={field}]").fill(text)
        form.locator("button").click()
        t.waits_for(lambda n=n: len(shop(t).get("yard", [])) == n)
        t.rest()
        if n == 1:
            t.section("cutting").locator(".yard summary").click()
    first, second = shop(t)["yard"]
    assert first == {"name": "maple 5/4", "wood": "maple", "length": "9 ft", "width": 7,
                     "thickness": "1-1/4", "price": 41, "price_per": "piece"}  # fmt: skip
    assert second["price"] == 33.5
    made = chosen(t)
    assert "maple 5/4" in made.inner_text()
    assert "walnut 4/4" in made.inner_text()
    t.page.locator("#undo").click()
    t.waits_for(lambda: len(shop(t)["yard"]) == 1)
    assert t.errors == []


def test_the_search_runs_beside_the_page_and_its_lists_come_home(server, tab):
    t = tab()
    stool(t, MACHINES, YARD)
    t.open("low-stool")
    t.section("cutting")
    made = chosen(t)
    assert "together" in made.inner_text()
    assert "spares among them" in made.inner_text()
    assert made.locator("figure svg").count() >= 3
    with t.page.expect_download() as got:
        made.get_by_text("what to buy, as CSV").click()
    rows = list(csv.reader(io.StringIO(got.value.path().read_text())))
    bought = {row[0]: int(row[rows[0].index("pieces")]) for row in rows[1:]}
    for name, count in bought.items():
        assert f"{count} × {name}" in made.inner_text()
    t.page.locator("input[name=units][value=mm]").check(force=True)
    t.rest()
    assert "mm" in chosen(t).inner_text()
    assert t.errors == []


def test_a_part_longer_than_any_board_says_which_and_what_would_do(server, tab):
    t = tab()
    stool(t, MACHINES, YARD.replace('length = "9 ft"', 'length = "2 ft"'))
    t.open("low-stool")
    text = t.page.locator("#section-cutting").inner_text()
    for word in ("arch", "maple 5/4", "long"):
        assert word in text
    t.section("cutting")
    field = t.page.get_by_label("Length of maple 5/4")
    field.click()
    field.fill("9 ft")
    field.press("Enter")
    t.waits_for(lambda: shop(t)["yard"][0]["length"] == "9 ft")
    chosen(t)
    assert t.errors == []


def test_without_the_machines_least_sizes_no_cut_is_given(server, tab):
    t = tab()
    stool(t, YARD)
    t.open("low-stool")
    part = t.page.locator("#section-cutting")
    assert "No boards are chosen" in part.inner_text()
    assert part.locator("figure").count() == 0
    for machine in ("saw", "surfacing machine", "thicknessing machine"):
        for what, size in (("Shortest", "6"), ("Narrowest", "1/2"), ("Thinnest", "1/32")):
            field = t.page.get_by_label(f"{what} piece for the {machine}")
            field.click()
            field.fill(size)
            field.press("Enter")
            t.rest()
    chosen(t)
    assert shop(t)["machine"]["surfacing"]["least_thickness"] == "1/32"
    assert t.errors == []
