"""What cannot be read or computed: every place it names leads there."""

import re

import pytest

from overbend.book.us_units import Reader
from overbend.errors import OverbendError, ProjectError
from overbend.project import read
from overbend.web.fields import place_of
from overbend.web.troubles import trouble, ways
from support.browser import PIECES, rewrite

BENCH = PIECES / "slatted-bench.toml"
TEXT = BENCH.read_text()


def links(said):
    return [piece for piece in said if isinstance(piece, dict)]


def refused(text):
    with pytest.raises(OverbendError) as found:
        read(text, BENCH)
    return found.value


def plain(said):
    return "".join(p if isinstance(p, str) else p["text"] for p in said)


def test_every_problem_of_a_text_leads_to_its_line():
    text = re.sub(r"(?m)^(least_width|moisture) = .*$", r'\1 = "wide"', TEXT)
    error = refused(text)
    data = trouble(error, Reader("mm"))
    found = links(data["said"])
    assert len(found) == 4
    lines = text.split("\n")
    for link in found:
        assert lines[link["line"] - 1].startswith(link["key"].rsplit(".", 1)[1] + " =")
    assert plain(data["said"]) == f"{error.where}\n{error.problem}"


def test_a_text_that_is_no_toml_leads_to_line_and_column():
    (link,) = links(trouble(refused(f"{TEXT}\nwidth = = 3\n"), Reader("in"))["said"])
    assert (link["key"], link["column"]) == ("", 9)
    assert link["line"] == TEXT.count("\n") + 2
    (end,) = links(trouble(refused(f'{TEXT}\nnote = """open'), Reader("mm"))["said"])
    assert end["line"] == -1


def test_places_within_places_keep_the_line_that_is_known():
    where = "b.toml, line 81: part.rib: b.toml, line 70: curve.rib: curve.rib.through[3]"
    found = links(ways(where))
    assert [(f["key"], f["line"]) for f in found] == [
        ("part.rib", 81), ("curve.rib", 70), ("curve.rib.through.2", 70),
    ]  # fmt: skip
    assert place_of(found[-1]["key"]) == ("curve", "rib", "through", 2)
    assert plain(ways(where)) == where


@pytest.mark.parametrize("where", ["steam box", "", "arch, 254 mm along", "/home/a: b/part.toml"])
def test_what_is_no_place_of_the_file_stays_text(where):
    assert links(ways(where)) == []
    assert plain(ways(where)) == where


def test_nothing_of_a_message_is_lost_or_said_twice():
    error = ProjectError("one\n  two", "a.toml: part.x.width", "more: less", "do")
    assert plain(trouble(error, Reader("mm"))["said"]) == (
        "a.toml: part.x.width\none\n  two\nmore: less\ndo"
    )


# -- in a browser -------------------------------------------------------------------------


def write(t, old, new):
    """Change the file as another program would."""
    path = t.server.folder / "slatted-bench.toml"
    text = path.read_text()
    assert old in text
    rewrite(path, text.replace(old, new, 1))
    t.page.wait_for_selector(".notice[data-kind=taken]")
    t.page.wait_for_selector("#trouble")
    return path.read_text().split("\n")


def caret(t):
    """The line the caret of the text is in, from 0, and whether it is seen."""
    return t.page.evaluate(
        """() => {
          const text = document.activeElement;
          if (text.tagName !== 'TEXTAREA') return null;
          const line = text.value.slice(0, text.selectionStart).split('\\n').length - 1;
          const y = (line + 0.5) * parseFloat(getComputedStyle(text).lineHeight) - text.scrollTop;
          const box = text.getBoundingClientRect();
          const seen = document.elementFromPoint(box.left + 30, box.top + y + 10);
          return [line, y > 0 && y < text.clientHeight && seen === text];
        }"""
    )


def follow(t, name):
    """Click on a way of the trouble box, once nothing lies over it."""
    for close in t.page.locator(".notice button").all():
        close.click()
    way = t.page.locator("#trouble .way", has_text=name).last
    way.evaluate("way => way.scrollIntoView({ block: 'end' })")
    way.click()


@pytest.mark.parametrize("width", [360, 1400])
def test_a_text_that_does_not_read_is_opened_at_the_line(server, tab, width):
    t = tab(width, 800).open("slatted-bench")
    for old, new, name in (
        ("run_out = 60", "run_out = = 60", "line "),
        ("run_out = = 60", "run_out = -60", "part.rib.form.run_out"),
    ):
        lines = write(t, old, new)
        follow(t, name)
        t.waits_for(lambda lines=lines, new=new: caret(t) == [lines.index(new), True])
    t.page.keyboard.press("Home")
    assert t.errors == []


def test_a_part_that_cannot_be_computed_leads_to_its_field(server, tab):
    t = tab().open("slatted-bench")
    write(t, "[270, 34],", "[130, 36],")
    follow(t, "curve.rib.through")
    t.until("() => document.activeElement.parentElement.dataset.fold === 'curve.rib.through'")
    t.page.locator("#undo").click()
    t.waits_for(lambda: "[270, 34]," in t.text("slatted-bench"))
    t.page.locator("#trouble").wait_for(state="detached")
    lines = write(t, "moisture = 16", "moisture = 45")
    assert "moisture = 45" in lines
    follow(t, "wood.ash")
    t.until("() => document.activeElement.parentElement.dataset.fold === 'wood.ash'")
    assert t.errors == []
