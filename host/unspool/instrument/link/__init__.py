"""Ways to a board: cable, Bluetooth, a replayed capture, a virtual board. A name comes in.

A Link that reads and writes bytes goes out.
"""

from unspool.instrument.link.base import Link, LinkEndedError, place_of
from unspool.instrument.link.ble_address import BleAddress
from unspool.instrument.link.ble_scan import BlePeripheral, list_ble
from unspool.instrument.link.ports import SerialPort, list_ports, usb_vendor
from unspool.instrument.link.ways import (
    cable_link,
    found_link,
    found_port,
    only_port,
    radio_link,
    replay_link,
)

__all__ = [
    "BleAddress",
    "BlePeripheral",
    "Link",
    "LinkEndedError",
    "SerialPort",
    "cable_link",
    "found_link",
    "found_port",
    "list_ble",
    "list_ports",
    "only_port",
    "place_of",
    "radio_link",
    "replay_link",
    "usb_vendor",
]
