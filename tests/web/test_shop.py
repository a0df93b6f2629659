"""The shop's pages over HTTP: shelves, trial bends, what they teach, the switch of a piece."""

import html
import json
import re
import time
from urllib.parse import quote

import pytest
from websockets.sync.client import connect

from overbend.ledger import Board, Clamps, Form, Trial, open_ledger, shop_state
from overbend.plan import open_plan
from support.browser import stock
from support.clocked import Clocked

NAMES = ("hearth-rocker", "slatted-bench")
BOARD = {"species": "White Ash", "length": "2440", "width": "152", "thickness": "27",
         "dried": "air", "moisture": "14.5", "defects": "0 to 120; 900 to 960",
         "place": "Rack 2", "note": "One end checked"}  # fmt: skip
TRIAL = {"species": "white ash", "treatment": "steam", "thickness": "19", "plies": "1",
         "form_radius": "410", "side": "concave", "bent_on": "2026-05-17"}  # fmt: skip
EVIL = '<script>alert("x")</script><img src=x onerror=alert(1)>'


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    made = Clocked(stock(tmp_path_factory.mktemp("shop") / "pieces", *NAMES))
    yield made
    made.stop()


@pytest.fixture
def shop(server):
    """A maker's client on an empty ledger."""
    for left in server.ledger.parent.glob(f"{server.ledger.name}*"):
        left.unlink()
    with server.client() as client:
        yield client


def held(server, kind):
    with open_ledger(server.ledger) as book:
        return book.all_of(kind)


def text_of(answer):
    return html.unescape(answer.text)


# -- shelves ------------------------------------------------------------------------------
def test_without_a_ledger_the_shelves_are_empty_and_none_is_made(server, shop):
    for shelf in ("boards", "forms", "clamps", "trials", "learnt"):
        assert shop.get(f"/shop/{shelf}").status_code == 200
    assert "No board on the rack yet." in shop.get("/shop/boards").text
    assert not server.ledger.exists()


def test_a_board_is_added_changed_gone_back_and_taken_out(server, shop):
    assert shop.post("/shop/boards", data=BOARD).headers["location"] == "/shop/boards#n1"
    ((_, board),) = held(server, Board)
    assert (board.species, board.length, board.moisture) == ("white-ash", 2440.0, 14.5)
    assert board.defects == ((0.0, 120.0), (900.0, 960.0))
    page = text_of(shop.get("/shop/boards"))
    assert "White ash, 2440 × 152 × 27 mm" in page
    assert "not usable from its marked end: 0 to 120 mm, 900 to 960 mm" in page
    shop.post("/shop/boards/1", data=BOARD | {"moisture": "9", "defects": ""})
    ((_, changed),) = held(server, Board)
    assert changed == board.model_copy(update={"moisture": 9.0, "defects": ()})
    today = {time.strftime("%Y-%m-%d")}
    shop.post("/shop/boards/1/gone")
    assert held(server, Board)[0][1].out_on in today | {time.strftime("%Y-%m-%d")}
    shop.post("/shop/boards/1/back")
    assert held(server, Board)[0][1].out_on == ""
    shop.post("/shop/boards/1/delete")
    assert held(server, Board) == ()


def test_a_form_and_clamps_are_kept(server, shop):
    shop.post("/shop/forms", data={"name": "Slat form", "side": "convex", "radius": "428"})
    shop.post("/shop/clamps", data={"name": "bar", "count": "18", "opening": "300",
                                    "force": "3.5 kN"})  # fmt: skip
    assert held(server, Form)[0][1].radius == 428.0
    assert held(server, Clamps)[0][1].force == 3500.0
    assert "18 × bar" in text_of(shop.get("/shop/clamps"))
    shop.post("/shop/clamps/1", data={"name": "bar", "count": "16", "opening": "300",
                                      "force": "3500 N"})  # fmt: skip
    assert held(server, Clamps)[0][1].count == 16
    shop.post("/shop/clamps/1/delete")
    assert held(server, Clamps) == ()


def test_inches_are_read_and_shown_and_what_is_not_touched_keeps_every_digit(server, shop):
    with open_ledger(server.ledger) as book:
        book.add(Board(species="white-ash", length=2437.77, width=151.23, thickness=27.04))
    shop.cookies.set("units", "in")
    page = shop.get("/shop/boards/1").text
    sizes = {n: re.search(rf'name="{n}" value="([^"]*)"', page)[1]
             for n in ("species", "length", "width", "thickness")}  # fmt: skip
    assert sizes["length"] == "95-31/32"
    shop.post("/shop/boards/1", data=sizes | {"width": "5-1/2"})
    ((_, board),) = held(server, Board)
    assert (board.length, board.width, board.thickness) == (2437.77, 139.7, 27.04)
    shop.cookies.clear()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"length": ""}, "Length is missing"),
        ({"length": "-3"}, "above zero"),
        ({"length": "two yards of"}, "Length"),
        ({"species": "unobtainium"}, "unobtainium"),
        ({"moisture": "wet"}, "Moisture"),
        ({"defects": "here and there"}, "0 to 120; 900 to 960"),
        ({"defects": "120 to 0"}, "from a smaller to a larger length"),
        ({"dried": "in the sun"}, "dried"),
    ],
)
def test_what_cannot_be_meant_is_said_and_what_was_typed_stays(server, shop, change, said):
    answer = shop.post("/shop/boards", data=BOARD | change)
    assert answer.status_code == 400
    assert said in text_of(answer)
    assert 'value="Rack 2"' in answer.text
    assert not server.ledger.exists() or held(server, Board) == ()


def test_a_wood_of_ones_own_is_taken(server, shop):
    data = BOARD | {"species": "Grandfather's pear", "own_wood": "yes"}
    shop.post("/shop/boards", data=data)
    assert held(server, Board)[0][1].species == "grandfather-s-pear"
    assert 'name="own_wood" value="yes" checked' in shop.get("/shop/boards/1").text


def test_names_and_notes_are_shown_as_they_are_and_never_run(shop):
    shop.post("/shop/boards", data=BOARD | {"note": EVIL, "name": EVIL, "place": EVIL})
    shop.post("/shop/forms", data={"name": EVIL, "side": "concave", "note": EVIL})
    shop.post("/shop/trials", data=TRIAL | {"note": EVIL, "who": EVIL, "form": "1", "board": "1"})
    for place in ("boards", "boards/1", "forms", "forms/1", "trials", "learnt"):
        page = shop.get(f"/shop/{place}").text
        assert "<script>alert" not in page
        assert "<img src=x" not in page
        assert page.count("style=") == 0
    assert EVIL in text_of(shop.get("/shop/trials"))


@pytest.mark.parametrize(
    "place",
    ["/shop/boards/9", "/shop/nothing", "/shop/../p/x", "/shop/boards/-1", "/shop/trials/9"],
)
def test_what_is_not_there_is_said(shop, place):
    assert shop.get(place).status_code == 404


def test_acts_there_are_none_of_do_nothing(server, shop):
    shop.post("/shop/boards", data=BOARD)
    assert shop.post("/shop/boards/1/burn").status_code == 404
    assert shop.post("/shop/boards/9/delete").status_code == 404
    assert len(held(server, Board)) == 1


# -- trial bends --------------------------------------------------------------------------
def test_a_trial_bend_is_added_with_what_came_off(server, shop):
    more = {"m0 after": "1 h", "m0 radius": "431", "m2 after": "10 days", "m2 chord": "600",
            "m2 rise": "116"}  # fmt: skip
    shop.post("/shop/trials", data=TRIAL | more)
    ((_, trial),) = held(server, Trial)
    assert [(m.after_hours, m.radius, m.chord) for m in trial.measurements] == [
        (1.0, 431.0, None), (240.0, None, 600.0)
    ]  # fmt: skip
    page = text_of(shop.get("/shop/trials"))
    assert "White ash, steamed, one strip of 19 mm on a hollow face of radius 410 mm" in page
    assert "After 1 h: radius 431 mm, 4.8 % of the bend lost" in page
    assert "At ten days about" in page
    shop.post("/shop/trials/1/measure", data={"m0 after": "1 day", "m0 radius": "436"})
    assert len(held(server, Trial)[0][1].measurements) == 3
    shop.post("/shop/trials/1/delete")
    assert held(server, Trial) == ()


def test_a_form_from_the_shelf_gives_radius_and_side(server, shop):
    shop.post("/shop/forms", data={"name": "Round", "side": "convex", "radius": "428"})
    shop.post("/shop/trials", data=TRIAL | {"form": "1", "form_radius": ""})
    ((_, trial),) = held(server, Trial)
    assert (trial.form_radius, trial.side) == (428.0, "convex")
    assert trial.form == held(server, Form)[0][1].uid


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"treatment": "cold", "steam_minutes": "30 min"}, "bent cold with time in steam"),
        ({"soak_hours": "24 h"}, "only steamed that was soaked"),
        ({"broken": "yes", "m0 after": "1 h", "m0 radius": "431"}, "broke and was measured"),
        ({"m0 after": "1 h", "m0 radius": "300"}, "came off tighter"),
        ({"m0 after": "1 h", "m0 radius": "431", "m0 chord": "6"}, "given in two ways"),
        ({"m0 after": "1 h", "m0 chord": "600"}, "given in two ways"),
        ({"m0 after": "soon", "m0 radius": "431"}, "After"),
        ({"m0 after": "1 h", "m0 chord": "116", "m0 rise": "600"}, "swapped"),
        ({"form_radius": ""}, "Radius of the form's face is missing"),
        ({"form_radius": "3", "thickness": "19", "side": "convex"}, "radius"),
        ({"m0 after": "1 h", "m0 ends": "430"}, "not in the piece"),
        ({"board": "7"}, "no number '7'"),
    ],
)
def test_the_same_is_refused_as_by_the_command(server, shop, change, said):
    answer = shop.post("/shop/trials", data=TRIAL | change)
    assert answer.status_code == 400
    assert said in text_of(answer)
    assert held(server, Trial) == ()


def test_a_part_of_a_piece_fills_the_form_and_is_measured_end_to_end(server, shop):
    of = "hearth-rocker|crest"
    page = text_of(shop.get("/shop/trials", params={"of": of}))
    assert "Its trim marks are 460.3 mm apart on the form" in page
    filled = {n: re.search(rf'name="{n}" value="([^"]*)"', page)[1]
              for n in ("species", "thickness", "form_radius", "moisture")}  # fmt: skip
    assert filled == {"species": "White ash", "thickness": "19", "form_radius": "409.1",
                      "moisture": "17"}  # fmt: skip
    more = {"of": of, "m0 after": "1 day", "m0 ends": "466"}
    shop.post("/shop/trials", data=TRIAL | filled | more)
    (measured,) = held(server, Trial)[0][1].measurements
    assert measured.radius == pytest.approx(409.1 + 43.7, abs=3.0)


def test_strips_of_a_part_are_offered_one_kind_at_a_time(shop):
    of = "slatted-bench|rib"
    page = text_of(shop.get("/shop/trials", params={"of": of, "strips": "walnut 3"}))
    assert 'value="Black walnut"' in page
    assert 'name="thickness" value="3"' in page


@pytest.mark.parametrize("of", ["nothing|x", "../x|y", "hearth-rocker|nothing", "|", "x"])
def test_parts_there_are_none_of(shop, of):
    assert shop.get("/shop/trials", params={"of": of}).status_code in (200, 404)
    assert "Traceback" not in shop.get("/shop/trials", params={"of": of}).text


# -- what they teach ----------------------------------------------------------------------
def record_trials(shop):
    for radius, broken in (("431", ""), ("436", ""), ("", "yes")):
        more = {"broken": "yes"} if broken else {"m2 after": "10 days", "m2 radius": radius}
        shop.post("/shop/trials", data=TRIAL | more)


def test_what_is_learnt_is_said_and_drawn(shop):
    assert "Nothing is learnt yet" in shop.get("/shop/learnt").text
    record_trials(shop)
    page = text_of(shop.get("/shop/learnt"))
    assert re.search(r"White ash, steamed, thick, 19 mm: \d\.\d % lost \(.*guessed", page)
    assert page.count("<svg") == 2
    assert "style=" not in page
    assert "white ash, steamed, thick: outside tears" in page.casefold().replace("White", "white")


def test_the_switch_computes_what_the_command_computes_with_learnt(server, shop):
    record_trials(shop)
    with open_ledger(server.ledger) as book:
        state = shop_state(book)
    file = server.folder / "hearth-rocker.toml"
    part = open_plan(file, None, state).bent["crest"]
    plain = open_plan(file).bent["crest"]
    assert part.set.median != plain.set.median
    cookie = "; ".join(f"{k}={v}" for k, v in shop.cookies.items())
    head = {"Cookie": cookie, "Origin": server.root, "Sec-Fetch-Site": "same-origin"}
    place = f"ws://127.0.0.1:{server.port}/live/hearth-rocker"
    with connect(place, additional_headers=head, max_size=None, open_timeout=60) as line:
        view = {"part": "crest", "mode": "curve", "width": 180, "height": 110, "strip": 34}
        line.send(json.dumps({"type": "view", "seq": 1, "units": "mm", **view}))
        for learnt, wanted in ((False, plain), (True, part), (False, plain)):
            said = shop.post("/learnt/hearth-rocker", data={"on": "yes" if learnt else "no"})
            assert said.json()["on"] is learnt
            share = f"{100 * wanted.springback:.1f} %"
            assert answered(line, share), (learnt, share)
    assert shop.get("/learnt/hearth-rocker").json()["on"] is False


def answered(line, share, seconds=60.0):
    """Whether the section of the bends comes to say a share."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        message = json.loads(line.recv(timeout=seconds))
        lead = message.get("sections", {}).get("bends", {}).get("lead")
        if lead is not None and share in json.dumps(lead):
            return True
    return False


def test_a_trial_recorded_while_the_switch_is_on_counts_at_once(server, shop):
    shop.post("/learnt/hearth-rocker", data={"on": "yes"})
    assert shop.get("/learnt/hearth-rocker").json()["text"].startswith("The ledger holds no trial")
    record_trials(shop)
    assert "3 trial bends" in shop.get("/learnt/hearth-rocker").json()["text"]
    plan = json.loads(shop.get("/file/plan.json/hearth-rocker").text)
    assert "trial bend" in json.dumps(plan)
    shop.post("/learnt/hearth-rocker", data={"on": "no"})
    assert json.loads(shop.get("/file/plan.json/hearth-rocker").text) != plan


@pytest.mark.parametrize("id", ["../x", "nothing", quote("a/b/c")])
def test_the_switch_of_no_piece(shop, id):
    assert shop.post(f"/learnt/{id}", data={"on": "yes"}).status_code == 404
