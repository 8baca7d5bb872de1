"""The options that name the way to a board."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.errors import InputError, with_other_names

if TYPE_CHECKING:
    from unspool.instrument.link import BleAddress, Link

Cable = Annotated[
    str | None,
    typer.Option(metavar="PORT", help="Serial port of the board, as `unspool links` shows it."),
]
Radio = Annotated[
    str | None,
    typer.Option(metavar="NAME", help="Name or address of the board's Bluetooth module."),
]
Cables = Annotated[
    list[str] | None,
    typer.Option(
        "--cable",
        metavar="PORT",
        help="Serial port of a board, as `unspool links` shows it; again for each other board.",
    ),
]
Radios = Annotated[
    list[str] | None,
    typer.Option(
        "--radio",
        metavar="NAME",
        help="Name or address of a board's Bluetooth module; again for each other board.",
    ),
]
RadioService = Annotated[
    str | None,
    typer.Option(metavar="ID", help="Of an unusual module: its service with the serial line."),
]
RadioNotify = Annotated[
    str | None, typer.Option(metavar="ID", help="Its characteristic from the board.")
]
RadioWrite = Annotated[
    str | None, typer.Option(metavar="ID", help="Its characteristic to the board.")
]
RadioRate = Annotated[
    int | None, typer.Option(metavar="BYTES", help="Bytes a second that it carries.")
]
RadioResponse = Annotated[
    bool | None,
    typer.Option(
        "--radio-response/--no-radio-response", help="Whether each write waits for an answer."
    ),
]


@dataclass(frozen=True)
class RadioModule:
    """What is special about a Bluetooth module. None: found by itself."""

    service: str | None = None
    notify: str | None = None
    write: str | None = None
    rate: int | None = None
    response: bool | None = None

    @property
    def is_usual(self) -> bool:
        return self == RadioModule()


def way_to_board(cable: str | None, radio: str | None, module: RadioModule) -> Link:
    """The link that the options name, or the one port that could be a board.

    Raises InputError if they do not fit together, LinkError if there is no board.
    """
    from unspool.instrument import link

    if cable is not None and radio is not None:
        raise InputError("--cable and --radio are two ways to one board; give one of them")
    if radio is None and not module.is_usual:
        raise InputError("the options of a radio module need --radio NAME; add it")
    if radio is not None:
        return link.radio_link(_address(radio, module))
    if cable is None:
        return link.found_link()
    if not cable:
        raise InputError("--cable names no port; see `unspool links` for the ports")
    return link.cable_link(cable)


def ways_to_boards(cables: Sequence[str], radios: Sequence[str], module: RadioModule) -> list[Link]:
    """The links that the options name, cables first; without any, the one port that could be one.

    Raises as `way_to_board` does.
    """
    if not cables and not radios:
        return [way_to_board(None, None, module)]
    if cables and not radios and not module.is_usual:
        return [way_to_board(cables[0], None, module)]  # raises
    by_cable = [way_to_board(one, None, RadioModule()) for one in cables]
    return [*by_cable, *(way_to_board(None, one, module) for one in radios)]


def _address(radio: str, module: RadioModule) -> BleAddress:
    from unspool.instrument.link.ble_address import PLANNED_RATE, ble_address

    rate = PLANNED_RATE if module.rate is None else module.rate
    chosen = (module.service, module.notify, module.write)
    try:
        return ble_address(radio, *chosen, rate, module.response)
    except InputError as error:
        raise with_other_names(error, _option) from error


def _option(where: str) -> str:
    return "--radio" if where == "name" else f"--radio-{where}"
