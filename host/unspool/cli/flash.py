"""`unspool flash`: put the firmware on a board."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.sources import AsJson
from unspool.cli.streams import console, print_json, to_stderr
from unspool.cli.ways import Cable
from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.instrument.firmware import BoardKind, Flashed, Stage


def flash(
    cable: Cable = None,
    board: Annotated[
        str | None,
        typer.Option(help="Which board it is: atmega328p, atmega328p-8mhz, atmega2560 or rp2040."),
    ] = None,
    drive: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="Drive of an rp2040 in boot mode; else it is found."),
    ] = None,
    build: Annotated[
        bool, typer.Option("--build", help="Build the image from a checkout first.")
    ] = False,
    baud: Annotated[
        int | None,
        typer.Option(min=300, help="Baud rate of the boot loader; else both usual ones."),
    ] = None,
    force: Annotated[
        bool, typer.Option("--force", help="Even if edges on the board are lost.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Put unspool's firmware on a board, and check that it runs."""
    from unspool import __version__
    from unspool.instrument.firmware import Caller, Wanted, put_firmware

    wanted = Wanted(cable, _named(board), drive, __version__ if build else "", baud)
    caller = Caller(
        report=to_stderr if as_json else _print,
        stages=partial(_display, as_json),
        may_lose=_never_mind if force else partial(_ask_to_lose, as_json),
        waits=_somebody_is_there(as_json),
    )
    done = put_firmware(wanted, caller)
    if as_json:
        print_json(_as_json(done))
    else:
        print(f"the board runs {done.after.firmware}, boot {done.after.boot}")


def _never_mind(_held: int, _device: str) -> None:
    """With --force."""


def _ask_to_lose(as_json: bool, held: int, device: str) -> None:
    """Raises InputError unless somebody is there to ask, and agrees."""
    holds = f"the board on {device} holds {held} edges that are not recorded yet"
    if _somebody_is_there(as_json) and typer.confirm(f"{holds}. Lose them?"):
        return
    raise InputError(
        f"{holds}, and this would lose them: run `unspool record` first, or add --force"
    )


def _somebody_is_there(as_json: bool) -> bool:
    return not as_json and sys.stdin.isatty()


def _named(board: str | None) -> BoardKind | None:
    from unspool.instrument.firmware import BOARDS

    if board is not None and board not in BOARDS:
        raise InputError(f"{board!r} is no board that unspool knows: it knows {', '.join(BOARDS)}")
    return BOARDS[board] if board else None


def _print(text: str) -> None:
    print(text, flush=True)


@contextmanager
def _display(as_json: bool) -> Iterator[Callable[[Stage], None]]:
    """Bars in a terminal; elsewhere one line for each stage."""
    from rich.progress import BarColumn, Progress, TaskID, TextColumn

    screen = console()
    if as_json or not screen.is_terminal:
        yield _StageLines(to_stderr if as_json else _print)
        return
    tasks: dict[str, TaskID] = {}
    with Progress(TextColumn("{task.description}"), BarColumn(), console=screen) as bars:

        def show(stage: Stage) -> None:
            if stage.name not in tasks:
                tasks[stage.name] = bars.add_task(stage.name, total=1.0)
            bars.update(tasks[stage.name], completed=stage.share)

        yield show


class _StageLines:
    def __init__(self, report: Callable[[str], None]) -> None:
        self._report, self._name = report, ""

    def __call__(self, stage: Stage) -> None:
        if stage.name != self._name:
            self._name = stage.name
            self._report(stage.name)


def _as_json(done: Flashed) -> dict[str, object]:
    return {
        "unspool": 1,
        "image": str(done.image),
        "firmware": done.after.firmware,
        "firmware_before": done.before.firmware if done.before else None,
        "boot": done.after.boot,
    }
