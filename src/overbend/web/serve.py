"""Start the server on this machine and open the browser."""

from __future__ import annotations

import contextlib
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path
from urllib.parse import quote

from overbend.errors import OutputError
from overbend.web.devices import Devices
from overbend.web.keys import Keys
from overbend.web.words import words

__all__ = ["PORT", "serve"]

PORT = 8737
"""Port that is tried first when none is asked for."""

_HOST = "127.0.0.1"  # this machine only
_ANY = "0.0.0.0"  # every network, only when asked for with --lan
_TURN = 0.001  # s that a thread computes before another that waits has its turn
_LARGEST_MESSAGE = 4_000_000  # bytes of one websocket message


def serve(
    place: Path,
    port: int | None = None,
    *,
    browser: bool = True,
    lan: bool = False,
    ledger: Path | None = None,
    say: Callable[[str], None] = print,
) -> None:
    """Serve a folder of projects until Ctrl+C.

    Parameters
    ----------
    place : the folder, or a project file in it that is opened at once.
    port : to listen on; None: 8737, or a free one when that is taken.
    browser : whether to open it.
    lan : whether other devices in the network may be let in to the day's pages.
    ledger : file of the shop's ledger; None: where the command keeps it.
    say : prints the link.

    Raises
    ------
    OutputError
        When the port is taken or the folder cannot be made.
    """
    folder, wanted = _place(place)
    listening = _listen(port, _ANY if lan else _HOST)
    keys = Keys(listening.getsockname()[1])
    link = f"http://{_HOST}:{keys.port}/start?token={keys.token}{wanted}"
    devices = _devices(keys.port, ledger, say) if lan else None
    say(words("served", link=link, folder=folder.resolve()))
    if browser:
        threading.Timer(0.1, _open, (link,)).start()
    _run(folder, keys, listening, ledger, devices)


def _devices(port: int, ledger: Path | None, say: Callable[[str], None]) -> Devices:
    """Who else may be let in; says the address and a first code."""
    from overbend.ledger import default_path
    from overbend.web.shop.phones import addresses, qr_terminal

    place = ledger or default_path()
    devices = Devices(port, place.with_name(f"{place.name}.devices.json"))
    code = devices.fresh_code()
    places = [f"http://{a}:{port}/let-in" for a in addresses()]
    if places:
        say(qr_terminal(f"{places[0]}?code={code}"))
    say(words("served.lan", places=" or ".join(places) or words("served.nowhere"), code=code))
    return devices


def _run(
    folder: Path,
    keys: Keys,
    listening: socket.socket,
    ledger: Path | None,
    devices: Devices | None,
) -> None:
    """Answer on a socket; the browser, already asked to open, waits for what is imported here."""
    import uvicorn

    from overbend.web.app import make_app

    app = make_app(folder, keys, ledger=ledger, devices=devices)
    config = uvicorn.Config(
        app, log_level="warning", ws="websockets-sansio", ws_max_size=_LARGEST_MESSAGE,
        ws_per_message_deflate=False,  # to this machine it only costs time
        server_header=False, date_header=False, lifespan="on", timeout_graceful_shutdown=3,
    )  # fmt: skip
    server = uvicorn.Server(config)
    sys.setswitchinterval(_TURN)
    with contextlib.suppress(KeyboardInterrupt):
        server.run(sockets=[listening])


def _place(place: Path) -> tuple[Path, str]:
    """The folder to serve, and what the link adds to open one project of it."""
    if place.suffix == ".toml" and place.is_file():
        return place.parent, f"&open={quote(f'/p/{place.stem}')}"
    try:
        place.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            f"the folder cannot be made: {error.strerror or error}", str(place)
        ) from error
    return place, ""


def _listen(port: int | None, host: str = _HOST) -> socket.socket:
    """A socket bound to this machine only, or to every network it is in."""
    for wanted in (PORT, 0) if port is None else (port,):
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):  # on Windows another program could share it
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((host, wanted))
            listening.listen(128)  # from here on a browser waits instead of being refused
            return listening
        except (OSError, OverflowError) as error:
            listening.close()
            failed = error
    raise OutputError(
        f"port {port} cannot be used: {failed}", "--port", todo="leave it out, or name another"
    )


def _open(link: str) -> None:
    """Open the browser, if there is one."""
    with contextlib.suppress(webbrowser.Error):
        webbrowser.open(link)
