"""Bluetooth devices in reach, and the one that is wanted among them."""

from __future__ import annotations

import asyncio
import contextlib
import logging
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from unspool.errors import LinkError
from unspool.instrument.link.ble_address import BleAddress
from unspool.instrument.link.ble_errors import namesakes, not_found, why_not
from unspool.instrument.link.ble_uart import COMMON_SERVICES

if TYPE_CHECKING:
    from bleak.backends.device import BLEDevice
    from bleak.backends.scanner import AdvertisementData

SCAN_S = 6.0
# What bleak would warn of on the terminal, links say in words of their own.
for _library in ("bleak", "dbus_fast"):
    logging.getLogger(_library).addHandler(logging.NullHandler())
# The service that every device has (Generic Attribute); with it come those already connected.
_ANY_DEVICE = "00001801-0000-1000-8000-00805f9b34fb"


@dataclass(frozen=True)
class BlePeripheral:
    """wanted: what leads to it, its name or its address. signal_dbm: as received here.

    `likely` when it offers a common UART.
    """

    wanted: str
    name: str
    address: str
    signal_dbm: int
    likely: bool


def list_ble(seconds: float = SCAN_S) -> list[BlePeripheral]:
    """The devices that show themselves within some seconds, likely and strong ones first.

    Raises LinkError if Bluetooth is missing, off or forbidden.
    """
    try:
        seen = asyncio.run(_discover(seconds))
    except Exception as error:  # each system's backend raises kinds of its own
        raise LinkError(why_not(error, "the module")) from error
    return peripherals(seen)


def peripherals(seen: list[tuple[BLEDevice, AdvertisementData]]) -> list[BlePeripheral]:
    """Names that come twice are separated by their addresses."""
    names = Counter((device.name or "").casefold() for device, _ in seen)
    listed = [_peripheral(device, heard, names) for device, heard in seen]
    return sorted(listed, key=lambda p: (not p.likely, -p.signal_dbm, p.address))


def _peripheral(device: BLEDevice, heard: AdvertisementData, names: Counter[str]) -> BlePeripheral:
    # a stranger chooses this text, and it is printed in a terminal
    name = "".join(c if c.isprintable() else "?" for c in device.name or "")
    unique = name != "" and name == device.name and names[name.casefold()] == 1
    likely = not COMMON_SERVICES.isdisjoint(heard.service_uuids)
    wanted = name if unique else device.address
    return BlePeripheral(wanted, name, device.address, heard.rssi, likely)


async def find(address: BleAddress, known: str | None, scan_s: float, linger_s: float) -> BLEDevice:
    """The device that is meant. known: the address it was found under before, if it was.

    A name that was not yet known is looked for linger_s longer than it takes, as another device
    may have it too. Raises LinkError if there is none, or more than one.
    """
    from bleak import BleakScanner

    wanted = address if known is None else BleAddress(known)
    if (device := await _connected(wanted)) is not None:
        return device
    found: dict[str, BLEDevice] = {}
    async with BleakScanner() as scanner:
        with contextlib.suppress(TimeoutError):
            async with asyncio.timeout(scan_s) as limit:
                async for device, heard in scanner.advertisement_data():
                    if not wanted.means(device.address, device.name, heard.local_name):
                        continue
                    if wanted.is_exact:
                        return device
                    if not found:
                        limit.reschedule(asyncio.get_running_loop().time() + linger_s)
                    found[device.address] = device
    if not found:
        raise LinkError(not_found(address.name))
    if len(found) > 1:
        raise LinkError(namesakes(address.name, list(found)))
    return next(iter(found.values()))


async def _connected(wanted: BleAddress) -> BLEDevice | None:
    """A device that the system still holds for a program that was killed: no scan shows it."""
    from bleak import BleakAdapter
    from bleak.exc import BleakBluetoothNotAvailableError, BleakError

    try:
        adapter = await BleakAdapter.get()
        held = await adapter.get_connected_devices([*COMMON_SERVICES, _ANY_DEVICE])
    except BleakBluetoothNotAvailableError:
        raise
    except (NotImplementedError, BleakError):
        return None
    meant = [device for device in held if wanted.means(device.address, device.name)]
    return meant[0] if len(meant) == 1 else None


async def _discover(seconds: float) -> list[tuple[BLEDevice, AdvertisementData]]:
    from bleak import BleakScanner

    return list((await BleakScanner.discover(seconds, return_adv=True)).values())
