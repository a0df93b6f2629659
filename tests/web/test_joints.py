"""Joints on the page: the headline, reasons with the number to change, places in the drawing."""

import shutil
from dataclasses import replace

import pytest

from overbend.book.say import Say
from overbend.errors import CurveError
from overbend.plan import Plan
from overbend.project import load, read
from overbend.units import Display
from overbend.web.fields import Fields
from overbend.web.sections import SECTIONS, At
from support.pieces import ROOT

EXAMPLES = ROOT / "examples"


def made(text=None, name="hearth-rocker", part="", units="mm"):
    path = EXAMPLES / f"{name}.toml"
    loaded = load(path) if text is None else read(text, path)
    plan = Plan(loaded, Display(units))
    at = At(plan, plan.bent.get(part) or next(iter(plan.bent.values())),
            Fields(loaded, plan.display), Say(plan.display), {})  # fmt: skip
    return SECTIONS["joints"].make(at, at.part), at


def text_of(name):
    return (EXAMPLES / f"{name}.toml").read_text()


def said(block):
    return "".join(p if isinstance(p, str) else p["text"] for p in block["pieces"])


def fold(data, name):
    return next(b for b in data["more"] if b.get("joint") == name and b["kind"] == "joint")


def test_the_headline_counts_what_holds():
    data, at = made()
    assert said(data["lead"][0]) == "Holds. All 32 joints hold."
    assert [b["joint"] for b in data["more"] if b["kind"] == "joint"] == list(at.plan.project.joint)


def test_a_joint_that_fails_says_why_and_offers_the_number():
    text = text_of("hearth-rocker").replace(
        'part = "crest"\nto = "rear-post"\nthickness = 10',
        'part = "crest"\nto = "rear-post"\nthickness = 18',
    )
    data, _ = made(text)
    assert said(data["lead"][0]) == "Fails. 30 of 32 joints hold; 2 fail."
    reason = next(b for b in data["lead"] if b["kind"] == "pointing" and "wood beside" in said(b))
    assert reason["joint"] == "crest"
    assert "at least" in said(reason)
    fields = [p for p in reason["pieces"] if isinstance(p, dict) and "key" in p]
    assert [f["key"] for f in fields] == ["joint.crest.thickness"]
    assert fields[0]["raw"] == "18"


def off(data):
    """The sentence about released bends, and its records."""
    block = next(b for b in data["lead"] if "nine in ten" in str(b["pieces"]))
    records = [p for p in block["pieces"] if isinstance(p, dict)]
    return "".join(p for p in block["pieces"] if isinstance(p, str)), records


def test_how_far_a_bend_lies_off_says_from_which_end_and_how_it_would_be_less():
    data, at = made()
    text, (end, trial) = off(data)
    joint = next(j for j in at.plan.piece.joints if j.id == "crest:crest:rear-post/right")
    (far,) = at.plan.piece.misfits[joint.id]
    (near,) = at.plan.piece.misfits_laid(joint, "chord-middle")
    assert f"crest may lie up to {at.say.length(far.most)} off its drawing" in text
    assert f"the chords in line, up to {at.say.length(near.most)}. Mark" in text
    assert (end["key"], end["value"]) == ("part.crest.reference", "start")
    assert trial["href"] == "/shop/trials"
    inches, _ = off(made(units="in")[0])
    assert " mm" not in inches


def test_a_bend_whose_set_was_measured_asks_for_no_trial():
    data, at = made()
    for part in at.plan.bent.values():
        part.__dict__["set"] = replace(part.set, proven=True)
    told = off(data), off(SECTIONS["joints"].make(at, at.part))
    assert ["trial bend" in text for text, _ in told] == [True, False]
    assert [sum("href" in r for r in records) for _, records in told] == [1, 0]


def test_a_part_whose_ends_meet_has_no_chord_to_be_laid_by(monkeypatch):
    data, at = made()

    def closed(_joint, datum):
        raise CurveError(f"no {datum}")

    monkeypatch.setattr(at.plan.piece, "misfits_laid", closed)
    text, _ = off(SECTIONS["joints"].make(at, at.part))
    assert "chord" in off(data)[0]
    assert "chord" not in text


def test_sizes_left_out_show_what_the_rule_gives_and_given_ones_what_the_file_says():
    data, at = made()
    sizes = dict(fold(data, "crest")["sizes"])
    first = next(j for j in at.plan.piece.joints if j.spec.name == "crest")
    assert sizes["Thickness"]["raw"] == "10"
    assert sizes["Length"]["raw"] == ""
    assert sizes["Length"]["text"] == at.say.length(first.sizes["tenon length"])
    assert sizes["Mortise depth"] == at.say.length(first.sizes["mortise depth"])
    assert sizes["Gap it bridges"]["text"] == "3 mm"


def test_places_are_stations_from_the_reference_end():
    data, at = made()
    piece = at.plan.piece
    rows = {(r[0], r[1]): r for r in fold(data, "slat")["places"]["rows"]}
    joint = next(j for j in piece.joints if j.spec.name == "slat")
    c = joint.contact
    row = rows[(c.a, c.b)]
    assert row[2:5] == [at.say.cell(v) for v in (c.s_a, c.s_b, c.height)]
    assert len(rows) == 10


def test_stations_run_the_other_way_from_an_end_that_is_the_reference():
    text = text_of("hearth-rocker").replace(
        '[part.slat]\nkind = "bent"', '[part.slat]\nreference = "end"\nkind = "bent"'
    )
    rows, turned = (fold(made(t)[0], "slat")["places"]["rows"] for t in (None, text))
    length = 544.5
    for one, other in zip(rows, turned, strict=True):
        assert float(one[2]) + float(other[2]) == pytest.approx(length, abs=0.15)
        assert one[3] == other[3]


def test_marks_are_those_of_the_story_sticks():
    data, at = made()
    rows = fold(data, "crest")["marks"]["rows"]
    marks = [m for s in at.plan.piece.sticks for m in s.marks if m.joint == "crest"]
    assert {row[1] for row in rows} == {m.what for m in marks}
    mortise = next(m for m in marks if m.what == "mortise")
    row = next(r for r in rows if r[1] == "mortise")
    assert row[3] == at.say.sharp(mortise.on_face[0])
    assert row[6] == at.say.sharp(mortise.depth)


def test_spots_lie_on_the_part_that_is_selected():
    data, at = made(part="rocker")
    shares = [float(s) for s in fold(data, "front-foot")["spots"].split()]
    joint = next(j for j in at.plan.piece.joints if j.spec.name == "front-foot")
    body = at.plan.piece.by_id[joint.contact.b]
    assert shares == [pytest.approx(joint.contact.s_b / body.length, abs=1e-3)]
    assert fold(data, "side-front")["spots"] == ""


def test_rows_of_parts_may_be_changed_and_say_their_gaps():
    data, at = made()
    table = data["more"][-1]
    row = table["rows"][0]
    assert row[1]["key"] == "part.slat.between.repeat.count"
    assert row[2]["key"] == "part.slat.between.repeat.span"
    assert row[3] == at.say.sharp(at.plan.piece.spacers[0].gap)


def test_places_without_a_joint_are_told():
    text = text_of("low-stool")
    start = text.index("[joint.stretcher]")
    end = text.find("\n[", start + 1)
    data, _ = made(text[:start] + (text[end:] if end > 0 else ""), "low-stool", units="in")
    holds = [said(b) for b in data["lead"] if b["kind"] == "hold"]
    assert len(holds) == 4
    assert all("no joint is named there" in h and "stretcher" in h for h in holds[:3])
    assert holds[3] == "In all, parts meet without a joint at 4 places."


def test_a_piece_that_stands_nowhere_has_no_section():
    loaded = load(ROOT / "tests" / "web" / "pieces" / "slatted-bench.toml")
    plan = Plan(loaded)
    part = next(iter(plan.bent.values()))
    at = At(plan, part, Fields(loaded, plan.display), Say(plan.display), {})
    assert SECTIONS["joints"].make(replace(at), part) == {}


def test_in_a_browser_numbers_change_the_file_and_joints_light_up(server, tab):
    shutil.copy(EXAMPLES / "hearth-rocker.toml", server.folder)
    t = tab().open("hearth-rocker")
    section = t.section("joints")
    assert "All 32 joints" in section.locator(".lead").inner_text()
    section.locator("#joint-front-foot summary").hover()
    t.until("() => document.querySelectorAll('#whole .joint').length === 1")
    t.page.evaluate("document.querySelector('input[name=view][value=side]').click()")
    t.page.wait_for_selector("#whole .part", state="attached")
    section.locator("#joint-slat summary").hover()
    t.until("() => document.querySelectorAll('#whole .joint').length === 5")
    section.locator("#joint-crest summary").click()
    field = section.get_by_label("Joint crest: Thickness")
    field.fill("18")
    field.press("Enter")
    t.waits_for(lambda: "thickness = 18" in t.text("hearth-rocker"))
    t.until("() => document.querySelector('#section-joints .lead').innerText.includes('30 of 32')")
    reason = section.locator(".hold", has_text="wood beside").first
    assert reason.get_by_label("Joint crest: Thickness").input_value() == "18 mm"
    assert section.locator("#joint-crest").get_attribute("open") is not None
    t.page.keyboard.press("Control+z")
    t.until("() => document.querySelector('#section-joints .lead').innerText.includes('All 32')")
    assert t.errors == []
