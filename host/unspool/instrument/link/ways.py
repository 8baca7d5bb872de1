"""The ways to a board, none of them opened yet. Each loads its library only if it is taken."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from unspool.errors import InputError, LinkError
from unspool.instrument.link.base import Link
from unspool.language import Phrase

if TYPE_CHECKING:
    from unspool.instrument.link.serial import SerialLink
from unspool.instrument.link.ble_address import BleAddress
from unspool.instrument.link.ports import SerialPort


def cable_link(port: str) -> SerialLink:
    """A board on a serial port, by the system's name for it."""
    from unspool.instrument.link.serial import SerialLink

    return SerialLink(port)


def found_link() -> Link:
    """A board on the one port that could be one, wherever that is plugged in.

    Raises as `only_port` does.
    """
    from unspool.instrument.link.serial import FoundSerialLink

    return FoundSerialLink(found_port)


def radio_link(address: BleAddress) -> Link:
    """A board behind a Bluetooth Low Energy module."""
    from unspool.instrument.link.ble import BleLink

    return BleLink(address)


def replay_link(file: Path, speed: float = 1.0) -> Link:
    """A captured file, played `speed` times as fast; 0 is as fast as it goes.

    Raises InputError if the file cannot be read.
    """
    from unspool.instrument.link.replay import ReplayLink, read_capture_file

    return ReplayLink(f"replay:{file}", read_capture_file(file), speed)


def found_port() -> str:
    """The one port that could be a board. Raises as `only_port` does."""
    from unspool.instrument.link.ports import list_ports

    return only_port(list_ports())


def only_port(ports: list[SerialPort]) -> str:
    """The port to take if the user names none.

    Raises LinkError if no port could be a board, InputError if more than one could.
    """
    likely = [port for port in ports if port.likely] or ports
    if not likely:
        raise LinkError(
            Phrase(
                "no board is plugged in: connect one with a cable that carries data, or name its"
                " radio with --radio NAME"
            )
        )
    if len(likely) > 1:
        listed = ", ".join(port.device for port in likely)
        raise InputError(
            Phrase("there are several ports: name one with --cable, of {ports}", ports=listed)
        )
    return likely[0].device
