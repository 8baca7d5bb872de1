"""avrdude at work: a chip's signature read, and an image written, by the boot loader behind USB.

What avrdude says is for people and differs between its versions, so only a few of its words are
looked for; the exit status decides.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from unspool.errors import InputError, LinkError
from unspool.instrument.firmware.boards import ATMEGA328P, BOARDS, BoardKind
from unspool.instrument.firmware.chips import refusal
from unspool.language import Phrase, later

WRITER = "avrdude"
LONGEST_S = 180.0
OLD_LOADER_BAUD = 57_600  # of a 16 MHz board
BARS = 50  # that avrdude draws for the whole of a stage

_INSTALL = {
    "linux": later("with `sudo apt-get install avrdude`, or as your system names it"),
    "darwin": later("with `brew install avrdude`"),
    "win32": later("with `winget install AVRDudes.AVRDUDE`, and open a new window then"),
}
_STAGES = {"Writing": later("writing"), "Reading": later("verifying")}
_DRAWN = re.compile(r"(Writing|Reading) \| (#*)")
_SIGNATURE = re.compile(r"device signature = (?:0x)?([0-9a-f]{2}) ?([0-9a-f]{2}) ?([0-9a-f]{2})")


@dataclass(frozen=True)
class Stage:
    """name is writing or verifying, a Phrase; share of it done, 0 to 1."""

    name: str
    share: float


OnStage = Callable[[Stage], None]


class _NoAnswerError(LinkError):
    """No boot loader answered at this rate."""


@dataclass(frozen=True)
class BootLoader:
    """One that answered. part: its chip, in avrdude's word."""

    port: str
    programmer: str
    baud: int
    part: str


def find_writer() -> str:
    """Where avrdude is. Raises InputError, saying how it is installed here."""
    found = shutil.which(WRITER)
    if found is None:
        how = Phrase(_INSTALL.get(sys.platform, _INSTALL["linux"]))
        raise InputError(
            Phrase(
                "writing to a board needs {program}, which is not here: install it {how}",
                program=WRITER,
                how=how,
            )
        )
    return found


def is_old(loader: BootLoader, kind: BoardKind) -> bool:
    """Whether it is of the kind that lets the watchdog run on, and so never ends its own start."""
    return kind is ATMEGA328P and loader.baud == OLD_LOADER_BAUD


def ask_loader(
    port: str, kind: BoardKind | None = None, baud: int | None = None
) -> tuple[BootLoader, BoardKind]:
    """The boot loader on this port and the board that its chip belongs to; nothing is written.

    kind: the board, if it is known. baud None tries what boot loaders use, one after the other.
    Raises LinkError, in a sentence, when it cannot be done, InputError if avrdude is missing.
    """
    silent = LinkError(Phrase("no boot loader answers on {port}", port=port))
    for programmer, rate, part in _ways(kind, baud):
        loader = BootLoader(port, programmer, rate, part)
        try:
            signature = _signature(loader)
        except _NoAnswerError as error:
            silent = error
            continue
        found = _kind_with(signature, kind)
        if found is None:
            raise LinkError(refusal(signature, port, kind))
        return BootLoader(port, programmer, rate, found.parts[signature]), found
    raise silent


def _ways(kind: BoardKind | None, baud: int | None) -> list[tuple[str, int, str]]:
    """Programmer, rate and part of all that may answer, each once."""
    ways = [
        (one.programmer, rate, next(iter(one.parts.values())))
        for one in ([kind] if kind else BOARDS.values())
        for rate in ((baud,) if baud else one.loader_bauds)
    ]
    return list(dict.fromkeys(ways))


def _kind_with(signature: int, kind: BoardKind | None) -> BoardKind | None:
    kinds = [kind] if kind else BOARDS.values()
    return next((one for one in kinds if signature in one.parts), None)


def _signature(loader: BootLoader) -> int:
    """The chip's. avrdude reads it before all else, and ends if it is another than the part's."""
    status, said = _run(loader, ["-n", "-v"])
    found = _SIGNATURE.search(said.lower())
    if found is None:
        raise _failure(said, loader.port) if status else _NoAnswerError(_silent(loader.port))
    return int("".join(found.groups()), 16)


def write(loader: BootLoader, image: Path, progress: OnStage = lambda stage: None) -> None:
    """Write and verify. Raises LinkError, in a sentence, when it cannot be done."""
    # -D: a boot loader erases page by page as it writes
    status, said = _run(loader, ["-D", "-U", f"flash:w:{image}:i"], progress)
    if status != 0:
        raise _failure(said, loader.port)


def _run(
    loader: BootLoader, arguments: list[str], progress: OnStage = lambda stage: None
) -> tuple[int, str]:
    """avrdude's exit status and all that it says."""
    command = [find_writer(), "-p", loader.part, "-c", loader.programmer, "-P", loader.port]
    command += ["-b", str(loader.baud), *arguments]
    with subprocess.Popen(
        command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    ) as process:
        assert process.stderr is not None  # it was asked for as a pipe
        late = threading.Event()

        def give_up() -> None:
            late.set()
            process.kill()

        timer = threading.Timer(LONGEST_S, give_up)
        timer.start()
        try:
            said = _follow(process.stderr, progress)
            status = process.wait()
        except BaseException:
            process.kill()
            raise
        finally:
            timer.cancel()
    if late.is_set():
        late_s = format(LONGEST_S, ".0f")
        raise LinkError(
            Phrase(
                "avrdude did not come to an end in {seconds} s; {again}",
                seconds=late_s,
                again=Phrase(_AGAIN),
            )
        )
    return status, said


def _follow(stderr: IO[bytes], progress: OnStage) -> str:
    """All that avrdude says, and reports its bars as they grow."""
    said = bytearray()
    stages = 0
    while piece := stderr.read1(256):  # type: ignore[attr-defined]  # a pipe is a BufferedReader
        said += piece
        drawn = _DRAWN.findall(said.decode("utf-8", "replace"))
        for word, bars in drawn[max(0, stages - 1) :]:  # the one under way, and new ones
            progress(Stage(Phrase(_STAGES[word]), min(1.0, len(bars) / BARS)))
        stages = len(drawn)
    return said.decode("utf-8", "replace")


_AGAIN = later("take the board's cable out and in again, and try once more")


def _failure(said: str, port: str) -> LinkError:
    text = said.lower()
    if "mismatch" in text or "verification error" in text:
        return LinkError(
            Phrase(
                "what the board on {port} holds is not what was written; {again}",
                port=port,
                again=Phrase(_AGAIN),
            )
        )
    if "no such file" in text or "cannot find the file" in text:
        return LinkError(
            Phrase("there is no port {port}; see `unspool links` for the ports", port=port)
        )
    if "permission denied" in text or "access is denied" in text or "busy" in text:
        return LinkError(
            Phrase(
                "the port {port} is in use by another program, or this user may not open it",
                port=port,
            )
        )
    if "not in sync" in text or "not responding" in text or "unable to open programmer" in text:
        return _NoAnswerError(_silent(port))
    return LinkError(
        Phrase(
            "avrdude could not write to {port} ({reason}); {again}",
            port=port,
            reason=_last_words(said),
            again=Phrase(_AGAIN),
        )
    )


def _silent(port: str) -> Phrase:
    return Phrase(
        "no boot loader answers on {port}; press the board's reset button just as the writing"
        " begins, or check that this is the board's port and has a boot loader",
        port=port,
    )


def _last_words(said: str) -> str:
    """The line that says most: the last error, or else the last line but the farewell."""
    lines = [line.strip() for line in said.splitlines() if line.strip()]
    lines = [line for line in lines if "done." not in line]
    errors = [line for line in lines if "error" in line.lower()]
    return (errors or lines or ["it gave no reason"])[-1]
