"""Which characteristics of a module are its UART.

Modules agree on a handful of services but not on what each characteristic in them is called or may
do. So a characteristic is chosen by its properties, and the table settles what they leave open.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from unspool.errors import LinkError
from unspool.instrument.link.ble_address import BleAddress, identifier
from unspool.language import Phrase

if TYPE_CHECKING:
    from bleak.backends.characteristic import BleakGATTCharacteristic
    from bleak.backends.service import BleakGATTService

FROM_BOARD = frozenset({"notify", "indicate"})
TO_BOARD = frozenset({"write", "write-without-response"})


@dataclass(frozen=True)
class CommonUart:
    """A transparent UART service, and its usual characteristics in both directions."""

    service: str
    notify: str
    write: str
    source: str


COMMON = (
    CommonUart(
        "6e400001-b5a3-f393-e0a9-e50e24dcca9e",
        "6e400003-b5a3-f393-e0a9-e50e24dcca9e",
        "6e400002-b5a3-f393-e0a9-e50e24dcca9e",
        "https://developer.nordicsemi.com/nRF_Connect_SDK/doc/2.4.0/nrf/libraries/"
        "bluetooth_services/services/nus.html",
    ),
    # Others have FFE4 and FFE9 in the same service (HopeRF HM-BT4502 specification, table 3).
    CommonUart(
        identifier("FFE0"),
        identifier("FFE1"),
        identifier("FFE1"),
        "https://cdn.shopify.com/s/files/1/0058/3145/8904/files/DSD_TECH_HM-10_datasheet.pdf",
    ),
    CommonUart(
        identifier("FFF0"),
        identifier("FFF1"),
        identifier("FFF2"),
        "https://document.feasycom.com/docs/fsc-btdmd/CN/latest/bt2064x/"
        "3-functional-features-cn.html",
    ),
    CommonUart(
        "49535343-fe7d-4ae5-8fa9-9fafd205e455",
        "49535343-1e4d-4bd9-ba61-23c647249616",
        "49535343-8841-43f4-a8d4-ecbe34729bb3",
        "https://developerhelp.microchip.com/xwiki/bin/view/products/wireless-connectivity/ble/"
        "bm70/bm70-compact-demo-board-users-guide/transparent-uart/",
    ),
)
COMMON_SERVICES = frozenset(common.service for common in COMMON)
_USUAL_NOTIFY = {common.service: common.notify for common in COMMON}
_USUAL_WRITE = {common.service: common.write for common in COMMON}


@dataclass(frozen=True)
class Uart:
    """The two directions; response: whether a write asks for a response."""

    notify: BleakGATTCharacteristic
    write: BleakGATTCharacteristic
    response: bool


def choose_uart(services: Iterable[BleakGATTService], address: BleAddress) -> Uart:
    """Raises LinkError if the device has no UART that is known or was named."""
    there = list(services)
    for service in _candidates(there, address):
        has = service.characteristics
        notify = _pick(has, FROM_BOARD, address.notify, _USUAL_NOTIFY.get(service.uuid))
        write = _pick(has, TO_BOARD, address.write, _USUAL_WRITE.get(service.uuid))
        if notify is not None and write is not None:
            response = address.response
            if response is None:
                response = "write-without-response" not in write.properties
            return Uart(notify, write, response)
    raise LinkError(_no_uart(there, address))


def _candidates(there: list[BleakGATTService], address: BleAddress) -> list[BleakGATTService]:
    """In the order in which they are tried."""
    if address.service is not None:
        return [service for service in there if service.uuid == address.service]
    if address.notify is not None or address.write is not None:
        return there
    order = [common.service for common in COMMON]
    return sorted(
        (service for service in there if service.uuid in COMMON_SERVICES),
        key=lambda service: order.index(service.uuid),
    )


def _pick(
    there: Sequence[BleakGATTCharacteristic],
    wanted: frozenset[str],
    named: str | None,
    usual: str | None,
) -> BleakGATTCharacteristic | None:
    """The one that was named; else, of those able, the usual one or the one that does least."""
    if named is not None:
        return next((c for c in there if c.uuid == named), None)
    able = [c for c in there if wanted & set(c.properties)]
    both = FROM_BOARD | TO_BOARD
    return min(
        able,
        key=lambda c: (c.uuid != usual, len(both & set(c.properties) - wanted), c.handle),
        default=None,
    )


def _no_uart(there: list[BleakGATTService], address: BleAddress) -> str:
    found = ", ".join(_short(service.uuid) for service in there) or "none"
    return Phrase(
        "{name} offers no serial line that unspool knows or was given (its services: {found}); look"
        " up in its manual which ones carry data, and name them as in"
        " ble:{name}?service=FFE0&notify=FFE1&write=FFE1",
        name=address.name,
        found=found,
    )


def _short(uuid: str) -> str:
    """The four figures of a short identifier, or all of a long one."""
    return uuid[4:8] if identifier(uuid[4:8]) == uuid else uuid
