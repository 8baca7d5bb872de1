"""Access: who may look on and who may change things when the pages are shared on a network.

People at this computer may do everything. Others only look on until they give a PIN: the judge's,
a station's, or the owner's, which the terminal shows. A PIN is short, so a client that gives wrong
ones has to wait longer each time.
"""

from __future__ import annotations

import re
import socket
import time
from collections import OrderedDict
from collections.abc import Callable
from http.cookies import CookieError, SimpleCookie
from ipaddress import ip_address
from secrets import compare_digest, randbelow, token_urlsafe
from typing import TypeVar

from starlette.datastructures import Headers
from starlette.types import Scope

from unspool.app.permissions import HERE
from unspool.app.rights import Right

OWNERS = frozenset({Right.JUDGE, Right.STATION, Right.OWN})
COOKIE = "unspool_access"
PIN_DIGITS = 6
FREE_TRIES = 3  # fingers slip
LONGEST_WAIT_S = 60.0
# An afternoon; then the PIN is asked for again.
COOKIE_S = 12 * 3600.0
# Clients whose wrong PINs, and sessions that, are remembered; the oldest is forgotten first.
REMEMBERED = 1000


# `name`, `name:port`, `[address]` or `[address]:port` (RFC 9110, section 7.2).
_HOST = re.compile(r"(?:\[(?P<v6>[0-9A-Fa-f:.]+)\]|(?P<name>[^\[\]:/@\s]+))(?::\d{1,5})?")

T = TypeVar("T")


class Access:
    """shared: other computers may look on. clock: seconds that only rise."""

    def __init__(
        self, *, shared: bool = False, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self.shared = shared
        # By what they allow: all different, and new at each start.
        self.pins = dict(zip((Right.OWN, Right.JUDGE, Right.STATION), _pins(3), strict=True))
        self._clock = clock
        self._sessions: OrderedDict[str, tuple[float, Right]] = OrderedDict()  # by token
        # By client: how many wrong PINs, and when the next is accepted.
        self._wrong: OrderedDict[str, tuple[int, float]] = OrderedDict()

    @property
    def pin(self) -> str:
        """The owner's."""
        return self.pins[Right.OWN]

    def is_own_name(self, host: str | None) -> bool:
        """Whether the Host of a request is a name of this computer.

        A page of another site whose name was made to lead here would send that name.
        """
        name = _without_port(host or "")
        if name in ("127.0.0.1", "localhost", "::1"):
            return True
        return self.shared and (_is_address(name) or name in _own_names())

    def may_change(self, scope: Scope) -> bool:
        """Whether the request comes from this computer, or from somebody who gave the owner's."""
        return Right.OWN in self.rights(scope)

    def rights(self, scope: Scope) -> frozenset[Right]:
        """What the request may do beside looking on. Who owns may do it all, but HERE."""
        client = scope.get("client")
        if not self.shared or (client and client[0] in HERE):
            return OWNERS
        given = self._session(scope)
        return OWNERS if given is Right.OWN else frozenset({given} if given else ())

    def _session(self, scope: Scope) -> Right | None:
        """What the cookie's session gives."""
        try:
            cookie = SimpleCookie(Headers(scope=scope).get("cookie", ""))
        except CookieError:
            return None
        given = cookie[COOKIE].value if COOKIE in cookie else ""
        now = self._clock()
        for token, (ends, right) in self._sessions.items():
            if compare_digest(given.encode(), token.encode()) and now < ends:
                return right
        return None

    def let_in(self, right: Right) -> str:
        """The cookie's value of a new session with that right."""
        token = token_urlsafe(32)
        _remember(self._sessions, token, (self._clock() + COOKIE_S, right))
        return token

    def try_pin(self, pin: str, client: str) -> str | None:
        """The cookie's value for a right PIN, None for a wrong one or one that came too soon."""
        if self.wait_s(client) > 0.0:
            return None
        now = self._clock()
        for right, own in self.pins.items():
            if compare_digest(pin.strip().encode(), own.encode()):
                # Else a judge's own PIN between two guesses would make guesses free.
                if right is Right.OWN:
                    self._wrong.pop(client, None)
                return self.let_in(right)
        wrong = self._wrong.get(client, (0, 0.0))[0] + 1
        wait = min(2.0 ** (wrong - FREE_TRIES + 1), LONGEST_WAIT_S) if wrong >= FREE_TRIES else 0.0
        _remember(self._wrong, client, (wrong, now + wait))
        return None

    def wait_s(self, client: str) -> float:
        """Seconds until the next PIN of this client is accepted."""
        next_try_at = self._wrong.get(client, (0, 0.0))[1]
        return max(next_try_at - self._clock(), 0.0)


def _pins(count: int) -> list[str]:
    found: set[str] = set()
    while len(found) < count:
        found.add(f"{randbelow(10**PIN_DIGITS):0{PIN_DIGITS}d}")
    return list(found)


def _remember(kept: OrderedDict[str, T], key: str, value: T) -> None:
    kept.pop(key, None)
    kept[key] = value
    while len(kept) > REMEMBERED:
        kept.popitem(last=False)


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
    """The name in a Host header, "" if it is not one."""
    match = _HOST.fullmatch(host)
    return (match["v6"] or match["name"]).lower() if match else ""


def _is_address(name: str) -> bool:
    try:
        ip_address(name)
    except ValueError:
        return False
    return True
