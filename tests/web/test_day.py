"""The steam day over HTTP: its plan, its events, what comes of it in the ledger."""

import html
import json
import math
import re
from collections import Counter

import pytest

from overbend.ledger import Run, Trial, open_ledger
from overbend.plan import open_plan
from overbend.web.shop.plan_day import choices, day_plan, steps_of
from support.browser import stock
from support.clocked import Clocked

NAMES = ("hearth-rocker", "slatted-bench", "low-stool")


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    made = Clocked(stock(tmp_path_factory.mktemp("day") / "pieces", *NAMES))
    yield made
    made.stop()


@pytest.fixture
def maker(server):
    for left in server.ledger.parent.glob(f"{server.ledger.name}*"):
        left.unlink()
    with server.client() as client:
        yield client


def runs(server):
    with open_ledger(server.ledger) as book:
        return dict(book.all_of(Run))


def trials(server):
    with open_ledger(server.ledger) as book:
        return [trial for _, trial in book.all_of(Trial)]


def begin(maker, piece="hearth-rocker", **parts):
    data = {f"part {name}": str(n) for name, n in (parts or {"slat": 1, "crest": 1}).items()}
    return maker.post(f"/day-begin/{piece}", data=data)


def name(number):
    return f"{number:032x}"


class Diary:
    """Sends events of a run, a minute after each other unless told."""

    def __init__(self, server, maker, piece="hearth-rocker", run=1):
        self.server, self.maker, self.piece, self.run, self.count = server, maker, piece, run, 0

    def __call__(self, what, step="", text="", wait=0.0):
        self.server.ahead += wait
        self.count += 1
        event = {"uid": name(self.count), "at": self.server.now(), "what": what, "step": step,
                 "text": text, "who": ""}  # fmt: skip
        return self.send([event])

    def send(self, events):
        return self.maker.post(
            f"/day-events/{self.piece}", json={"run": self.run, "events": events}
        )


@pytest.fixture
def diary(server, maker):
    begin(maker)
    return Diary(server, maker)


# -- the plan -----------------------------------------------------------------------------
def test_a_day_bends_what_the_steam_run_says(server):
    plan = open_plan(server.folder / "hearth-rocker.toml")
    offered = choices(plan, plan.steam_run)
    assert [(c.part, c.most) for c in offered] == [("slat", 1), ("crest", 1)]
    data = day_plan(plan, plan.steam_run, {"slat": 1, "crest": 1})
    assert [b["key"] for b in data["batches"]] == ["crest/1", "slat/1"]
    minutes = {n: plan.steamed[n].minutes for n in ("slat", "crest")}
    assert {b["part"]: b["out"] - b["into"] for b in data["batches"]} == minutes
    assert steps_of(data) == [
        "cautions", "fire", "hot", "in:crest/1", "in:slat/1", "out:slat/1", "clamp:slat/1",
        "out:crest/1", "clamp:crest/1", "shut",
    ]  # fmt: skip
    loading = plan.steamed["slat"].loading
    assert (data["parts"]["slat"]["low"], data["parts"]["slat"]["high"]) == (
        loading.low, loading.high
    )  # fmt: skip


def test_loose_strips_of_one_part_go_together(server):
    plan = open_plan(server.folder / "slatted-bench.toml")
    data = day_plan(plan, plan.steam_run, {"rib": 1})
    assert [(b["key"], b["pieces"]) for b in data["batches"]] == [("rib/1", 4)]
    kinds = data["parts"]["rib"]["kinds"]
    assert [(k["label"], k["count"]) for k in kinds] == [
        ("European ash, 4.5 mm", 2), ("Black walnut, 3 mm", 1), ("European ash, 5.5 mm", 1)
    ]  # fmt: skip
    tightest = 1.0 / abs(plan.bent["rib"].glued.tightest[1])
    inner = kinds[-1]["trial"]
    assert inner["form_radius"] == pytest.approx(tightest - plan.bent["rib"].depth / 2, abs=1e-6)


def test_what_is_left_out_is_left_out_and_nothing_at_all_is_refused(server, maker):
    begin(maker, crest=1, slat=0)
    assert [b["part"] for b in json.loads(runs(server)[1].plan)["batches"]] == ["crest"]
    assert begin(maker, piece="slatted-bench", rib=0).status_code == 404
    assert len(runs(server)) == 1


def test_more_than_a_day_holds_is_cut_to_what_it_holds(server, maker):
    begin(maker, crest=99, slat=-4, rocker=3)
    assert [b["key"] for b in json.loads(runs(server)[1].plan)["batches"]] == ["crest/1"]


@pytest.mark.parametrize(
    ("piece", "said"),
    [("low-stool", "Nothing of this piece is steamed"), ("hearth-rocker", "slat")],
)
def test_the_first_page_says_what_can_be_steamed(maker, piece, said):
    assert said in maker.get(f"/day/{piece}").text
    assert maker.get("/day").status_code == 200


def test_without_a_steam_box_it_says_what_to_describe(server, maker):
    text = (server.folder / "hearth-rocker.toml").read_text()
    cut = re.sub(r"\[shop\.steam_box\][^\[]*", "", text)
    (server.folder / "boxless.toml").write_text(cut)
    assert "Describe your steam box" in maker.get("/day/boxless").text
    assert begin(maker, piece="boxless").status_code == 404


def test_a_file_that_does_not_read_is_said(server, maker):
    (server.folder / "broken.toml").write_text("name = ")
    assert "broken.toml" in maker.get("/day/broken").text


# -- what happens -------------------------------------------------------------------------
def test_only_one_day_is_under_way(server, maker, diary):
    begin(maker)
    assert len(runs(server)) == 1
    assert 'id="app"' in maker.get("/day/hearth-rocker").text


def test_nothing_is_taken_before_the_cautions_are_read(server, diary):
    said = diary("tick", "fire").json()
    assert said["events"] == []
    assert said["had"] == [name(1)]
    diary("note", "", "windy")
    diary("tick", "cautions")
    diary("tick", "fire")
    assert [e.what + e.step for e in runs(server)[1].events] == ["note", "tickcautions", "tickfire"]


def test_sending_twice_changes_nothing(server, diary):
    diary("tick", "cautions")
    again = {"uid": name(1), "at": 5.0, "what": "tick", "step": "cautions", "text": "", "who": ""}
    assert diary.send([again, again]).status_code == 200
    (event,) = runs(server)[1].events
    assert event.at > 1e9


def test_steps_and_strips_there_are_none_of_are_left_out(server, diary):
    diary("tick", "cautions")
    for what, step, text in (
        ("tick", "in:chair/1", ""), ("cracked", "crest/1", "oak 3"), ("tick", "x" * 100, ""),
        ("cracked", "crest/9", "ash 19"),
    ):  # fmt: skip
        diary(what, step, text)
    assert len(runs(server)[1].events) == 1


def test_nothing_happens_in_the_future(server, diary):
    late = {"uid": name(77), "at": server.now() + 9999.0, "what": "tick", "step": "cautions",
            "text": "", "who": "somebody else"}  # fmt: skip
    diary.send([late])
    (event,) = runs(server)[1].events
    assert event.at <= server.now()
    assert event.who == ""


@pytest.mark.parametrize(
    "body",
    [
        b"", b"nothing", b"[]", b"{}", b'{"run": 1}', b'{"run": "1", "events": []}',
        b'{"run": 1, "events": {}}', b'{"run": 1, "events": [3]}',
        b'{"run": 1, "events": [{"uid": "short"}]}', b'{"run": true, "events": []}',
        b'{"run": 9, "events": []}', b"[" * 5000,
        b'{"run": 1, "events": [' + b"{}," * 300 + b"{}]}",
        b'{"run": 1, "events": [{"uid": "' + b"a" * 32 + b'", "at": NaN, "what": "tick"}]}',
        b'{"run": 1, "events": [{"uid": "' + b"a" * 32 + b'", "at": 1, "what": "burn"}]}',
        b'{"run": 1, "events": [{"uid": "' + b"a" * 32 + b'", "at": 1, "what": "note", "text": "'
        + b"x" * 3000 + b'"}]}',
    ],
)  # fmt: skip
def test_garbled_events_are_refused_and_change_nothing(server, maker, diary, body):
    answer = maker.post("/day-events/hearth-rocker", content=body)
    assert 400 <= answer.status_code < 500
    assert runs(server)[1].events == ()


def test_too_much_at_once_is_refused(maker, diary):
    assert maker.post("/day-events/hearth-rocker", content=b"x" * 300_000).status_code == 404


@pytest.mark.parametrize(
    "id",
    ["../outside", "..%2Foutside", "%2e%2e/outside", "trash/x", "/etc/passwd", "a/b/c", "x%00"],
)
def test_paths_stay_in_the_folder(server, maker, id):
    (server.folder.parent / "outside.toml").write_text('name = "secret"')
    for place in (f"/day/{id}", f"/day-state/{id}?run=1"):
        answer = maker.get(place)
        assert answer.status_code == 404
        assert "secret" not in answer.text
    for place in ("begin", "events", "keep", "measure"):
        assert maker.post(f"/day-{place}/{id}", json={}).status_code == 404


def test_a_day_of_another_piece_is_not_reached(maker, diary):
    assert maker.get("/day-state/slatted-bench?run=1").status_code == 404
    assert maker.post("/day-events/slatted-bench", json={"run": 1, "events": []}).status_code == 404
    assert 'id="app"' not in maker.get("/day/slatted-bench?run=1").text


def test_a_change_of_the_project_does_not_reach_the_day(server, maker, diary):
    before = runs(server)[1].plan
    file = server.folder / "hearth-rocker.toml"
    text = file.read_text()
    file.write_text(text.replace("thickness = 19", "thickness = 21"))
    assert json.loads(html.unescape(state_of(maker)))["plan"] == json.loads(before)
    file.write_text(text)


def state_of(maker):
    return re.search(r'data-state="([^"]*)"', maker.get("/day/hearth-rocker").text)[1]


# -- what comes of it ---------------------------------------------------------------------
def through(diary, crack="", outside=(3.0, 200.0)):
    """Take a day to its end; waits in seconds from the box to the clamps, slat then crest."""
    for step in ("cautions", "fire", "hot", "in:crest/1", "in:slat/1"):
        diary("tick", step, wait=60.0)
    diary("tick", "out:slat/1", wait=24 * 60.0)
    diary("tick", "clamp:slat/1", wait=outside[0])
    diary("tick", "out:crest/1", wait=20 * 60.0)
    if crack:
        diary("cracked", "crest/1", crack)
    diary("tick", "clamp:crest/1", wait=outside[1])
    diary("note", "clamp:crest/1", "tight <b>corner</b>")
    return diary("tick", "shut", wait=30.0)


def test_the_summary_says_times_against_the_window(maker, diary):
    through(diary)
    page = maker.get("/day/hearth-rocker?run=1").text
    assert "24.0 min in the box" in page
    assert re.search(r">holds</span>: 3 s from the box", page)
    assert re.search(r">fails</span>: 200 s from the box", page)
    assert "tight &lt;b&gt;corner&lt;/b&gt;" in page
    assert "45.1 min in the box" in page or "46" in page


def test_a_step_taken_back_counts_no_more(server, maker, diary):
    through(diary, crack="ash 19")
    cracked = next(e for e in runs(server)[1].events if e.what == "cracked")
    diary("back", "crest/1", cracked.uid)
    assert "1 cracked" not in maker.get("/day/hearth-rocker?run=1").text


def test_results_go_into_the_ledger_once(server, maker, diary):
    through(diary, crack="ash 19")
    for _ in range(2):
        assert maker.post("/day-keep/hearth-rocker", data={"run": "1"}).status_code == 303
    kept = {t.thickness: t for t in trials(server)}
    assert len(trials(server)) == 2
    assert (kept[19.0].broken, kept[10.0].broken) == (True, False)
    assert kept[19.0].form_radius == pytest.approx(409.1, abs=0.1)
    assert kept[19.0].strap
    assert (kept[19.0].dried, kept[19.0].moisture) == ("air", 17.0)
    assert kept[10.0].steam_minutes == pytest.approx(24.0, abs=0.1)
    assert "tight <b>corner</b>" in kept[19.0].note
    assert kept[19.0].run == kept[10.0].run


def test_strips_of_a_stack_are_kept_by_kind(server, maker):
    begin(maker, piece="slatted-bench", rib=1)
    diary = Diary(server, maker, "slatted-bench")
    for step in ("cautions", "fire", "hot", "in:rib/1", "out:rib/1"):
        diary("tick", step, wait=30.0)
    for _ in range(3):  # only two of that kind are there
        diary("cracked", "rib/1", "ash 4.5")
    diary("tick", "clamp:rib/1")
    diary("tick", "shut")
    maker.post("/day-keep/slatted-bench", data={"run": "1"})
    counts = Counter((t.thickness, t.plies, t.broken) for t in trials(server))
    assert counts == {(4.5, 1, True): 2, (3.0, 1, False): 1, (5.5, 1, False): 1}


def test_the_release_is_measured_after_an_hour_and_a_day(server, maker, diary):
    through(diary)
    data = {"run": "1", "batch": "crest/1", "kind": "ash 19", "chord 1 h": "464",
            "chord 1 day": "466"}  # fmt: skip
    for _ in range(2):
        assert maker.post("/day-measure/hearth-rocker", data=data).status_code == 303
    crest = next(t for t in trials(server) if t.thickness == 19.0)
    assert [m.after_hours for m in crest.measurements] == [1.0, 24.0]
    assert all(m.radius > 409.1 and math.isfinite(m.error) for m in crest.measurements)
    page = html.unescape(maker.get("/day/hearth-rocker?run=1").text)
    assert re.search(r"After 1 day: radius \d+(\.\d)? mm, \d+\.\d % of the bend lost", page)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"chord 1 h": "900"}, "between the trim marks"),
        ({"chord 1 h": "a lot"}, "a lot"),
        ({"chord 1 h": ""}, "nothing is given"),
        ({"kind": "oak 3"}, "nothing whole"),
        ({"batch": "crest/7"}, "nothing whole"),
    ],
)
def test_a_release_that_cannot_be_meant_is_said(server, maker, diary, change, said):
    through(diary)
    data = {"run": "1", "batch": "crest/1", "kind": "ash 19", "chord 1 h": "464"} | change
    answer = maker.post("/day-measure/hearth-rocker", data=data)
    assert answer.status_code == 400
    assert said in html.unescape(answer.text)
    assert all(t.measurements == () for t in trials(server))


def test_what_never_came_out_of_the_box_is_no_trial(server, maker, diary):
    for step in ("cautions", "fire", "hot", "in:crest/1", "shut"):
        diary("tick", step)
    maker.post("/day-keep/hearth-rocker", data={"run": "1"})
    assert trials(server) == []
    assert "not bent" in maker.get("/day/hearth-rocker?run=1").text
