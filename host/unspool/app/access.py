"""Access: who may look on and who may change things when the pages are shared on a network.

People at this computer may do everything. Others only look on until they give a PIN: the judge's,
a station's, or the owner's, which the terminal shows, or one that is kept under their name.
"""

from __future__ import annotations

import re
import socket
import time
from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from hashlib import sha256
from ipaddress import ip_address
from secrets import compare_digest, token_urlsafe
from threading import Lock

from starlette.types import Scope

from unspool.app.cookies import cookie_of
from unspool.app.kept_pins import KeptPins
from unspool.app.permissions import HERE
from unspool.app.rights import Right
from unspool.app.throttle import Throttle
from unspool.pins import Role, random_pin
from unspool.store import KeptPin

OWNERS = frozenset({Right.JUDGE, Right.STATION, Right.OWN})
RIGHT_OF = {Role.JUDGE: Right.JUDGE, Role.STATION: Right.STATION, Role.OWNER: Right.OWN}
COOKIE = "unspool_access"
# An afternoon; then the PIN is asked for again.
COOKIE_S = 12 * 3600.0
# Sessions that are remembered; the oldest is forgotten first.
REMEMBERED = 1000
# Whose a PIN of a start is, for the history.
_OF_START = {Right.JUDGE: "the judge", Right.STATION: "a station", Right.OWN: "the owner"}


# `name`, `name:port`, `[address]` or `[address]:port` (RFC 9110, section 7.2).
_HOST = re.compile(r"(?:\[(?P<v6>[0-9A-Fa-f:.]+)\]|(?P<name>[^\[\]:/@\s]+))(?::\d{1,5})?")


@dataclass(frozen=True)
class Session:
    """kept: the PIN that was given, None for one of this start. ends: by the clock."""

    right: Right
    ends: float = 0.0
    kept: KeptPin | None = None

    @property
    def rights(self) -> frozenset[Right]:
        """What it allows beside looking on."""
        return OWNERS if self.right is Right.OWN else frozenset({self.right})

    @property
    def whose(self) -> str:
        return f"{self.kept.role} {self.kept.name}" if self.kept else _OF_START[self.right]


def _none() -> Sequence[KeptPin]:
    return ()


class Access:
    """shared: other computers may look on. clock: seconds that only rise."""

    def __init__(
        self, *, shared: bool = False, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self.shared = shared
        self.names: tuple[str, ...] = ()  # more names of this computer
        # By what they allow: all different, and new at each start.
        self.pins = dict(zip((Right.OWN, Right.JUDGE, Right.STATION), _pins(3), strict=True))
        self._clock = clock
        self.kept = KeptPins(_none, clock)
        self.throttle = Throttle(clock)
        self._lock = Lock()
        self._sessions: OrderedDict[bytes, Session] = OrderedDict()  # by the token's digest

    def use_kept(self, read: Callable[[], Sequence[KeptPin]]) -> None:
        """The PINs that the store keeps open these pages, too."""
        self.kept = KeptPins(read, self._clock)

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
        own = name in _own_names() or any(_is_named(name, one.lower()) for one in self.names)
        return self.shared and (_is_address(name) or own)

    def may_change(self, scope: Scope) -> bool:
        """Whether the request comes from this computer, or from somebody who gave the owner's."""
        return Right.OWN in self.rights(scope)

    def rights(self, scope: Scope) -> frozenset[Right]:
        """What the request may do beside looking on. Who owns may do it all, but HERE."""
        client = scope.get("client")
        if not self.shared or (client and client[0] in HERE):
            return OWNERS
        session = self.session(scope)
        return session.rights if session else frozenset()

    def session(self, scope: Scope) -> Session | None:
        """That of the cookie. It ends, too, when its PIN is taken away."""
        with self._lock:
            session = self._sessions.get(_digest(cookie_of(scope, COOKIE)))
        if session is None or self._clock() >= session.ends:
            return None
        return session if session.kept is None or self.kept.knows(session.kept) else None

    def let_in(self, right: Right, kept: KeptPin | None = None) -> str:
        """The cookie's value of a new session with that right."""
        token = token_urlsafe(32)
        with self._lock:
            self._sessions[_digest(token)] = Session(right, self._clock() + COOKIE_S, kept)
            while len(self._sessions) > REMEMBERED:
                self._sessions.popitem(last=False)
        return token

    def try_pin(self, pin: str, client: str, name: str = "") -> str | None:
        """The cookie's value for a right PIN, None for a wrong one or one that came too soon.

        name: whose it is, if it is a kept one. That takes a moment, so not on the event loop.
        """
        if not self.throttle.begin(client):
            return None
        right, kept = self._opened(pin, name)
        if right is None:
            return None
        self.throttle.was_right(client, forget=right is Right.OWN)
        return self.let_in(right, kept)

    def _opened(self, pin: str, name: str) -> tuple[Right | None, KeptPin | None]:
        for right, own in self.pins.items():
            if compare_digest("".join(pin.split()).encode(), own.encode()):
                return right, None
        kept = self.kept.opened_by(name, pin) if name.strip() else None
        if kept is None or kept.role not in set(Role):
            return None, None
        return RIGHT_OF[Role(kept.role)], kept

    def wait_s(self, client: str) -> float:
        """Seconds until the next PIN of this client is accepted."""
        return self.throttle.wait_s(client)


def _digest(token: str) -> bytes:
    return sha256(token.encode()).digest()


def _pins(count: int) -> list[str]:
    found: set[str] = set()
    while len(found) < count:
        found.add(random_pin())
    return list(found)


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


def _is_named(name: str, pattern: str) -> bool:
    """Whether a certificate's name is that one; `*.` stands for one part (RFC 9525, 6.3)."""
    if pattern.startswith("*."):
        first, _dot, rest = name.partition(".")
        return bool(first) and rest == pattern[2:]
    return name == pattern


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
