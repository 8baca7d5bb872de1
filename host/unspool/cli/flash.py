"""`unspool flash`: the firmware onto a board."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.sources import AsJson
from unspool.cli.streams import console, print_json, tell
from unspool.errors import BoardError, InputError

if TYPE_CHECKING:
    from unspool.instrument.firmware import MetBoard, Stage

LOOK_S = 3.0  # a board that the opened port resets takes two to begin
PROOF_S = 8.0


def flash(
    port: Annotated[str, typer.Option(help="The board's serial port, as `unspool links` says.")],
    build: Annotated[
        bool, typer.Option("--build", help="Build the image from a checkout.")
    ] = False,
    baud: Annotated[
        int | None, typer.Option(min=300, help="Of the boot loader; without it both usual ones.")
    ] = None,
    force: Annotated[
        bool, typer.Option("--force", help="Even if edges on the board are lost by it.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Put unspool's firmware on a board, and hear it say so."""
    from unspool.instrument.firmware import find_writer, write

    find_writer()
    device = port.removeprefix("serial:")
    image, firmware = _image(build)
    say = tell if as_json else _print
    say(f"looking at {device}")
    before = _meet(device, LOOK_S)
    if before is not None and before.held and not force:
        raise InputError(
            f"the board on {device} holds {before.held} edges that no record has yet, and writing"
            " loses them: run `unspool record` first, or add --force"
        )
    with _display(as_json) as progress:
        write(image, device, baud, progress)
    say("written; waiting for the board's hello")
    after = _proven(device, firmware)
    if as_json:
        print_json(_as_json(image, before, after))
    else:
        print(f"the board runs {after.firmware}, boot {after.boot}")


def _image(build: bool) -> tuple[Path, str]:
    """The image to write, and how a board that runs it names itself."""
    from unspool import __version__
    from unspool.instrument.firmware import build_image, shipped_image

    if build:
        return build_image(), f"atmega328p {__version__}"
    shipped = shipped_image()
    return shipped.path, shipped.firmware


def _print(text: str) -> None:
    print(text, flush=True)


def _meet(device: str, patience_s: float) -> MetBoard | None:
    """Raises LinkError where there is no such port, or it is in use."""
    from unspool.instrument.firmware import meet
    from unspool.instrument.link import open_spec

    link = open_spec(f"serial:{device}")
    link.open()
    try:
        return meet(link, patience_s)
    finally:
        link.close()


def _proven(device: str, firmware: str) -> MetBoard:
    board = _meet(device, PROOF_S)
    if board is None:
        raise BoardError(
            f"the image is written, but the board on {device} says no hello: take its cable out and"
            " in again, and see with `unspool check` whether it speaks then"
        )
    if board.firmware != firmware or not board.speaks_ours:
        raise BoardError(
            f"the board on {device} says that it runs {board.firmware!r} where {firmware!r} was"
            " written: it may be another board's port, or nothing was kept; try once more"
        )
    return board


@contextmanager
def _display(as_json: bool) -> Iterator[Callable[[Stage], None]]:
    """Bars in a terminal, a line a stage elsewhere."""
    from rich.progress import BarColumn, Progress, TaskID, TextColumn

    screen = console()
    if as_json or not screen.is_terminal:
        yield _Lines(tell if as_json else _print)
        return
    tasks: dict[str, TaskID] = {}
    with Progress(TextColumn("{task.description}"), BarColumn(), console=screen) as bars:

        def show(stage: Stage) -> None:
            if stage.name not in tasks:
                tasks[stage.name] = bars.add_task(stage.name, total=1.0)
            bars.update(tasks[stage.name], completed=stage.share)

        yield show


class _Lines:
    def __init__(self, say: Callable[[str], None]) -> None:
        self._say, self._name = say, ""

    def __call__(self, stage: Stage) -> None:
        if stage.name != self._name:
            self._name = stage.name
            self._say(stage.name)


def _as_json(image: Path, before: MetBoard | None, after: MetBoard) -> dict[str, object]:
    return {
        "unspool": 1,
        "image": str(image),
        "firmware": after.firmware,
        "firmware_before": before.firmware if before else None,
        "boot": after.boot,
    }
