"""A server as a program of its own, and a tab of a browser that notes every error."""

from __future__ import annotations

import os
import random
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
import tomllib
from contextlib import suppress
from pathlib import Path
from threading import Thread

import httpx

from support.pieces import ROOT

PIECES = ROOT / "tests" / "web" / "pieces"
"""Pieces that stay as they are when the examples grow."""
SECONDS = 60.0
"""How long is waited for what is certain to come; a busy machine takes its time."""

WIRE = """
window.wire = { asked: 0, size: [NaN, NaN] };
{
  const known = new WeakSet(), send = WebSocket.prototype.send;
  const silent = (m) => ['open', 'saw'].includes(m.type) || (m.act === 'points' && !m.use);
  const heard = (e) => { if (/^.{1,9}(refused|behind)"/.test(e.data)) window.wire.asked = 0; };
  WebSocket.prototype.send = function (data) {
    const message = JSON.parse(data);
    if (!known.has(this)) this.addEventListener('message', heard);
    known.add(this);
    if (!silent(message)) window.wire.asked = message.seq;
    if (message.type === 'view') window.wire.size = [message.width, message.height];
    return send.call(this, data);
  };
}
"""
"""Notes the last request that will be answered, and the size of the sheet the server knows."""

ANSWERED = """() => {
  const { asked, size } = window.wire, mm = 96 / 25.4;
  const sheet = document.querySelector('#sheet').getBoundingClientRect();
  return Number(document.documentElement.dataset.seq) >= asked
    && Math.abs(sheet.width / mm - size[0]) + Math.abs(sheet.height / mm - size[1]) < 1e-6;
}"""
RESTS = "() => document.documentElement.dataset.stage === 'full'"
SAVED = "() => !['', 'not saved yet'].includes(document.querySelector('#saved').textContent)"


def quiet_port() -> int:
    """A port that no other program is given by chance while its server is down."""
    try:
        first = int(Path("/proc/sys/net/ipv4/ip_local_port_range").read_text().split()[0])
    except OSError:
        return 0
    for port in (
        random.SystemRandom().sample(range(first - 9000, first), 20) if first > 11000 else ()
    ):
        with socket.socket() as line, suppress(OSError):
            line.bind(("0.0.0.0", port))
            return port
    return 0


class Server:
    """`overbend serve` as a program of its own, on a folder."""

    prefix = ""

    def __init__(self, folder: Path, port: int = 0, *more: str):
        self.folder, self.port, self.link, self.log = folder, port or quiet_port(), "", ""
        self.ledger, self.more = folder.with_name(f"{folder.name}.sqlite"), more
        self.start()

    def start(self):
        args = [sys.executable, "-m", "overbend", "serve", str(self.folder), "--no-browser"]
        self.process = subprocess.Popen(
            [*args, "--port", str(self.port), *self.more],
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
            env={**os.environ, "PYTHONUNBUFFERED": "1", "OVERBEND_LEDGER": str(self.ledger)},
        )  # fmt: skip
        for line in self.process.stdout:
            self.log += line
            found = re.search(r"http://127\.0\.0\.1:(\d+)/start\?token=\S+", line)
            if found:
                self.link, self.port = found[0], int(found[1])
            if "Ctrl+C" in line:
                break
        self.listener = Thread(target=self._listen, daemon=True)
        self.listener.start()
        # the link is printed before everything is imported: until then a request waits
        assert httpx.get(self.root, timeout=SECONDS).status_code == 403
        return self

    def _listen(self):
        for line in self.process.stdout:
            self.log += line

    @property
    def root(self):
        return f"http://127.0.0.1:{self.port}"

    def kill(self):
        """End it without a word, as a power cut would."""
        self.process.kill()
        self._over()

    def _over(self):
        self.process.wait()
        self.listener.join(SECONDS)
        self.process.stdout.close()

    def stop(self):
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
            with suppress(subprocess.TimeoutExpired):
                self.process.wait(20)
            if self.process.poll() is None:
                self.process.kill()
            self._over()


def stock(folder: Path, *names: str) -> Path:
    folder.mkdir(exist_ok=True)
    for name in names:
        shutil.copy(PIECES / f"{name}.toml", folder)
    return folder


def rewrite(path: Path, text: str):
    """Change a file as an editor does that never leaves half of it."""
    fresh = path.with_name(f".{path.name}.new")
    fresh.write_text(text)
    fresh.replace(path)


class Corner:
    """A folder of one's own in a server that several share."""

    def __init__(self, server: Server, folder: Path):
        self.server, self.folder, self.link = server, folder, server.link
        self.root, self.port, self.prefix = server.root, server.port, f"{folder.name}/"


class Tab:
    """A page that notes every error and every address it asks."""

    def __init__(self, context, server: Server):
        self.context, self.server = context, server
        self.page = context.new_page()
        self.page.set_default_timeout(1000 * SECONDS)
        self.page.add_init_script(WIRE)
        self.errors, self.asked = [], []
        self.page.on("pageerror", lambda e: self.errors.append(str(e)))
        self.page.on("console", self._console)
        self.page.on("request", lambda r: self.asked.append(r.url))

    def _console(self, message):
        if message.type == "error":
            self.errors.append(message.text)

    def open(self, project: str):
        self.page.goto(self.server.link)
        self.page.goto(f"{self.server.root}/p/{self.server.prefix}{project}")
        self.page.wait_for_selector("#section-book")
        return self.rest()

    def answered(self):
        """Wait until the page shows the answer to the last that it asked, at its size now."""
        self.until(ANSWERED)
        return self

    def rest(self):
        """Wait until the slow answers are there too."""
        self.until(f"() => ({ANSWERED})() && ({RESTS})()")
        return self

    def saved(self):
        """Wait until the file holds what the page shows."""
        self.rest().until(SAVED)
        return self

    def until(self, script: str, arg=None, seconds: float = SECONDS):
        """Wait for a function in the page; its policy allows no string to be run there.

        What the function looks at may not be there yet, and the page may be on its way to another.
        """
        from playwright.sync_api import Error

        def there():
            try:
                return self.page.evaluate(script, arg)
            except Error as error:
                raise LookupError(script) from error

        self.waits_for(there, seconds)

    def section(self, name: str):
        """Open a section of the notes."""
        opener = self.page.locator(f"[data-open={name}]")
        if opener.get_attribute("aria-expanded") == "false":
            opener.click()
        return self.page.locator(f"#section-{name}")

    def text(self, file: str) -> str:
        return (self.server.folder / f"{file}.toml").read_text()

    def waits_for(self, what, seconds: float = SECONDS):
        """Wait for something that is no part of the page, such as a file that may not be there."""
        until, why = time.monotonic() + seconds, None
        while True:
            try:
                if what():
                    return
            except (OSError, LookupError, ValueError) as error:
                why = error
            if time.monotonic() > until:
                raise AssertionError("waited in vain") from why
            self.page.wait_for_timeout(50)


def point(tab, i):
    box = tab.page.locator(f'.handle[data-id="point.{i}"]').bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def drag(tab, i, dx, dy, drop=True):
    x, y = point(tab, i)
    tab.page.mouse.move(x, y)
    tab.page.mouse.down()
    tab.page.mouse.move(x + dx / 2, y + dy / 2, steps=4)
    tab.page.mouse.move(x + dx, y + dy, steps=4)
    if drop:
        tab.page.mouse.up()


def through(tab, i):
    return tomllib.loads(tab.text("slatted-bench"))["curve"]["rib"]["through"][i]
