"""`unspool links`: which ports or Bluetooth devices could be a board."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.table import Table

from unspool.cli.sources import AsJson
from unspool.cli.streams import console, print_json, tell

if TYPE_CHECKING:
    from unspool.link import SerialPort


def links(as_json: AsJson = False) -> None:
    """List the serial ports that could be a board."""
    from unspool.link import list_ports

    ports = list_ports()
    if as_json:
        print_json({"unspool": 1, "links": [_port_json(port) for port in ports]})
    elif ports:
        console().print(_table(ports))
    else:
        tell("no serial port could be a board; plug one in, with a cable that carries data")


def _port_json(port: SerialPort) -> dict[str, object]:
    return {"link": port.spec, "description": port.description, "likely": port.likely}


def _table(ports: list[SerialPort]) -> Table:
    table = Table(box=None, pad_edge=False)
    for heading in ("link", "likely a board", "what it says"):
        table.add_column(heading, overflow="fold")
    for port in ports:
        table.add_row(port.spec, "yes" if port.likely else "perhaps", port.description)
    return table
