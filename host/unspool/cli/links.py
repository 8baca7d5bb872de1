"""`unspool links`: serial ports and Bluetooth devices that could be a board."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer
from rich.table import Table

from unspool.cli.sources import AsJson
from unspool.cli.streams import console, print_json, to_stderr
from unspool.errors import LinkError

if TYPE_CHECKING:
    from unspool.instrument.link import BlePeripheral, SerialPort


def links(
    radio: Annotated[
        bool, typer.Option(help="Also look for Bluetooth modules, which takes some seconds.")
    ] = True,
    as_json: AsJson = False,
) -> None:
    """List what could be a board: serial ports for --cable, Bluetooth modules for --radio."""
    from unspool.instrument.link import list_ports

    ports = list_ports()
    if not as_json:
        _show_ports(ports)
    seen, fault = _radios(as_json) if radio else ([], None)
    if as_json:
        cables = [_port_json(port) for port in ports]
        radios = [_radio_json(one) for one in seen]
        print_json({"unspool": 1, "cables": cables, "radios": radios, "radio_fault": fault})
    elif seen:
        console().print(_radio_table(seen))
    elif radio:
        to_stderr(fault or "no Bluetooth device was found: give the board's module power")


def _show_ports(ports: list[SerialPort]) -> None:
    if ports:
        console().print(_port_table(ports))
    else:
        to_stderr("no serial port could be a board; plug one in, with a cable that carries data")


def _radios(as_json: bool) -> tuple[list[BlePeripheral], str | None]:
    """The devices in reach, and why there are none if Bluetooth itself is at fault."""
    from unspool.instrument.link import list_ble
    from unspool.instrument.link.ble_scan import SCAN_S

    if not as_json:
        to_stderr(f"looking for Bluetooth modules, {SCAN_S:.0f} s")
    try:
        return list_ble(SCAN_S), None
    except LinkError as error:
        return [], str(error)


def _port_json(port: SerialPort) -> dict[str, object]:
    return {"cable": port.device, "description": port.description, "likely": port.likely}


def _radio_json(one: BlePeripheral) -> dict[str, object]:
    return {
        "radio": one.wanted,
        "name": one.name,
        "likely": one.likely,
        "address": one.address,
        "signal_dbm": one.signal_dbm,
    }


def _port_table(ports: list[SerialPort]) -> Table:
    table = _table("--cable", "description")
    for port in ports:
        table.add_row(port.device, _likely(port.likely), port.description)
    return table


def _radio_table(seen: list[BlePeripheral]) -> Table:
    from unspool.render.words.board import signal_words

    table = _table("--radio", "address", "signal")
    for one in seen:
        signal = f"{one.signal_dbm} dBm, {signal_words(one.signal_dbm)}"
        table.add_row(one.wanted, _likely(one.likely), one.address, signal)
    return table


def _table(option: str, *more: str) -> Table:
    table = Table(box=None, pad_edge=False)
    for heading in (option, "likely a board", *more):
        table.add_column(heading, overflow="fold")
    return table


def _likely(likely: bool) -> str:
    return "yes" if likely else "perhaps"
