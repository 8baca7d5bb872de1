"""`unspool store`: copy what it holds into another one, and read its runs again."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.sources import AsJson, existing_store, open_store
from unspool.cli.streams import print_json

if TYPE_CHECKING:
    from collections.abc import Callable

    from unspool.store import Store
    from unspool.store.copying import Copied

store = typer.Typer(no_args_is_help=True)
From = Annotated[str, typer.Argument(metavar="STORE", help="A store, as for --store.")]
To = Annotated[str, typer.Argument(metavar="TO", help="Store to copy to; made if there is none.")]
Tag = Annotated[
    str | None, typer.Option(help="Only runs with this tag, with their captures and cars.")
]


@store.callback()
def root() -> None:
    """Copy what a store holds into another, and read its runs again."""


@store.command("read")
def read(name: From) -> None:
    """Read again all runs that an older unspool has read; on a server, together with others.

    Start it on as many machines and as often as there are processors to use.
    """
    from unspool.render.text.calibration import watching
    from unspool.render.words.values import counted

    with existing_store(name) as opened, watching("reading runs") as progress:
        done = _read_again(opened, progress)
    print(f"{counted(done, 'run')} read")


def _read_again(opened: Store, progress: Callable[[int, int], None]) -> int:
    from unspool.errors import InputError
    from unspool.kept.again import read_all
    from unspool.store import Server

    if not isinstance(opened.place, Server):
        return read_all(opened, progress)
    try:
        from unspool.kept.tasks import Together
    except ImportError as error:
        raise InputError(
            "to share the work on a server takes the library procrastinate; install it with"
            " pip install 'unspool[league]'"
        ) from error
    return Together(opened, opened.place, progress).run()


@store.command("copy")
def copy_(source: From, target: To, tag: Tag = None, as_json: AsJson = False) -> None:
    """Copy all runs and captures into another store, each once, however often it is copied."""
    from unspool.render.text.calibration import watching
    from unspool.store.copying import copy

    with (
        existing_store(source) as here,
        open_store(target) as there,
        watching("copying") as progress,
    ):
        did = copy(here, there, tag, lambda _what, done, of: progress(done, of))
    if as_json:
        print_json({"unspool": 1} | asdict(did) | {"renumbered": did.renumbered})
    else:
        print("\n".join(_lines(did)))


def _lines(did: Copied) -> list[str]:
    from unspool.render.words.values import counted

    new = f"{counted(did.new_runs, 'new run')} and {counted(did.captures, 'new capture')} copied"
    lines = [f"{new}; {counted(did.corrections, 'correction')}, {counted(did.sheets, 'sheet')}"]
    if did.grown_runs:
        lines.append(f"{counted(did.grown_runs, 'run')} got more edges")
    lines += [f"run {here} is run {there} there" for here, there in did.renumbered.items()]
    lines += [
        f"run {run} was corrected in both stores; what was said there stays" for run in did.apart
    ]
    lines += [
        f"contest {one} went on in both stores; what was noted there stays"
        for one in did.contests_apart
    ]
    if did.damaged:
        lines.append(f"{counted(did.damaged, 'row')} left out, damaged in the store copied from")
    return lines
