"""`unspool links`: serial ports and Bluetooth devices that could be a board."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer
from rich.table import Table

from unspool.cli.sources import AsJson
from unspool.cli.streams import console, print_json, to_stderr

if TYPE_CHECKING:
    from unspool.instrument.link import BlePeripheral, SerialPort

# From memory, common practice: signal at which Bluetooth Low Energy modules of 1 mW still work.
STRONG_DBM, FAIR_DBM = -70, -85


def links(
    ble: Annotated[
        bool, typer.Option("--ble", help="Look for Bluetooth modules instead; takes some seconds.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """List the serial ports that could be a board."""
    if ble:
        _list_ble(as_json)
    else:
        _list_ports(as_json)


def _list_ports(as_json: bool) -> None:
    from unspool.instrument.link import list_ports

    ports = list_ports()
    if as_json:
        print_json({"unspool": 1, "links": [_port_json(port) for port in ports]})
    elif ports:
        console().print(_port_table(ports))
    else:
        to_stderr("no serial port could be a board; plug one in, with a cable that carries data")


def _list_ble(as_json: bool) -> None:
    from unspool.instrument.link import list_ble

    seen = list_ble()
    if as_json:
        print_json({"unspool": 1, "links": [_ble_json(one) for one in seen]})
    elif seen:
        console().print(_ble_table(seen))
    else:
        to_stderr(
            "no Bluetooth device was found; switch the board on, go nearer, and disconnect other"
            " programs and phones from its module: a connected module cannot be found"
        )


def _port_json(port: SerialPort) -> dict[str, object]:
    return {"link": port.spec, "description": port.description, "likely": port.likely}


def _ble_json(one: BlePeripheral) -> dict[str, object]:
    return {
        "link": one.spec,
        "description": one.name,
        "likely": one.likely,
        "address": one.address,
        "signal_dbm": one.signal_dbm,
    }


def _port_table(ports: list[SerialPort]) -> Table:
    table = _table("description")
    for port in ports:
        table.add_row(port.spec, _likely(port.likely), port.description)
    return table


def _ble_table(seen: list[BlePeripheral]) -> Table:
    table = _table("name", "address", "signal")
    for one in seen:
        signal = f"{one.signal_dbm} dBm, {_strength(one.signal_dbm)}"
        table.add_row(one.spec, _likely(one.likely), one.name or "-", one.address, signal)
    return table


def _table(*more: str) -> Table:
    table = Table(box=None, pad_edge=False)
    for heading in ("link", "likely a board", *more):
        table.add_column(heading, overflow="fold")
    return table


def _likely(likely: bool) -> str:
    return "yes" if likely else "perhaps"


def _strength(dbm: int) -> str:
    if dbm >= STRONG_DBM:
        return "strong"
    return "fair" if dbm >= FAIR_DBM else "weak"
