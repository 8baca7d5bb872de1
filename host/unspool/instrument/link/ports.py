"""Which serial ports could be a board."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from unspool.language import _

if TYPE_CHECKING:
    from serial.tools.list_ports_common import ListPortInfo

# USB vendors of the common microcontroller boards and their USB-to-serial chips, from the public
# list at http://www.linux-usb.org/usb.ids
_LIKELY_VENDORS = {
    0x0403: "FTDI",
    0x067B: "Prolific",
    0x0483: "STMicroelectronics",
    0x10C4: "Silicon Labs",
    0x1209: "open hardware",
    0x1A86: "QinHeng",
    0x2341: "Arduino",
    0x2886: "Seeed",
    0x2E8A: "Raspberry Pi",
    0x2A03: "Arduino",
    0x1B4F: "SparkFun",
    0x239A: "Adafruit",
}


@dataclass(frozen=True)
class SerialPort:
    """device: the system's name for it. `likely` when its USB chip is common on such boards."""

    device: str
    description: str
    likely: bool


def list_ports() -> list[SerialPort]:
    """The ports that could be a board, the likely ones first."""
    from serial.tools.list_ports import comports

    return could_be_boards(comports())


def usb_vendor(device: str) -> int | None:
    """The number of who made this USB port, None if it says none."""
    from serial.tools.list_ports import comports

    return next((port.vid for port in comports() if port.device == device), None)


def could_be_boards(ports: Iterable[ListPortInfo]) -> list[SerialPort]:
    """Leaves out what cannot be one: a computer's own sockets with nothing behind them."""
    seen = [
        SerialPort(port.device, _words(port), port.vid in _LIKELY_VENDORS)
        for port in ports
        if port.vid is not None or not _is_empty_socket(port)
    ]
    return sorted(seen, key=lambda port: (not port.likely, port.device))


def _is_empty_socket(port: ListPortInfo) -> bool:
    on_board = "/ttyS" in port.device
    bluetooth_default = "Bluetooth-Incoming" in port.device or "debug-console" in port.device
    return on_board or bluetooth_default


def _words(port: ListPortInfo) -> str:
    maker = _LIKELY_VENDORS.get(port.vid) if port.vid is not None else None
    text = port.description if port.description not in (None, "", "n/a") else None
    chip = _("({maker} chip)", maker=maker) if maker else None
    return " ".join(word for word in (text, chip) if word)
