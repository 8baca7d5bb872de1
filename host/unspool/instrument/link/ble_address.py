"""Whom a radio's name or address means, and what is special about its module."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from uuid import UUID

from unspool.errors import Fault, all_faults
from unspool.safe_text import visible

# What common transparent modules carry is 2 to 6 kB/s; the least of it is safe with all of them.
PLANNED_RATE = 2000
SLOWEST_RATE, FASTEST_RATE = 16, 11_520  # what CONFIGURE can say; what 115,200 baud carry
# Computers show a Bluetooth address; macOS an identifier of its own in its place.
_ADDRESS = re.compile(
    r"[0-9A-Fa-f]{2}(:[0-9A-Fa-f]{2}){5}|[0-9A-Fa-f]{8}(-[0-9A-Fa-f]{4}){3}-[0-9A-Fa-f]{12}"
)
# Short identifiers stand for long ones with this tail (Bluetooth Core Specification, volume 3,
# part B, section 2.5.1).
_SHORT_TAIL = "-0000-1000-8000-00805f9b34fb"


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


def ble_address(
    name: str,
    service: str | None = None,
    notify: str | None = None,
    write: str | None = None,
    rate: int = PLANNED_RATE,
    response: bool | None = None,
) -> BleAddress:
    """The device that a user means. Raises InputError with all that is wrong."""
    faults = [*_name_faults(name), *_rate_faults(rate)]
    known: dict[str, str | None] = {}
    for key, text in (("service", service), ("notify", notify), ("write", write)):
        try:
            known[key] = None if text is None else identifier(text)
        except ValueError:
            faults.append(Fault(key, _short(text), "four figures or all 32, as FFE0"))
    if faults:
        raise all_faults("the radio cannot be what was said", faults)
    return BleAddress(name, **known, rate=rate, response=response)


def _name_faults(name: str) -> Iterator[Fault]:
    if not name or not name.isprintable():
        shown = "a name or an address that `unspool links` shows"
        yield Fault("name", _short(name) or "nothing", shown)


def _rate_faults(rate: int) -> Iterator[Fault]:
    if not SLOWEST_RATE <= rate <= FASTEST_RATE:
        yield Fault("rate", f"{rate}", f"from {SLOWEST_RATE} to {FASTEST_RATE} bytes a second")


def _short(text: str | None) -> str:
    return visible(text or "")[:40]


def identifier(text: str) -> str:
    """A service's or characteristic's identifier in full. Raises ValueError if it is none."""
    if re.fullmatch(r"[0-9A-Fa-f]{4}", text):
        return f"0000{text.lower()}{_SHORT_TAIL}"
    return str(UUID(text))
