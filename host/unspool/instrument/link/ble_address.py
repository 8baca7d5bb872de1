"""Whom a `ble:` spec means: `ble:NAME` or `ble:ADDRESS`, and what is special about its module.

`ble:NAME?service=FFE0&notify=FFE1&write=FFE2&rate=1000&response=yes`: each option is for modules
that the table of common services does not fit. In a name, `%`, `?` and `#` are written as in web
addresses (`%25`, `%3F`, `%23`).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote, unquote
from uuid import UUID

from unspool.errors import InputError

# What common transparent modules carry is 2 to 6 kB/s; the least of it is safe with all of them.
PLANNED_RATE = 2000
FORM = "ble:NAME or ble:ADDRESS"
OPTIONS = "service, notify and write (identifiers), rate (bytes a second) and response (yes or no)"
# Computers show a Bluetooth address; macOS an identifier of its own in its place.
_ADDRESS = re.compile(
    r"[0-9A-Fa-f]{2}(:[0-9A-Fa-f]{2}){5}|[0-9A-Fa-f]{8}(-[0-9A-Fa-f]{4}){3}-[0-9A-Fa-f]{12}"
)
# Short identifiers stand for long ones with this tail (Bluetooth Core Specification, volume 3,
# part B, section 2.5.1).
_SHORT_TAIL = "-0000-1000-8000-00805f9b34fb"
_PLAIN = " :+-_.,()[]"  # besides letters and digits, what a name needs no escape for


@dataclass(frozen=True)
class BleAddress:
    """name: a device's name or its address.

    Identifiers are full and lower case; None: by the table. rate: bytes a second that the module
    carries. response: whether writes ask for a response; None: as the characteristic offers.
    """

    name: str
    service: str | None = None
    notify: str | None = None
    write: str | None = None
    rate: int = PLANNED_RATE
    response: bool | None = None

    def means(self, address: str, *names: str | None) -> bool:
        """Whether a device with this address and these names is the one."""
        wanted = self.name.casefold()
        return wanted == address.casefold() or wanted in {n.casefold() for n in names if n}

    @property
    def is_exact(self) -> bool:
        """An address, of which there is only one; names may come twice."""
        return _ADDRESS.fullmatch(self.name) is not None


def parse_address(spec: str) -> BleAddress:
    """Raises InputError, with all that is wrong with the spec."""
    name, _, options = spec.removeprefix("ble:").partition("?")
    name = unquote(name)
    if not name or not name.isprintable():
        raise InputError(f"{spec!r} names no device; expected {FORM}, see `unspool links --ble`")
    known: dict[str, Any] = {}
    wrong = []
    for option in options.split("&") if options else []:
        key, _, value = option.partition("=")
        read = _READ.get(key)
        try:
            if read is None:
                raise ValueError
            known[key] = read(value)
        except ValueError:
            wrong.append(repr(option))
    if wrong:
        raise InputError(f"{spec!r}: found {', '.join(wrong)}, expected {OPTIONS}")
    return BleAddress(name, **known)


def spec_for(name: str) -> str:
    """The spec of a device with this name or address."""
    return f"ble:{quote(name, safe=_PLAIN)}"


def identifier(text: str) -> str:
    """A service's or characteristic's identifier in full. Raises ValueError if it is none."""
    if re.fullmatch(r"[0-9A-Fa-f]{4}", text):
        return f"0000{text.lower()}{_SHORT_TAIL}"
    return str(UUID(text))


def _rate(text: str) -> int:
    rate = int(text)
    if not 16 <= rate <= 11_520:  # what CONFIGURE can say; what 115,200 baud carry
        raise ValueError
    return rate


def _yes_or_no(text: str) -> bool:
    if text not in ("yes", "no"):
        raise ValueError
    return text == "yes"


_READ: dict[str, Callable[[str], object]] = {
    "service": identifier,
    "notify": identifier,
    "write": identifier,
    "rate": _rate,
    "response": _yes_or_no,
}
