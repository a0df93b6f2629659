"""Other devices that may see the day's pages: a code used once, a cookie, a list to strike from.

Only with `--lan`. A code holds for ten minutes and for one device; after a few wrong guesses it
is void. What a device is given is kept as a hash beside the ledger, so that a phone in the shop
goes on after the server was started again.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import os
import secrets
import time
from collections import deque
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from http.cookies import CookieError, SimpleCookie
from pathlib import Path
from typing import Literal

__all__ = ["CODE_SECONDS", "DEVICE_DAYS", "Device", "Devices"]

CODE_SECONDS = 600.0
"""How long a code holds [s]."""
DEVICE_DAYS = 14.0
"""How long a device stays let in [days]."""
_GUESSES = 5  # wrong ones that a code stands
_TRIES, _WINDOW = 10, 60.0  # tries from anywhere in so many seconds
_LETTERS = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"  # none that look alike
_MOST = 20  # devices

Answer = Literal["in", "wrong", "many"]


@dataclass(frozen=True)
class Device:
    """A device that was let in: what it is called, since when, and the hash of its cookie."""

    id: str
    name: str
    since: float
    secret: str


@dataclass
class _Code:
    text: str
    until: float
    wrong: int = 0


@dataclass
class Devices:
    """Who else is let in.

    Parameters
    ----------
    port : the server listens on.
    file : where the list is kept; None: nowhere.
    now : seconds since 1970.

    Examples
    --------
    >>> devices = Devices(8737)
    >>> code = devices.fresh_code()
    >>> devices.let_in("wrong", "phone")[0], devices.let_in(code, "phone")[0]
    ('wrong', 'in')
    >>> devices.let_in(code, "another")[0]
    'wrong'
    """

    port: int
    file: Path | None = None
    now: Callable[[], float] = time.time
    _held: dict[str, Device] = field(default_factory=dict)
    _code: _Code | None = None
    _tries: deque[float] = field(default_factory=deque)

    def __post_init__(self) -> None:
        self._held = self._load()

    @property
    def cookie(self) -> str:
        """Name of a device's cookie."""
        return f"overbend-device-{self.port}"

    # -- the code ----------------------------------------------------------------------
    def fresh_code(self) -> str:
        """Make a code; the one before it is void."""
        letters = "".join(secrets.choice(_LETTERS) for _ in range(10))
        self._code = _Code(f"{letters[:5]}-{letters[5:]}", self.now() + CODE_SECONDS)
        return self._code.text

    @property
    def code(self) -> tuple[str, float] | None:
        """The code that holds now and the seconds it has left; None without one."""
        if self._code is None or self.now() >= self._code.until:
            return None
        return self._code.text, self._code.until - self.now()

    def let_in(self, code: str, name: str) -> tuple[Answer, str]:
        """Exchange a code for a cookie's value.

        Returns
        -------
        ``in`` with the value; ``wrong`` for a code that does not hold; ``many`` when too much
        was tried of late.
        """
        if self._tried_often():
            return "many", ""
        held = self._code if self.code is not None else None
        if held is None or not hmac.compare_digest(_plain(code), _plain(held.text)):
            if held is not None:
                held.wrong += 1
                self._code = None if held.wrong >= _GUESSES else held
            return "wrong", ""
        self._code = None
        secret = secrets.token_urlsafe(32)
        id = secrets.token_hex(8)
        shown = " ".join(name.split())[:60] or "?"
        self._held[id] = Device(id, shown, self.now(), _hash(secret))
        while len(self._held) > _MOST:
            del self._held[next(iter(self._held))]
        self._save()
        return "in", f"{id}.{secret}"

    def _tried_often(self) -> bool:
        now = self.now()
        while self._tries and now - self._tries[0] > _WINDOW:
            self._tries.popleft()
        if len(self._tries) >= _TRIES:
            return True
        self._tries.append(now)
        return False

    # -- the list ----------------------------------------------------------------------
    @property
    def held(self) -> list[Device]:
        """Devices let in, the last first."""
        return [d for d in reversed(self._held.values()) if self._fresh(d)]

    def strike(self, id: str) -> None:
        """Take a device off the list; from now on it is refused."""
        if self._held.pop(id, None) is not None:
            self._save()

    def knows(self, cookies: Iterable[str]) -> Device | None:
        """Device that one of some cookie headers belongs to."""
        for header in cookies:
            jar: SimpleCookie = SimpleCookie()
            with suppress(CookieError):
                jar.load(header)
            if self.cookie in jar:
                id, _, secret = jar[self.cookie].value.partition(".")
                device = self._held.get(id)
                good = device is not None and hmac.compare_digest(_hash(secret), device.secret)
                if device is not None and good and self._fresh(device):
                    return device
        return None

    def _fresh(self, device: Device) -> bool:
        return 0.0 <= self.now() - device.since + 60.0 < DEVICE_DAYS * 86400.0

    # -- the file ----------------------------------------------------------------------
    def _load(self) -> dict[str, Device]:
        """Read the list; one that does not read lets nobody in."""
        if self.file is None:
            return {}
        try:
            found = json.loads(self.file.read_text("utf-8"))
            devices = [Device(str(d["id"]), str(d["name"]), float(d["since"]), str(d["secret"]))
                       for d in found]  # fmt: skip
        except (OSError, ValueError, KeyError, TypeError):
            return {}
        return {d.id: d for d in devices[-_MOST:]}

    def _save(self) -> None:
        """Write the list, for its owner's eyes only."""
        if self.file is None:
            return
        fresh = self.file.with_name(f"{self.file.name}.new")
        with suppress(OSError):
            self.file.parent.mkdir(parents=True, exist_ok=True)
            fresh.unlink(missing_ok=True)
            number = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(number, "w", encoding="utf-8") as stream:
                json.dump([asdict(d) for d in self._held.values()], stream)
            fresh.replace(self.file)


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def _plain(code: str) -> bytes:
    """A code without hyphens, blanks and the difference of small letters."""
    return "".join(c for c in code.upper() if c.isalnum())[:40].encode()
