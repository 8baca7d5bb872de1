"""A serial port that comes back under another name, as /dev/ttyUSB0 becomes /dev/ttyUSB1.

It is the same device if the maker's serial number is the same. Many cheap adapters have none. Then
it is a port of the same kind that was not there when the first one was opened. Which board is
behind it is what its hello says.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from serial.tools.list_ports_common import ListPortInfo


@dataclass(frozen=True)
class UsbPort:
    """What a port's USB chip says of itself, and the ports that were there beside it."""

    vendor: int
    product: int
    serial_number: str | None
    beside: frozenset[str]


def usb_port(port: str, ports: Iterable[ListPortInfo]) -> UsbPort | None:
    """None if the port is none of a USB device."""
    listed = list(ports)
    found = next((one for one in listed if one.device == os.path.realpath(port)), None)
    if found is None or found.vid is None or found.pid is None:
        return None
    names = frozenset(one.device for one in listed)
    return UsbPort(found.vid, found.pid, found.serial_number or None, names)


def moved_to(port: str, was: UsbPort, ports: Iterable[ListPortInfo]) -> list[str]:
    """Names that the device may have by now; none as long as the old name is there."""
    listed = list(ports)
    if any(one.device == os.path.realpath(port) for one in listed):
        return []
    return [one.device for one in listed if _is_it(one, was)]


def _is_it(port: ListPortInfo, was: UsbPort) -> bool:
    if (port.vid, port.pid, port.serial_number or None) != (
        was.vendor,
        was.product,
        was.serial_number,
    ):
        return False
    return was.serial_number is not None or port.device not in was.beside
