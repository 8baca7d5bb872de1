"""A board whose boot loader shows itself as a drive: found, and its image copied there.

Such a drive holds a file that says which board it is. What it takes is a UF2 file, whose blocks say
which chip they are for. Names and numbers are from memory.
"""

from __future__ import annotations

import errno
import os
import shutil
import struct
import sys
from collections.abc import Iterator
from pathlib import Path

from unspool.errors import InputError, LinkError
from unspool.instrument.firmware.boards import BoardKind
from unspool.language import Phrase, later

ABOUT = "INFO_UF2.TXT"
COPY = "unspool.uf2"
HOW = later("take its cable out, hold its BOOTSEL button, and plug it in again")
MOUNTS = ("/media/*", "/media/*/*", "/run/media/*/*", "/mnt/*", "/Volumes/*")
LETTERS = "DEFGHIJKLMNOPQRSTUVWXYZ"

BLOCK = 512
FAMILY_AT = 28
MAGICS = struct.pack("<2I", 0x0A32_4655, 0x9E5D_5157)
FAMILIES = {0xE48B_FF56: "RPI-RP2"}  # by the name of the drive that takes it


def board_drives() -> list[Path]:
    """The drives of boards in boot mode that this system has mounted."""
    return [folder for folder in _mounted() if _is_file(folder / ABOUT)]


def _mounted() -> Iterator[Path]:
    if sys.platform == "win32":
        yield from (Path(f"{letter}:/") for letter in LETTERS)
        return
    for pattern in MOUNTS:
        root, _, rest = pattern.partition("*")
        yield from sorted(Path(root).glob(f"*{rest}"))


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except OSError:  # another user's drive, or one without a disk
        return False


def only_drive(drives: list[Path]) -> Path:
    """Raises LinkError if there is none, InputError if there are several."""
    if not drives:
        raise LinkError(Phrase("no drive of a board is here: {how}", how=Phrase(HOW)))
    if len(drives) > 1:
        listed = ", ".join(str(drive) for drive in drives)
        raise InputError(
            Phrase(
                "there are several boards' drives: name one with --drive, of {drives}",
                drives=listed,
            )
        )
    return drives[0]


def check_drive(folder: Path, kind: BoardKind) -> None:
    """Raises LinkError if this is not the drive of such a board."""
    found = _board_id(folder)
    if found != kind.drive:
        raise LinkError(
            Phrase(
                "the drive {drive} is that of another board ({found}), so nothing was copied:"
                " unspool has firmware for {ours}",
                drive=folder,
                found=found,
                ours=kind.drive,
            )
        )


def _board_id(folder: Path) -> str:
    try:
        about = (folder / ABOUT).read_text(encoding="utf-8", errors="replace")
    except OSError as error:
        raise LinkError(
            Phrase(
                "{drive} is no drive of a board in boot mode: {how}", drive=folder, how=Phrase(HOW)
            )
        ) from error
    for line in about.splitlines():
        word, _, name = line.partition(":")
        if word.strip().lower() == "board-id":
            return name.strip()
    raise LinkError(
        Phrase(
            "the drive {drive} does not say of which board it is, so nothing was copied",
            drive=folder,
        )
    )


def check_image(image: Path, kind: BoardKind) -> None:
    """Raises InputError if the file is no image for such a board."""
    data = image.read_bytes()
    blocks = [data[at : at + BLOCK] for at in range(0, len(data), BLOCK)]
    if not blocks or any(len(one) < BLOCK or not one.startswith(MAGICS) for one in blocks):
        raise InputError(
            Phrase("{image} is no UF2 image, which is what the drive of a board takes", image=image)
        )
    for block in blocks:
        (family,) = struct.unpack_from("<I", block, FAMILY_AT)
        if FAMILIES.get(family) != kind.drive:
            raise InputError(
                Phrase(
                    "{image} is an image for another board than {board}",
                    image=image,
                    board=kind.name,
                )
            )


def copy_image(image: Path, folder: Path) -> None:
    """Copy it to a drive that was checked.

    The board restarts as soon as it has the last block, and its drive is gone then. Raises
    LinkError, in a sentence, if it was gone before or has no room.
    """
    data = image.read_bytes()
    try:
        free = shutil.disk_usage(folder).free
        if free < len(data):
            raise LinkError(_full(folder))
        with (folder / COPY).open("wb", buffering=0) as copy:
            _write(copy.fileno(), data, folder)
    except OSError as error:
        raise LinkError(_why_not(folder, error)) from error


def _write(file: int, data: bytes, folder: Path) -> None:
    written = 0
    try:
        while written < len(data):
            count = os.write(file, data[written : written + BLOCK])
            if count == 0:
                raise LinkError(_full(folder))
            written += count
        os.fsync(file)
    except OSError:
        if written < len(data):
            raise


def _why_not(folder: Path, error: OSError) -> Phrase:
    if error.errno == errno.ENOSPC:
        return _full(folder)
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return Phrase(
            "this user may not write to the drive {drive}: mount it so that the user may",
            drive=folder,
        )
    return Phrase(
        "the drive {drive} went away before the image was copied: {how}, and try once more",
        drive=folder,
        how=Phrase(HOW),
    )


def _full(folder: Path) -> Phrase:
    return Phrase(
        "the drive {drive} has no room for the image: {how}, which gives it back empty, and check"
        " that it is the board's",
        drive=folder,
        how=Phrase(HOW),
    )
