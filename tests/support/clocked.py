"""The page's server in this process, on a clock that a test turns."""

from __future__ import annotations

import socket
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Lock, Thread

import httpx
import uvicorn

from overbend.web.app import make_app
from overbend.web.devices import Devices
from overbend.web.keys import Keys


class Clocked:
    """A server on a folder of projects and a ledger of its own; `ahead` turns its clock on.

    With `lan` it listens in every network it is in, as with `--lan`.
    """

    prefix = ""

    def __init__(self, folder: Path, *, lan: bool = False):
        self.folder, self.ahead, self.still = folder, 0.0, Lock()
        self.ledger = folder.with_name(f"{folder.name}.sqlite")
        line = socket.socket()
        line.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        line.bind(("0.0.0.0" if lan else "127.0.0.1", 0))
        self.port = line.getsockname()[1]
        self.keys = Keys(self.port)
        file = folder.with_name(f"{folder.name}.devices.json")
        self.devices = Devices(self.port, file, self.now) if lan else None
        app = make_app(folder, self.keys, ledger=self.ledger, devices=self.devices, now=self.now)
        config = uvicorn.Config(
            app, log_level="error", lifespan="on", ws="websockets-sansio",
            timeout_graceful_shutdown=1,
        )  # fmt: skip
        self.server = uvicorn.Server(config)
        self.thread = Thread(target=self.server.run, kwargs={"sockets": [line]}, daemon=True)
        self.thread.start()
        while not self.server.started:
            time.sleep(0.02)

    def now(self) -> float:
        with self.still:
            return time.time() + self.ahead

    @contextmanager
    def passing(self, seconds: float) -> Iterator[None]:
        """Turn the clock on; nobody is told the time until a page's clock is turned on as well."""
        with self.still:
            self.ahead += seconds
            yield

    @property
    def root(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def link(self) -> str:
        return f"{self.root}/start?token={self.keys.token}"

    @contextmanager
    def client(self) -> Iterator[httpx.Client]:
        """A client that opened the start link, as the maker's browser does."""
        with httpx.Client(base_url=self.root, timeout=60) as made:
            made.get(self.link)
            yield made

    def stop(self) -> None:
        self.server.should_exit = True
        self.thread.join(60)
