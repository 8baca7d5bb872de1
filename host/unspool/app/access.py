"""Access: who may look on and who may change things when the pages are shared on a network.

People at this computer may do everything. Others only look on until they give the PIN that the
terminal shows. A PIN is short, so wrong ones are answered more and more slowly, for everybody.
"""

from __future__ import annotations

import socket
import time
from collections.abc import Callable
from http.cookies import CookieError, SimpleCookie
from ipaddress import ip_address
from secrets import compare_digest, randbelow, token_urlsafe

from starlette.datastructures import Headers
from starlette.types import Scope

COOKIE = "unspool_access"
PIN_DIGITS = 6
FREE_TRIES = 3  # fingers slip
LONGEST_WAIT_S = 60.0


class Access:
    """shared: other computers may look on. clock: seconds that only rise."""

    def __init__(
        self, *, shared: bool = False, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self.shared = shared
        self.pin = f"{randbelow(10**PIN_DIGITS):0{PIN_DIGITS}d}"
        self._token = token_urlsafe(32)
        self._clock = clock
        self._wrong = 0
        self._next_try_at = 0.0

    def is_own_name(self, host: str | None) -> bool:
        """Whether the Host of a request is a name of this computer.

        A page of another site whose name was made to lead here would send that name.
        """
        name = _without_port(host or "")
        if name in ("127.0.0.1", "localhost", "::1"):
            return True
        return self.shared and (_is_address(name) or name in _own_names())

    def may_change(self, scope: Scope) -> bool:
        """Whether the request comes from this computer, or from somebody who gave the PIN."""
        client = scope.get("client")
        if not self.shared or (client and client[0] in ("127.0.0.1", "::1")):
            return True
        try:
            cookie = SimpleCookie(Headers(scope=scope).get("cookie", ""))
        except CookieError:
            return False
        given = cookie[COOKIE].value if COOKIE in cookie else ""
        return compare_digest(given.encode(), self._token.encode())

    def try_pin(self, pin: str) -> str | None:
        """The cookie's value for the right PIN, None for a wrong one or one that came too soon."""
        now = self._clock()
        if now < self._next_try_at:
            return None
        if compare_digest(pin.strip().encode(), self.pin.encode()):
            self._wrong = 0
            return self._token
        self._wrong += 1
        if self._wrong >= FREE_TRIES:
            self._next_try_at = now + min(2.0 ** (self._wrong - FREE_TRIES + 1), LONGEST_WAIT_S)
        return None

    @property
    def wait_s(self) -> float:
        """Seconds until the next PIN is accepted."""
        return max(self._next_try_at - self._clock(), 0.0)


def own_addresses() -> list[str]:
    """This computer's addresses that others on the network can reach. Empty without a network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Sends nothing: it only asks which way a packet to elsewhere would leave (RFC 5737).
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return []
        found = str(probe.getsockname()[0])
    return [] if ip_address(found).is_loopback else [found]


def _own_names() -> tuple[str, str]:
    name = socket.gethostname().lower()
    return name, f"{name}.local"


def _without_port(host: str) -> str:
    if host.startswith("["):
        return host[1:].partition("]")[0].lower()
    return host.partition(":")[0].lower()


def _is_address(name: str) -> bool:
    try:
        ip_address(name)
    except ValueError:
        return False
    return True
