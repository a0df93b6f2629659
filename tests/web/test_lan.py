"""Other devices: let in by a code used once, held to the day's pages, struck off at once."""

import json
import re
import socket
import stat

import httpx
import pytest
from websockets.exceptions import InvalidStatus
from websockets.sync.client import connect

from overbend.web.devices import CODE_SECONDS, DEVICE_DAYS, Devices
from overbend.web.shop.phones import addresses, qr_svg, qr_terminal
from support.browser import Server, stock
from support.clocked import Clocked

NAMES = ("hearth-rocker", "low-stool")
FAR = (addresses() or ["127.0.0.2"])[0]


@pytest.fixture
def server(tmp_path):
    made = Clocked(stock(tmp_path / "pieces", *NAMES), lan=True)
    yield made
    made.stop()


@pytest.fixture
def far(server):
    """A device in the network, not let in yet."""
    root = f"http://{FAR}:{server.port}"
    with httpx.Client(base_url=root, headers={"origin": root}, timeout=60) as client:
        yield client


def give(far, code, name="tablet"):
    return far.post("/let-in", data={"code": code, "name": name})


@pytest.fixture
def phone(server, far):
    """A device that was let in."""
    assert give(far, server.devices.fresh_code()).headers["location"] == "/day"
    return far


# -- the code -----------------------------------------------------------------------------
class Clock:
    now = 1e9

    def __call__(self):
        return self.now


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def devices(clock, tmp_path):
    return Devices(8737, tmp_path / "devices.json", clock)


def cookie(devices, value):
    return [f"other=1; {devices.cookie}={value}"]


def test_a_code_lets_one_device_in(devices):
    code = devices.fresh_code()
    answer, value = devices.let_in(code.replace("-", " ").lower(), "  My   phone ")
    assert answer == "in"
    assert devices.knows(cookie(devices, value)).name == "My phone"
    assert devices.let_in(code, "another") == ("wrong", "")
    assert devices.code is None


def test_a_code_runs_out(devices, clock):
    code = devices.fresh_code()
    clock.now += CODE_SECONDS - 1.0
    assert devices.code[1] == pytest.approx(1.0)
    clock.now += 1.0
    assert devices.code is None
    assert devices.let_in(code, "late")[0] == "wrong"


def test_a_fresh_code_ends_the_one_before(devices):
    first, second = devices.fresh_code(), devices.fresh_code()
    assert first != second
    assert devices.let_in(first, "x")[0] == "wrong"
    assert devices.let_in(second, "x")[0] == "in"


def test_five_wrong_guesses_end_a_code(devices):
    code = devices.fresh_code()
    for _ in range(5):
        assert devices.let_in("AAAAA-AAAAA", "x")[0] == "wrong"
    assert devices.let_in(code, "x")[0] == "wrong"


def test_ten_tries_a_minute_are_the_most(devices, clock):
    answers = [devices.let_in("AAAAA-AAAAA", "x")[0] for _ in range(12)]
    assert answers == ["wrong"] * 10 + ["many"] * 2
    code = devices.fresh_code()
    assert devices.let_in(code, "x")[0] == "many"
    clock.now += 61.0
    assert devices.let_in(code, "x")[0] == "in"


@pytest.mark.parametrize("code", ["", "-", " ", "AAAAA-AAAA", "x" * 500, "\u0661" * 10])
def test_what_is_no_code_lets_nobody_in(devices, code):
    devices.fresh_code()
    assert devices.let_in(code, "x")[0] == "wrong"
    assert devices.let_in("", "x")[0] == "wrong"


def test_codes_are_long_and_differ():
    codes = {Devices(1).fresh_code() for _ in range(200)}
    assert len(codes) == 200
    assert all(re.fullmatch(r"[A-HJKMNP-Z2-9]{5}-[A-HJKMNP-Z2-9]{5}", c) for c in codes)


def test_a_device_struck_off_or_too_old_is_not_known(devices, clock):
    _, first = devices.let_in(devices.fresh_code(), "one")
    _, second = devices.let_in(devices.fresh_code(), "two")
    devices.strike(devices.knows(cookie(devices, first)).id)
    assert devices.knows(cookie(devices, first)) is None
    assert [d.name for d in devices.held] == ["two"]
    clock.now += DEVICE_DAYS * 86400.0
    assert devices.knows(cookie(devices, second)) is None
    assert devices.held == []


def test_the_list_is_there_after_a_new_start_without_the_secrets(devices, clock):
    _, value = devices.let_in(devices.fresh_code(), "one")
    again = Devices(8737, devices.file, clock)
    assert again.knows(cookie(again, value)).name == "one"
    assert value.partition(".")[2] not in devices.file.read_text()
    assert stat.S_IMODE(devices.file.stat().st_mode) == 0o600
    again.strike(again.held[0].id)
    assert Devices(8737, devices.file, clock).held == []


@pytest.mark.parametrize("text", ["", "nothing", "{}", "[3]", '[{"id": "a"}]', "[[]]"])
def test_a_list_that_does_not_read_lets_nobody_in(tmp_path, text):
    (tmp_path / "d.json").write_text(text)
    assert Devices(1, tmp_path / "d.json").held == []


@pytest.mark.parametrize("value", ["", ".", "x", "x.y", "\0", "a" * 5000])
def test_made_up_cookies_are_not_known(devices, value):
    devices.let_in(devices.fresh_code(), "one")
    known = devices.held[0].id
    assert devices.knows(cookie(devices, value)) is None
    assert devices.knows(cookie(devices, f"{known}.")) is None
    assert devices.knows(cookie(devices, f"{known}.guess")) is None


def test_the_picture_is_plain(tmp_path):
    picture = qr_svg("http://192.168.1.20:8737/let-in?code=ABCDE-FGHJK")
    assert "style" not in picture
    assert picture.startswith("<svg")
    assert len({len(row) for row in qr_terminal("http://192.168.1.20").splitlines() if row}) == 1


# -- the door -----------------------------------------------------------------------------
def test_from_afar_nothing_but_the_door_is_seen(far, server):
    for place in ("/", "/day", "/day/hearth-rocker", "/p/hearth-rocker", "/shop", "/phones"):
        answer = far.get(place)
        assert (answer.status_code, answer.headers["location"]) == (303, "/let-in")
    assert far.get("/let-in").status_code == 200
    for place in ("/static/day.css", "/static/tokens.css", "/static/page.css", "/static/theme.js"):
        assert far.get(place).status_code == 200
    assert far.get("/static/day.js").status_code == 303
    assert far.post("/day-begin/hearth-rocker", data={"part crest": "1"}).status_code == 403


def test_looking_at_the_door_uses_no_code_up(far, server):
    code = server.devices.fresh_code()
    assert code in far.get(f"/let-in?code={code}").text
    assert give(far, code).status_code == 303


def test_the_cookie_is_closed_to_scripts_and_other_sites(far, server):
    said = give(far, server.devices.fresh_code()).headers["set-cookie"]
    assert "HttpOnly" in said
    assert "SameSite=strict" in said


def test_wrong_reused_and_expired_codes(far, server):
    code = server.devices.fresh_code()
    assert give(far, "WRONG-CODES").status_code == 403
    assert give(far, code).status_code == 303
    far.cookies.clear()
    assert give(far, code).status_code == 403
    late = server.devices.fresh_code()
    server.ahead += 601.0
    assert give(far, late).status_code == 403
    assert [give(far, "WRONG-CODES").status_code for _ in range(12)][-1] == 429


def test_the_start_link_and_the_makers_cookie_are_nothing_from_afar(far, server):
    assert far.get(f"/start?token={server.keys.token}").headers["location"] == "/let-in"
    far.cookies.set(server.keys.name, server.keys.cookie)
    for place in ("/", "/p/hearth-rocker", "/shop/boards", "/phones"):
        assert far.get(place).headers["location"] == "/let-in"


# -- a device that was let in -------------------------------------------------------------
def test_a_device_reaches_the_day_and_nothing_else(phone, server):
    for place in ("/day", "/day/hearth-rocker", "/static/day.js", "/favicon.ico"):
        assert phone.get(place).status_code == 200
    for place in (
        "/", "/p/hearth-rocker", "/shop", "/shop/boards", "/shop/trials", "/shop/learnt",
        "/phones", "/schema.json", "/file/project.toml/hearth-rocker", "/learnt/hearth-rocker",
        "/day/../p/hearth-rocker", "/day/%2e%2e/p/hearth-rocker", "/dayx", "/plotly.js",
    ):  # fmt: skip
        answer = phone.get(place)
        assert answer.status_code in (403, 404), place
        assert "Hearth rocker" not in answer.text


def test_a_device_changes_nothing_but_the_day(phone, server):
    before = sorted(p.name for p in server.folder.iterdir())
    for place, data in (
        ("/new", {"example": "low-stool", "name": "Mine"}), ("/delete", {"id": "low-stool"}),
        ("/rename", {"id": "low-stool", "name": "x"}), ("/copy", {"id": "low-stool"}),
        ("/shop/boards", {"species": "ash"}), ("/shop/boards/1/delete", {}),
        ("/shop/trials/1/delete", {}), ("/phones/code", {}), ("/phones/strike", {"id": "x"}),
        ("/learnt/low-stool", {"on": "yes"}), ("/book/low-stool", {}),
        ("/drawing/low-stool", {}),
    ):  # fmt: skip
        assert phone.post(place, data=data).status_code == 403, place
    assert sorted(p.name for p in server.folder.iterdir()) == before
    assert len(server.devices.held) == 1


def test_a_device_opens_no_line_to_a_piece(phone, server):
    head = {"Cookie": "; ".join(f"{k}={v}" for k, v in phone.cookies.items()),
            "Origin": f"http://{FAR}:{server.port}"}  # fmt: skip
    with pytest.raises(InvalidStatus) as refused:
        connect(f"ws://{FAR}:{server.port}/live/hearth-rocker", additional_headers=head)
    assert refused.value.response.status_code == 403


def test_a_device_ticks_and_its_name_stands_by_it(phone):
    begun = phone.post("/day-begin/hearth-rocker", data={"part crest": "1"})
    assert begun.status_code == 303
    event = {"uid": "a" * 32, "at": 1.0, "what": "tick", "step": "cautions", "text": "",
             "who": "the queen"}  # fmt: skip
    said = phone.post("/day-events/hearth-rocker", json={"run": 1, "events": [event]}).json()
    assert [e["who"] for e in said["events"]] == ["tablet"]


def test_a_device_struck_off_is_refused_at_the_next_step(phone, server):
    assert phone.get("/day").status_code == 200
    with server.client() as maker:
        page = maker.get("/phones").text
        assert "tablet" in page
        maker.post("/phones/strike", data={"id": re.search(r'name="id" value="(\w+)"', page)[1]})
    assert phone.get("/day").headers["location"] == "/let-in"
    body = {"run": 1, "events": []}
    assert phone.post("/day-events/hearth-rocker", json=body).status_code == 403


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"}, {"origin": "null"}, {"origin": ""},
        {"origin": "https://" + FAR}, {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)  # fmt: skip
def test_other_sites_may_not_send_for_a_device(phone, headers):
    data = {"part crest": "1"}
    assert phone.post("/day-begin/hearth-rocker", data=data, headers=headers).status_code == 403


def test_without_an_origin_nothing_is_sent_from_afar(phone):
    del phone.headers["origin"]
    assert phone.post("/day-begin/hearth-rocker", data={"part crest": "1"}).status_code == 403
    assert phone.get("/day").status_code == 200


def test_only_this_machines_own_address_is_a_name(phone, server):
    for host in ("evil.example", f"evil.example:{server.port}", FAR, f"{FAR}:1",
                 f"127.0.0.1:{server.port}" if FAR != "127.0.0.2" else "x",
                 f"192.168.77.77:{server.port}", f"localhost:{server.port}."):  # fmt: skip
        assert phone.get("/day", headers={"host": host}).status_code in (400, 421), host


def test_huge_bodies_are_refused(phone):
    big = b"x" * 400_000
    assert phone.post("/day-events/hearth-rocker", content=big).status_code == 413
    chunked = (b"x" * 50_000 for _ in range(8))
    try:
        code = phone.post("/day-events/hearth-rocker", content=chunked).status_code
    except httpx.HTTPError:
        code = 400
    assert code >= 400


def test_every_answer_carries_the_policy(far):
    for place in ("/let-in", "/day", "/static/day.css"):
        assert "script-src 'self'" in far.get(place).headers["content-security-policy"]
    page = far.get('/let-in?code="><script>alert(1)</script>').text
    assert "<script>alert" not in page


# -- asked for, and only then -------------------------------------------------------------
def test_without_lan_no_other_address_is_listened_to(tmp_path):
    made = Clocked(stock(tmp_path / "pieces", "low-stool"))
    try:
        for address in {*addresses(), "127.0.0.2"}:
            with socket.socket() as line:
                line.settimeout(0.5)
                assert line.connect_ex((address, made.port)) != 0
        with made.client() as maker:
            page = maker.get("/phones").text
            assert "overbend serve --lan" in page
            assert maker.post("/let-in", data={"code": "x", "name": "y"}).status_code == 404
            assert maker.get("/", headers={"host": f"{FAR}:{made.port}"}).status_code == 421
    finally:
        made.stop()


def test_the_command_prints_address_code_picture_and_warning(tmp_path):
    made = Server(stock(tmp_path / "pieces", "hearth-rocker"), 0, "--lan")
    try:
        code = re.search(r"code ([A-Z2-9]{5}-[A-Z2-9]{5})", made.log)[1]
        assert "not encrypted" in made.log
        assert "█" in made.log
        root = f"http://{FAR}:{made.port}"
        with httpx.Client(base_url=root, headers={"origin": root}, timeout=60) as far:
            assert give(far, code).status_code == 303
            far.post("/day-begin/hearth-rocker", data={"part crest": "1"})
            made.kill()
            made.start()
            answer = far.get("/day-state/hearth-rocker?run=1")
            assert answer.status_code == 200
            assert json.loads(answer.text)["events"] == []
    finally:
        made.stop()
    assert "Traceback" not in made.log
