"""Ways to a board: cable, Bluetooth, a replayed capture, a virtual board. A name comes in.

A Link that reads and writes bytes goes out.
"""

from unspool.instrument.link.base import Link, LinkEndedError
from unspool.instrument.link.ble_scan import BlePeripheral, list_ble
from unspool.instrument.link.ports import SerialPort, list_ports
from unspool.instrument.link.spec import open_spec

__all__ = [
    "BlePeripheral",
    "Link",
    "LinkEndedError",
    "SerialPort",
    "list_ble",
    "list_ports",
    "open_spec",
]
