"""Ways to reach a board: serial, Bluetooth, a replayed capture, the virtual car."""

from unspool.link.base import Link, LinkEndedError
from unspool.link.ble_find import BlePeripheral, list_ble
from unspool.link.ports import SerialPort, list_ports
from unspool.link.recording import RecordingLink
from unspool.link.spec import open_spec

__all__ = [
    "BlePeripheral",
    "Link",
    "LinkEndedError",
    "RecordingLink",
    "SerialPort",
    "list_ble",
    "list_ports",
    "open_spec",
]
