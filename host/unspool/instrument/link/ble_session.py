"""BleSession: one connection with one module, from connecting to letting go. Runs inside a loop."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import Callable
from typing import TYPE_CHECKING

from unspool.instrument.link.ble_address import BleAddress
from unspool.instrument.link.ble_uart import Uart, choose_uart

if TYPE_CHECKING:
    from bleak import BleakClient
    from bleak.backends.characteristic import BleakGATTCharacteristic
    from bleak.backends.device import BLEDevice

DROP_S = 3.0


class BleSession:
    """on_bytes gets what arrives; on_down is called when the system notices that it is gone.

    Both are called inside the loop. Errors are whatever bleak and its backend raise.
    """

    def __init__(self, on_bytes: Callable[[bytes], None], on_down: Callable[[], None]) -> None:
        self._on_bytes = on_bytes
        self._on_down = on_down
        self._client: BleakClient | None = None
        self._uart: Uart | None = None

    async def connect(self, device: BLEDevice, address: BleAddress, timeout_s: float) -> None:
        """Raises LinkError if the device has no UART; nothing stays open after any error."""
        from bleak import BleakClient

        # the system may call back before connect returns
        self._client = BleakClient(device, lambda _: self._on_down(), timeout=timeout_s)
        try:
            async with asyncio.timeout(timeout_s):
                await self._client.connect()
                self._uart = choose_uart(self._client.services, address)
                await self._client.start_notify(self._uart.notify, self._heard)
        except BaseException:
            await self.drop()
            raise

    async def write(self, data: bytes) -> None:
        """In pieces of one packet: longer ones fail, or become what modules do not know."""
        if self._client is None or self._uart is None:
            raise ConnectionError("not connected")
        uart = self._uart
        at = 0
        while at < len(data):
            # asked for each time: it grows once the two sides have agreed on more
            size = uart.write.max_write_without_response_size
            await self._client.write_gatt_char(uart.write, data[at : at + size], uart.response)
            at += size

    async def drop(self) -> None:
        """Lets go, also of a connection that broke: without this one to the system's bus leaks."""
        client, self._client = self._client, None
        self._uart = None
        if client is None:
            return
        # it is gone already, or the system cannot be asked any more
        with contextlib.suppress(Exception):
            async with asyncio.timeout(DROP_S):
                await client.disconnect()

    def _heard(self, _: BleakGATTCharacteristic, data: bytearray) -> None:
        self._on_bytes(bytes(data))
