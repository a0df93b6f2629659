"""Hostile requests: other names, other sites, no cookie, too much, paths out of the folder."""

import json
import socket

import httpx
import pytest
from websockets.exceptions import InvalidStatus
from websockets.sync.client import connect

from support.browser import Server, stock


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    made = Server(stock(tmp_path_factory.mktemp("guarded") / "pieces", *NAMES))
    yield made
    made.stop()
    assert "Traceback" not in made.log, made.log


@pytest.fixture
def keys(server):
    """A client that opened the start link, as a browser does."""
    with httpx.Client(base_url=server.root, follow_redirects=False, timeout=60) as client:
        answer = client.get(server.link)
        assert answer.status_code == 303
        assert answer.headers["location"] == "/"
        cookie = answer.headers["set-cookie"]
        assert "HttpOnly" in cookie
        assert "SameSite=strict" in cookie
        yield client


NAMES = ("slatted-bench", "low-stool")
SAME = {"sec-fetch-site": "same-origin"}


def test_without_the_cookie_nothing_is_shown(server):
    for path in (
        "/", "/p/slatted-bench", "/schema.json", "/static/main.js", "/file/plan.json/x", "/shop",
        "/shop/boards", "/day", "/day/slatted-bench", "/phones", "/let-in", "/static/day.css",
    ):  # fmt: skip
        assert httpx.get(server.root + path, timeout=60).status_code == 403
    for path in ("/start?token=guess", "/start"):
        assert httpx.get(server.root + path, timeout=60).status_code == 403


def test_a_foreign_name_is_refused(server, keys):
    for host in ("evil.example", f"evil.example:{server.port}", "127.0.0.1", "127.0.0.1:1", ""):
        assert keys.get("/", headers={"host": host}).status_code in (400, 421)
    assert keys.get("/", headers={"host": f"localhost:{server.port}"}).status_code == 200


def test_foreign_origins_and_sites_are_refused(server, keys):
    form = {"example": "low-stool", "name": "Mine"}
    for headers in (
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": f"http://localhost:{server.port}"},  # one of our names, but not the one asked
        {"origin": f"https://127.0.0.1:{server.port}"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"sec-fetch-site": "none"},
    ):
        assert keys.post("/new", data=form, headers=headers).status_code == 403
    assert keys.get("/", headers={"sec-fetch-site": "cross-site"}).status_code == 403
    assert keys.get("/", headers={"sec-fetch-site": "none"}).status_code == 200
    assert not (server.folder / "mine").exists()
    good = keys.post("/new", data=form, headers={"origin": server.root, **SAME})
    assert good.headers["location"] == "/p/mine/mine"


def wire(server, keys, project="slatted-bench", **headers):
    cookie = "; ".join(f"{k}={v}" for k, v in keys.cookies.items())
    given = {"Cookie": cookie, "Sec-Fetch-Site": "same-origin", "Origin": server.root, **headers}
    return connect(
        f"ws://127.0.0.1:{server.port}/live/{project}",
        additional_headers={k: v for k, v in given.items() if v},
        open_timeout=60,
    )


def test_websockets_are_guarded_too(server, keys):
    for headers in (
        {"Origin": "http://evil.example"},
        {"Origin": ""},
        {"Cookie": ""},
        {"Sec-Fetch-Site": "cross-site"},
    ):
        with pytest.raises(InvalidStatus) as refused:
            wire(server, keys, **headers)
        assert refused.value.response.status_code == 403
    with wire(server, keys) as line:
        assert json.loads(line.recv())["type"] == "hello"


def test_every_answer_carries_the_policy(server, keys):
    for path in ("/", "/p/low-stool", "/static/main.js", "/nowhere"):
        headers = keys.get(path).headers
        assert "script-src 'self'" in headers["content-security-policy"]
        assert "unsafe" not in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
    page = keys.get("/p/low-stool").text
    assert "<script>" not in page
    assert "style=" not in page
    assert " onclick=" not in page


@pytest.mark.parametrize(
    "id",
    [
        "../outside", "..%2Foutside", "%2e%2e/outside", "trash/x", "a/b/c", "/etc/passwd",
        "..\\outside", "slatted-bench.toml", "slatted-bench%00", ".hidden", "x" * 300,
    ],
)  # fmt: skip
def test_paths_stay_in_the_folder(server, keys, id):
    (server.folder.parent / "outside.toml").write_text("name = 'secret'")
    for path in (f"/p/{id}", f"/file/project.toml/{id}"):
        answer = keys.get(path)
        assert answer.status_code == 404
        assert "secret" not in answer.text
    for act in ("copy", "rename", "delete"):
        data = {"id": id, "name": "x"}
        assert keys.post(f"/{act}", data=data, headers=SAME).status_code == 404


def test_a_link_out_of_the_folder_is_not_followed(server, keys):
    (server.folder.parent / "outside.toml").write_text("name = 'secret'")
    (server.folder / "inside.toml").symlink_to(server.folder.parent / "outside.toml")
    assert keys.get("/p/inside").status_code == 404
    assert "secret" not in keys.get("/").text


def test_bodies_are_capped_with_and_without_a_length(server, keys):
    big = b"x" * 6_000_000
    assert keys.post("/new", content=big, headers=SAME).status_code == 413
    chunked = (b"x" * 100_000 for _ in range(60))
    headers = {**SAME, "content-type": "application/x-www-form-urlencoded"}
    try:
        code = keys.post("/new", content=chunked, headers=headers).status_code
    except httpx.HTTPError:
        code = 400
    assert code >= 400


def test_who_is_gone_before_all_was_sent_is_no_error(lone):
    with httpx.Client(base_url=lone.root, timeout=60) as client:
        client.get(lone.link)
        answer = client.post("/new", data={"example": "low-stool", "name": "Mine"}, headers=SAME)
        assert answer.status_code == 303  # everything is imported
        cookie = "; ".join(f"{k}={v}" for k, v in client.cookies.items())
        head = (
            f"POST /new HTTP/1.1\r\nHost: 127.0.0.1:{lone.port}\r\nOrigin: {lone.root}\r\n"
            f"Cookie: {cookie}\r\nContent-Type: application/x-www-form-urlencoded\r\n"
            "Content-Length: 400\r\n\r\nname=Half"
        )
        with socket.create_connection(("127.0.0.1", lone.port)) as line:
            line.sendall(head.encode())
            client.get("/").raise_for_status()  # the line is listened to by now
        client.get("/").raise_for_status()
    lone.stop()
    assert "Traceback" not in lone.log
    assert "Exception" not in lone.log


def test_only_this_machine_is_listened_to(server):
    with socket.socket() as line:
        line.settimeout(0.5)
        others = {i[4][0] for i in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}
        for address in others - {"127.0.0.1"}:
            assert address.startswith("127.") or line.connect_ex((address, server.port)) != 0


def test_the_start_link_leads_to_our_own_pages_only(server):
    for wanted in ("//evil.example", "http://evil.example", "/p/../x", "/p/x%0d%0aset-cookie:a"):
        answer = httpx.get(f"{server.link}&open={wanted}", follow_redirects=False, timeout=60)
        assert answer.headers["location"] == "/"
    answer = httpx.get(f"{server.link}&open=/p/low-stool", follow_redirects=False, timeout=60)
    assert answer.headers["location"] == "/p/low-stool"


NONSENSE = [
    "nothing", "[]", "3", '{"type": "pull"}', '{"type": "view", "seq": 1, "width": "x"}',
    '{"type": "nothing", "seq": 1}', '{"type": "type", "seq": 1, "key": 5, "text": "x"}',
    '{"type": "type", "seq": 1, "key": "part.rib.__class__.x", "text": "x"}',
    '{"type": "put", "seq": 1, "key": "a.b.c", "value": {"x": [1, {"y": null}]}}',
    '{"type": "put", "seq": 1, "key": "curve", "value": null}',
    '{"type": "element", "seq": 1, "act": "remove", "key": "part", "index": 0}',
    '{"type": "element", "seq": 1, "act": "insert", "key": "curve.rib.through", "index": 99}',
    '{"type": "view", "seq": 1, "mode": "x", "width": 1, "height": 1, "strip": 1}',
    '{"type": "pull", "seq": 1e400, "handle": "point.0", "x": 1, "y": 1}',
    '{"type": "text", "seq": 1, "base": -1, "text": "x"}', "[" * 5000,
]  # fmt: skip


def test_nonsense_is_refused_and_the_line_stays_up(server, keys):
    before = (server.folder / "slatted-bench.toml").read_text()
    with wire(server, keys) as line:
        for nonsense in NONSENSE:
            line.send(nonsense)
            while json.loads(line.recv(timeout=60))["type"] not in ("refused", "behind"):
                pass
        line.send('{"type": "type", "seq": 9, "key": "name", "text": "Still here"}')
        while True:
            message = json.loads(line.recv(timeout=60))
            if message["type"] == "text" and "Still here" in message["text"]:
                break
    assert before.replace("Slatted bench", "Still here") == message["text"]
