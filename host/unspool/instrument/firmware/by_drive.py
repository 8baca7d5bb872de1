"""A board that takes its image as a drive: found, copied to, and met again on its port."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

from unspool.errors import InputError, LinkError
from unspool.instrument.firmware.boards import BOARDS, BoardKind
from unspool.instrument.firmware.drive import (
    HOW,
    board_drives,
    check_drive,
    check_image,
    copy_image,
    only_drive,
)
from unspool.instrument.link import cable_link, found_port, usb_vendor
from unspool.language import Phrase

DRIVE_S = 120.0  # for somebody to find the button
RESTART_S = 10.0  # until the board's port is there again
LOOK_AGAIN_S = 0.5
DRIVE_VENDORS = {0x2E8A, 0x1209}  # Raspberry Pi, and what the firmware itself says


def drive_kind() -> BoardKind:
    """The board that a drive is for, as long as there is one kind only."""
    return next(kind for kind in BOARDS.values() if kind.drive)


def kind_by_vendor(device: str) -> BoardKind | None:
    """The board by who made its USB port, whatever program it runs."""
    return drive_kind() if usb_vendor(device) in DRIVE_VENDORS else None


def port_or_drive(named: BoardKind | None) -> str | None:
    """The one port that could be a board. None if there is none and the board is one of a drive.

    Raises LinkError or InputError if the board must have a port.
    """
    try:
        return found_port()
    except LinkError as error:
        if named is not None and named.drive:
            return None
        raise LinkError(
            Phrase("{why}; for a new Pico, {how}", why=error.sentence, how=Phrase(HOW))
        ) from error


def copy_to_drive(
    kind: BoardKind, drive: Path | None, image: Path, waits: bool, report: Callable[[Phrase], None]
) -> None:
    """Copy the image to this drive, or to the one that is or will be mounted.

    waits: somebody is there to press the button. Raises LinkError or InputError, in a sentence.
    """
    folder = drive or _found_drive(waits, report)
    check_drive(folder, kind)
    check_image(image, kind)
    report(Phrase("copying to {folder}", folder=folder))
    copy_image(image, folder)


def _found_drive(waits: bool, report: Callable[[Phrase], None]) -> Path:
    end = time.monotonic() + DRIVE_S
    asked = False
    while not (drives := board_drives()) and waits and time.monotonic() < end:
        if not asked:
            report(Phrase("now {how}", how=Phrase(HOW)))
        asked = True
        time.sleep(LOOK_AGAIN_S)
    return only_drive(drives)


def port_after(cable: str | None) -> str:
    """The port of the board that restarted. Raises LinkError or InputError if there is none."""
    end = time.monotonic() + RESTART_S
    while True:
        try:
            port = cable or found_port()
            link = cable_link(port)
            link.open()
            link.close()
        except (LinkError, InputError):
            if time.monotonic() >= end:
                raise
            time.sleep(LOOK_AGAIN_S)
        else:
            return port
