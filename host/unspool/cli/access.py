"""`unspool access`: who has a PIN that stays, and what it opens."""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from getpass import getpass
from typing import TYPE_CHECKING, Annotated, Literal

import typer
from rich.table import Table

from unspool.cli.sources import AsJson, StoreName, existing_store, open_store
from unspool.cli.streams import console, print_json, to_stderr
from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.store import KeptPin

access = typer.Typer(no_args_is_help=True)
Name = Annotated[str, typer.Argument(metavar="NAME", help="Whose PIN it is.")]


@access.callback()
def root() -> None:
    """Give judges, stations and owners a PIN of their own, which stays when unspool ends."""


@access.command("list")
def list_(store: StoreName = None, as_json: AsJson = False) -> None:
    """List who has a PIN; the PINs themselves are kept nowhere."""
    with existing_store(store) as opened:
        kept, where = opened.pins.listed(), opened.place
    if as_json:
        print_json({"unspool": 1, "pins": [_row_json(one) for one in kept]})
    elif kept:
        console().print(_table(kept))
    else:
        to_stderr(f"nobody has a PIN in the store {where}; `unspool access add` gives one")


@access.command("add")
def add(
    name: Name,
    role: Annotated[
        Literal["judge", "station", "owner"], typer.Argument(help="What the PIN opens.")
    ],
    own: Annotated[
        bool, typer.Option("--own", help="Type a PIN of your own; it is not shown.")
    ] = False,
    store: StoreName = None,
) -> None:
    """Give somebody a PIN, and print it once: it cannot be read again."""
    from unspool.corrections import this_user
    from unspool.pins import give

    typed = _typed() if own else None
    with open_store(store) as opened:
        pin = give(opened, name, role, this_user(), typed)
    given = "the PIN that you typed" if own else f"the PIN {pin}"
    console().print(f"{' '.join(name.split())}, {role}: {given}", soft_wrap=True)


@access.command("remove")
def remove(name: Name, store: StoreName = None) -> None:
    """Take somebody's PIN away; pages that it opened only look on from then on."""
    from unspool.pins import take_away

    with existing_store(store) as opened:
        take_away(opened, name)
    console().print(f"{' '.join(name.split())} has no PIN any more", soft_wrap=True)


def _typed() -> str:
    """Without echo at a terminal, and twice; or else the first line of what is piped in."""
    if not sys.stdin.isatty():
        return sys.stdin.readline()
    pin = getpass("PIN: ")
    if getpass("The same again: ") != pin:
        raise InputError("the two PINs differ; nothing was kept")
    return pin


def _row_json(one: KeptPin) -> dict[str, object]:
    made_at = datetime.fromtimestamp(one.made_us / 1e6, UTC).isoformat()
    return {"name": one.name, "role": one.role, "made_at": made_at, "who": one.who}


def _table(kept: list[KeptPin]) -> Table:
    table = Table(box=None, pad_edge=False)
    for heading in ("name", "role", "since", "by"):
        table.add_column(heading, overflow="fold")
    for one in kept:
        since = f"{datetime.fromtimestamp(one.made_us / 1e6).astimezone():%Y-%m-%d %H:%M}"
        table.add_row(one.name, one.role, since, one.who)
    return table
