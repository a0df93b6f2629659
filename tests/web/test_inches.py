"""What the page says of a piece in inches, and of the same piece with its switch on mm."""

import asyncio

import pytest

from overbend.book.us_units import Reader
from overbend.errors import CurveError
from overbend.plan import Hold, Plan
from overbend.project import read
from overbend.units import Display
from overbend.web.answers import View, answers, one_section, slow_answers
from overbend.web.app import make_app
from overbend.web.live import _heard
from overbend.web.replan import Replanner
from overbend.web.sawing import Sawn, key_of
from overbend.web.sentence import block, reworded, table
from overbend.web.session import Client, Session
from overbend.web.troubles import trouble
from overbend.web.waits import waits
from support.apart import apart
from support.pieces import EXAMPLES
from support.us import bare

STOOL = next(p for p in EXAMPLES if p.stem == "low-stool")
ROCKER = next(p for p in EXAMPLES if p.stem == "hearth-rocker")
UNSAID = frozenset(("svg", "raw", "key", "value", "options", "d", "words"))


def texts(data):
    """Every text of an answer that is read."""
    match data:
        case str():
            yield data
        case dict() if "key" not in data:
            for key, value in data.items():
                if key not in UNSAID:
                    yield from texts(value)
        case list() | tuple():
            for value in data:
                yield from texts(value)


def stool(*changes):
    text = STOOL.read_text()
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return text


TIGHT = stool(('arch_radius = "7 in"', 'arch_radius = "1/4 in"'))
SMALL = stool(("sheet = [96, 48]", "sheet = [20, 10]"))
UNREAD = stool(('temperature = "68 F"', 'temperature = "400 F"'))


def quick(text, system):
    return answers(Replanner(), read(text, STOOL), View(system=system), False).data


def test_a_radius_too_tight_is_refused_in_the_unit_of_the_switch():
    us, metric = quick(TIGHT, "in"), quick(TIGHT, "mm")
    assert us["trouble"]["allowed"] == "a mid-depth radius above 13/32 in (10.3188 mm)"
    assert metric["trouble"]["allowed"] == "a mid-depth radius above 10.3188 mm"
    assert us["sections"]["bends"]["trouble"]["where"].endswith("13-5/8 in (346.4 mm) along")
    assert [t for t in texts(us) if bare(t)] == []
    assert quick(TIGHT, None) == us


@pytest.mark.parametrize("system", ["in", "mm"])
def test_a_sheet_too_small_is_refused_in_the_unit_of_the_switch(system):
    loaded = read(SMALL.replace("[shop.cutting]", "[shop.cutting]\nseconds = 1"), STOOL)
    plan = Plan(loaded, Display(system))
    sawn = Sawn(key_of(plan.to_cut), "done", cutting=plan.cutting)
    made = one_section(Replanner(), loaded, View(system=system), "cutting", sawn)
    said = " ".join(texts(made["sections"]))
    assert ("20 by 10 in (508 by 254 mm), as it lies" in said) == (system == "in")
    assert ("sheet, 508 by 254 mm, as it lies" in said) == (system == "mm")
    assert (bare(said) == []) == (system == "in")


def everything(path, system):
    """All that the page gets of a piece, searched boards as the search left them."""
    text = path.read_text()
    loaded = read(text, path)
    plan = Plan(loaded, Display(system))
    name = next((n for n, p in plan.bent.items() if p.part.method == "solid"), "")
    replanner, view = Replanner(), View(name, system=system, mode="side")
    first = answers(replanner, loaded, view, False).data
    sawn = Sawn("", "trouble", trouble="a board 12.5 mm wide")
    rest = list(slow_answers(replanner, loaded, view, lambda: False, sawn))
    return [first, *rest, waits(plan)]


@pytest.mark.parametrize("path", [STOOL, ROCKER], ids=lambda p: p.stem)
def test_no_sentence_of_the_page_is_metric_when_its_switch_is_on_inches(path):
    found = list(texts(everything(path, "in")))
    assert len(found) > 300
    assert [t for t in found if bare(t)] == []


def test_the_page_in_mm_is_as_it_was_written():
    found = list(texts(everything(ROCKER, "mm")))
    assert any("70 C" in t for t in found)
    assert not any("°F" in t or " in (" in t for t in found)


def test_what_waits_is_in_the_plans_unit_with_names_as_typed():
    text = stool(('name = "bar clamp"', 'name = "clamp 12 mm"'))
    hold = Plan(read(text, STOOL), Display("in"))
    held = (Hold("boards", "", "clamp 12 mm opens 305 mm"),)
    hold.__dict__["holds"] = held
    assert waits(hold)[0]["text"] == "clamp 12 mm opens 12 in (305 mm)"
    metric = Plan(read(text, STOOL), Display("mm"))
    metric.__dict__["holds"] = held
    assert waits(metric)[0]["text"] == held[0].text


def test_values_of_the_file_stay_in_a_reworded_section():
    field = {"key": "shop.clamp.0.name", "text": "12 mm", "label": "Name"}
    more = [table(["at 5 mm"], [["5 mm", [field]]]), {"kind": "picture", "svg": "5 mm"}]
    made = {"lead": [block("hold", ["5 mm by ", field])], "verdict": "5 mm", "more": more}
    said = reworded(made, Reader("in").words)
    assert said["lead"][0]["pieces"] == ["13/64 in (5 mm) by ", field]
    assert said["more"][0]["head"] == ["at 13/64 in (5 mm)"]
    assert said["more"][0]["rows"] == [["13/64 in (5 mm)", [field]]]
    assert said["more"][1]["svg"] == said["verdict"] == "5 mm"


def test_trouble_has_four_parts_in_the_readers_unit():
    error = CurveError("12 mm off", "arch, 254 mm along", "5 mm", "move it 3 mm")
    assert [bare(text) for text in texts(trouble(error, Reader("in")))] == [[]] * 5
    assert trouble(error, Reader("mm"))["where"] == "arch, 254 mm along"


# -- a tab ---------------------------------------------------------------------------------


def talked(tmp_path, text, *messages):
    """What a tab is sent, the file holding a text, when it says some messages."""
    file = tmp_path / "stool.toml"
    file.write_text(text)

    async def tab():
        got = []

        async def send(message):
            got.append(message)

        session, client = Session(file), Client(send)
        await session.join(client)
        for message in messages:
            await _heard(session, client, message)
        for _ in range(1200):
            if any(m["type"] == "answers" for m in got):
                break
            await asyncio.sleep(0.05)
        session.leave(client)
        await session.close()
        return got

    return apart(tab())


VIEW = '{"type": "view", "seq": 1, "width": 180, "height": 110, "strip": 34, "units": "%s"}'


def test_a_text_that_does_not_read_is_refused_again_when_the_switch_moves(tmp_path):
    got = talked(tmp_path, UNREAD, VIEW % "mm", VIEW % "in")
    said = [m["trouble"]["allowed"] for m in got if m["type"] == "text"]
    us = "a temperature, -40 °F (-40 °C) or more, 140 °F (60 °C) at most"
    metric = "a temperature, -40 C or more, 60 C at most"
    assert said == [us, metric, us]
    assert [m["trouble"]["allowed"] for m in got if m["type"] == "answers"] == [us]


@pytest.mark.parametrize("system", ["mm", "in"])
def test_a_value_that_is_refused_is_refused_in_the_tabs_unit(tmp_path, system):
    asked = '{"type": "pull", "seq": 2, "handle": "none", "x": 1, "y": 1}'
    wrong = '{"type": "put", "seq": 3, "key": "shop.climate.temperature", "value": 500}'
    got = talked(tmp_path, STOOL.read_text(), VIEW % system, asked, wrong)
    refused = [m for m in got if m["type"] == "refused"]
    said = " ".join(t for m in refused for t in m.values() if isinstance(t, str))
    assert ("60 C at most" in said) == (system == "mm")
    assert ("140 °F (60 °C) at most" in said) == (system == "in")
    assert len(refused) == 2


def test_a_page_in_inches_says_its_refusal_in_inches(tmp_path):
    pages = [r for r in make_app(tmp_path, keys=None).routes if getattr(r, "path", "") == "/"]
    page = pages[0].endpoint.__self__.page
    given = {"id": "x", "title": "Stool", "offered": (), "past": (), "why": "a box of 300 mm"}
    us = page("day_start.html", **given, units="in").body.decode()
    metric = page("day_start.html", **given, units="mm").body.decode()
    assert "a box of 11-13/16 in (300 mm)" in us
    assert "a box of 300 mm" in metric
