"""Puts the firmware on a board: finds out which it is, writes or copies, and sees it run.

The caller says how it reports, how it shows the stages of writing, and whether edges may be lost.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path

from unspool.errors import BoardError, InputError
from unspool.instrument.firmware.boards import BoardKind, kind_of, with_clock
from unspool.instrument.firmware.build import build_image
from unspool.instrument.firmware.by_drive import (
    copy_to_drive,
    drive_kind,
    kind_by_vendor,
    port_after,
    port_or_drive,
)
from unspool.instrument.firmware.drive import board_drives
from unspool.instrument.firmware.identify import IdentifiedBoard, identify_board
from unspool.instrument.firmware.image import shipped_image
from unspool.instrument.firmware.writer import (
    BootLoader,
    OnStage,
    ask_loader,
    find_writer,
    is_old,
    write,
)
from unspool.instrument.link import cable_link
from unspool.language import Phrase, later

LOOK_S = 6.5  # opening the port resets many boards, which then start within two seconds; two rates
PROOF_S = 8.0
OLD_LOADER = later(
    "its boot loader is an old one, which does not bear the watchdog. If the program ever hangs,"
    " the board restarts for ever until its power is off; a newer boot loader mends that"
)
_OTHER_CLOCK = later(
    "the board on {port} answers at {rate} baud, so it is {found}, not {named}: try again without"
    " naming the board"
)
_ONCE_MORE = later(
    "the board on {port} answers at {rate} baud, so it is {found}: once more with its own firmware"
)


@dataclass(frozen=True)
class Wanted:
    """What is asked for; None and "" leave it to unspool.

    - cable, drive: the port, or the folder of a drive. kind: the board by the user's word.
    - build: the version that is built from a checkout first. baud: of the boot loader.
    """

    cable: str | None = None
    kind: BoardKind | None = None
    drive: Path | None = None
    build: str = ""
    baud: int | None = None


@dataclass(frozen=True)
class Caller:
    """How the one who asked is kept informed.

    - report: takes a sentence at each step, a Phrase. stages: opened around each writing.
    - may_lose: called if the board holds edges; raises InputError if they must not be lost.
    - waits: somebody is there to press a button on the board.
    """

    report: Callable[[Phrase], None]
    stages: Callable[[], AbstractContextManager[OnStage]]
    may_lose: Callable[[int, str], None]
    waits: bool = False


@dataclass(frozen=True)
class Flashed:
    """before: what answered before it was written; None if nothing did, or nobody could ask."""

    image: Path
    before: IdentifiedBoard | None
    after: IdentifiedBoard


def put_firmware(wanted: Wanted, caller: Caller) -> Flashed:
    """Raises LinkError, InputError or BoardError, in a sentence that says what to do."""
    kind = wanted.kind
    if wanted.drive is not None and kind is not None and not kind.drive:
        raise InputError(
            Phrase("{board} has no drive, it is written through its port", board=kind.name)
        )
    writing = _Writing(wanted, caller)
    if _is_in_boot_mode(wanted):
        return writing.copy(drive_kind(), wanted.cable, None)
    if kind is not None and not kind.drive:
        find_writer()
    device = wanted.cable or port_or_drive(kind)
    if device is None:
        return writing.copy(drive_kind(), None, None)
    return writing.over_port(device)


def _is_in_boot_mode(wanted: Wanted) -> bool:
    """Whether the board is a drive now, and so cannot be asked what it holds."""
    may_be_one = wanted.kind.drive if wanted.kind else wanted.cable is None
    return wanted.drive is not None or bool(may_be_one and board_drives())


@dataclass(frozen=True)
class _Writing:
    """A board's firmware on its way to the board."""

    wanted: Wanted
    caller: Caller

    def over_port(self, device: str) -> Flashed:
        """A board on a port, which may turn out to be one that takes its image as a drive."""
        self.caller.report(Phrase("looking at {port}", port=device))
        before, rate = meet(device, LOOK_S)
        if before is not None and before.held:
            self.caller.may_lose(before.held, device)
        named = self.wanted.kind
        kind = named or (kind_of(before.firmware, rate) if before else kind_by_vendor(device))
        if kind and kind.drive:
            return self.copy(kind, self.wanted.cable, before)
        find_writer()
        image, after = self.write(device, kind)
        return Flashed(image, before, after)

    def write(self, device: str, kind: BoardKind | None) -> tuple[Path, IdentifiedBoard]:
        """kind: what the board is by the user's word, or seems to be."""
        loader, kind = ask_loader(device, kind, self.wanted.baud)
        self.caller.report(Phrase("found a board with an {chip}", chip=Phrase(kind.chip)))
        image, after, rate = self._once(loader, kind)
        right = with_clock(kind, rate)
        if right is not kind:
            found = {"port": device, "rate": rate, "found": right.name}
            if self.wanted.kind:
                raise BoardError(Phrase(_OTHER_CLOCK, **found, named=kind.name))
            self.caller.report(Phrase(_ONCE_MORE, **found))
            image, after, _ = self._once(loader, right)
        if is_old(loader, right):
            self.caller.report(Phrase(OLD_LOADER))
        return image, after

    def copy(self, kind: BoardKind, cable: str | None, before: IdentifiedBoard | None) -> Flashed:
        """The same for a board that is a drive, or becomes one when it is plugged in again."""
        image, firmware = self._image(kind)
        copy_to_drive(kind, self.wanted.drive, image, self.caller.waits, self.caller.report)
        self.caller.report(Phrase("copied; waiting for the board to answer"))
        after, _ = _proven(port_after(cable), firmware)
        return Flashed(image, before, after)

    def _once(self, loader: BootLoader, kind: BoardKind) -> tuple[Path, IdentifiedBoard, int]:
        image, firmware = self._image(kind)
        with self.caller.stages() as progress:
            write(loader, image, progress)
        self.caller.report(Phrase("written; waiting for the board to answer"))
        return image, *_proven(loader.port, firmware)

    def _image(self, kind: BoardKind) -> tuple[Path, str]:
        """The image to write, and the name of the firmware in it."""
        if self.wanted.build:
            return build_image(kind.name), f"{kind.name} {self.wanted.build}"
        shipped = shipped_image(kind.name)
        return shipped.path, shipped.firmware


def meet(device: str, patience_s: float) -> tuple[IdentifiedBoard | None, int]:
    """The board, None if none answers, and the rate at which it does.

    Raises LinkError if the port is missing or in use.
    """
    link = cable_link(device)
    link.open()
    try:
        return identify_board(link, patience_s), link.baud
    finally:
        link.close()


def _proven(device: str, firmware: str) -> tuple[IdentifiedBoard, int]:
    board, rate = meet(device, PROOF_S)
    if board is None:
        raise BoardError(
            Phrase(
                "the image is written, but the board on {port} does not answer: unplug its cable,"
                " plug it in again, and check its sensors",
                port=device,
            )
        )
    if board.firmware != firmware or not board.speaks_ours:
        raise BoardError(
            Phrase(
                "the board on {port} runs {runs!r}, but {written!r} was written: this may be"
                " another board's port, or the write failed; try again",
                port=device,
                runs=board.firmware,
                written=firmware,
            )
        )
    return board, rate
