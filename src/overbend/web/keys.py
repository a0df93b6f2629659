"""What opens the page: a token in the start link, exchanged for a cookie."""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Iterable
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie

__all__ = ["Keys"]


@dataclass(frozen=True)
class Keys:
    """What opens the page: the token in the start link, and the cookie it is exchanged for.

    Parameters
    ----------
    port : the server listens on; cookies do not tell ports apart, so their name does.
    token, cookie : long random texts.
    """

    port: int
    token: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    cookie: str = field(default_factory=lambda: secrets.token_urlsafe(24))

    @property
    def name(self) -> str:
        """Name of the cookie."""
        return f"overbend-{self.port}"

    @property
    def hosts(self) -> tuple[str, ...]:
        """Names this server may be called by."""
        return tuple(f"{name}:{self.port}" for name in ("127.0.0.1", "localhost", "[::1]"))

    def opens(self, cookies: Iterable[str]) -> bool:
        """Whether one of some cookie headers carries ours."""
        for header in cookies:
            jar: SimpleCookie = SimpleCookie()
            try:
                jar.load(header)
            except CookieError:
                continue
            if self.name in jar and hmac.compare_digest(
                jar[self.name].value.encode(), self.cookie.encode()
            ):
                return True
        return False
