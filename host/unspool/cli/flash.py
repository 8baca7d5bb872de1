"""`unspool flash`: put the firmware on a board."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.flash_drive import (
    copy_to_drive,
    drive_kind,
    kind_by_vendor,
    port_after,
    port_or_drive,
    somebody_is_there,
)
from unspool.cli.sources import AsJson
from unspool.cli.streams import console, print_json, to_stderr
from unspool.cli.ways import Cable
from unspool.errors import BoardError, InputError

if TYPE_CHECKING:
    from unspool.instrument.firmware import BoardKind, BootLoader, IdentifiedBoard, Stage

LOOK_S = 6.5  # opening the port resets many boards, which then start within two seconds; two rates
PROOF_S = 8.0
OLD_LOADER = (
    "its boot loader is an old one, which does not bear the watchdog. If the program ever hangs,"
    " the board restarts for ever until its power is off; a newer boot loader mends that"
)


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
    named = _named(board)
    if drive is not None and named is not None and not named.drive:
        raise InputError(f"{named.name} has no drive: leave out --drive or --board")
    if _is_in_boot_mode(cable, drive, named):
        writing = _Writing("", build, baud, as_json)
        before, (image, after) = None, writing.copy(drive_kind(), cable, drive)
    else:
        image, before, after = _flash_over(cable, named, force, build, baud, as_json)
    if as_json:
        print_json(_as_json(image, before, after))
    else:
        print(f"the board runs {after.firmware}, boot {after.boot}")


def _is_in_boot_mode(cable: str | None, drive: Path | None, named: BoardKind | None) -> bool:
    """Whether the board is a drive now, and so cannot be asked what it holds."""
    from unspool.instrument.firmware import board_drives

    may_be_one = named.drive if named else cable is None
    return drive is not None or bool(may_be_one and board_drives())


def _flash_over(
    cable: str | None,
    named: BoardKind | None,
    force: bool,
    build: bool,
    baud: int | None,
    as_json: bool,
) -> tuple[Path, IdentifiedBoard | None, IdentifiedBoard]:
    """A board on a port: the image, and what ran before and after."""
    from unspool.instrument.firmware import find_writer, kind_of

    if named is not None and not named.drive:
        find_writer()
    device = cable or port_or_drive(named)
    writing = _Writing(device or "", build, baud, as_json)
    if device is None:
        image, after = writing.copy(drive_kind(), None, None)
        return image, None, after
    writing.report(f"looking at {device}")
    before, rate = _meet(device, LOOK_S)
    if before is not None and before.held and not force:
        _ask_to_lose(before.held, device, as_json)
    kind = named or (kind_of(before.firmware, rate) if before else kind_by_vendor(device))
    if kind and kind.drive:
        image, after = writing.copy(kind, cable, None)
    else:
        find_writer()
        image, after = writing.write(kind, named is not None)
    return image, before, after


def _ask_to_lose(held: int, device: str, as_json: bool) -> None:
    """Raises InputError unless somebody is there to ask, and agrees."""
    holds = f"the board on {device} holds {held} edges that are not recorded yet"
    if somebody_is_there(as_json) and typer.confirm(f"{holds}. Lose them?"):
        return
    raise InputError(
        f"{holds}, and this would lose them: run `unspool record` first, or add --force"
    )


def _named(board: str | None) -> BoardKind | None:
    from unspool.instrument.firmware import BOARDS

    if board is not None and board not in BOARDS:
        raise InputError(f"{board!r} is no board that unspool knows: it knows {', '.join(BOARDS)}")
    return BOARDS[board] if board else None


def _print(text: str) -> None:
    print(text, flush=True)


def _meet(device: str, patience_s: float) -> tuple[IdentifiedBoard | None, int]:
    """The board, None if none answers, and the rate at which it does.

    Raises LinkError if the port is missing or in use.
    """
    from unspool.instrument.firmware import identify_board
    from unspool.instrument.link import cable_link

    link = cable_link(device)
    link.open()
    try:
        return identify_board(link, patience_s), link.baud
    finally:
        link.close()


@dataclass(frozen=True)
class _Writing:
    """A board's firmware on its way to the board."""

    device: str
    build: bool
    baud: int | None
    as_json: bool

    def report(self, text: str) -> None:
        (to_stderr if self.as_json else _print)(text)

    def write(self, kind: BoardKind | None, named: bool) -> tuple[Path, IdentifiedBoard]:
        """kind: what the board seems to be, or is by the user's word if `named`."""
        from unspool.instrument.firmware import ask_loader, is_old, with_clock

        loader, kind = ask_loader(self.device, kind, self.baud)
        self.report(f"found a board with an {kind.chip}")
        image, after, rate = self._once(loader, kind)
        right = with_clock(kind, rate)
        if right is not kind:
            clock = f"the board on {self.device} answers at {rate} baud, so it is {right.name}"
            if named:
                raise BoardError(f"{clock}, not {kind.name}: try again without --board")
            self.report(f"{clock}: once more with its own firmware")
            image, after, _ = self._once(loader, right)
        if is_old(loader, right):
            self.report(OLD_LOADER)
        return image, after

    def copy(
        self, kind: BoardKind, cable: str | None, drive: Path | None
    ) -> tuple[Path, IdentifiedBoard]:
        """The same for a board that is a drive, or becomes one when it is plugged in again."""
        image, firmware = self._image(kind)
        copy_to_drive(kind, drive, image, somebody_is_there(self.as_json), self.report)
        self.report("copied; waiting for the board to answer")
        after, _ = _proven(port_after(cable), firmware)
        return image, after

    def _once(self, loader: BootLoader, kind: BoardKind) -> tuple[Path, IdentifiedBoard, int]:
        from unspool.instrument.firmware import write

        image, firmware = self._image(kind)
        with _display(self.as_json) as progress:
            write(loader, image, progress)
        self.report("written; waiting for the board to answer")
        return image, *_proven(self.device, firmware)

    def _image(self, kind: BoardKind) -> tuple[Path, str]:
        """The image to write, and the name of the firmware in it."""
        from unspool import __version__
        from unspool.instrument.firmware import build_image, shipped_image

        if self.build:
            return build_image(kind.name), f"{kind.name} {__version__}"
        shipped = shipped_image(kind.name)
        return shipped.path, shipped.firmware


def _proven(device: str, firmware: str) -> tuple[IdentifiedBoard, int]:
    board, rate = _meet(device, PROOF_S)
    if board is None:
        raise BoardError(
            f"the image is written, but the board on {device} does not answer: unplug its cable,"
            " plug it in again, and try `unspool check`"
        )
    if board.firmware != firmware or not board.speaks_ours:
        raise BoardError(
            f"the board on {device} runs {board.firmware!r}, but {firmware!r} was written: this may"
            " be another board's port, or the write failed; try again"
        )
    return board, rate


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


def _as_json(
    image: Path, before: IdentifiedBoard | None, after: IdentifiedBoard
) -> dict[str, object]:
    return {
        "unspool": 1,
        "image": str(image),
        "firmware": after.firmware,
        "firmware_before": before.firmware if before else None,
        "boot": after.boot,
    }
