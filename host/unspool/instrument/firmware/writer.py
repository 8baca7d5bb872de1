"""avrdude at work: an image onto a board, by the boot loader behind its USB port.

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

WRITER = "avrdude"
BAUDS = (115_200, 57_600)  # of today's boot loaders, and of older ones
LONGEST_S = 180.0
BARS = 50  # that avrdude draws for the whole of a stage

_INSTALL = {
    "linux": "with `sudo apt-get install avrdude`, or as your system names it",
    "darwin": "with `brew install avrdude`",
    "win32": "with `winget install AVRDudes.AVRDUDE`, and open a new window then",
}
_STAGES = {"Writing": "writing", "Reading": "verifying"}
_DRAWN = re.compile(r"(Writing|Reading) \| (#*)")


@dataclass(frozen=True)
class Stage:
    """name is writing or verifying; share of it done, 0 to 1."""

    name: str
    share: float


OnStage = Callable[[Stage], None]


class _NoAnswerError(LinkError):
    """No boot loader answered at this rate."""


def find_writer() -> str:
    """Where avrdude is. Raises InputError, saying how it is installed here."""
    found = shutil.which(WRITER)
    if found is None:
        how = _INSTALL.get(sys.platform, _INSTALL["linux"])
        raise InputError(f"writing to a board needs {WRITER}, which is not here: install it {how}")
    return found


def write(
    image: Path,
    port: str,
    baud: int | None = None,
    progress: OnStage = lambda stage: None,
) -> None:
    """Write and verify. baud None tries what boot loaders use, one after the other.

    Raises LinkError, in a sentence, when it cannot be done, InputError if avrdude is missing.
    """
    writer = find_writer()
    for rate in BAUDS if baud is None else (baud,):
        try:
            _write_at(writer, image, port, rate, progress)
            return
        except _NoAnswerError as error:
            silent = error
    raise silent


def _write_at(writer: str, image: Path, port: str, baud: int, progress: OnStage) -> None:
    command = [writer, "-p", "atmega328p", "-c", "arduino", "-P", port, "-b", str(baud)]
    # -D: a boot loader erases page by page as it writes
    command += ["-D", "-U", f"flash:w:{image}:i"]
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
        raise LinkError(f"avrdude did not come to an end in {LONGEST_S:.0f} s; {_AGAIN}")
    if status != 0:
        raise _failure(said, port)


def _follow(stderr: IO[bytes], progress: OnStage) -> str:
    """All that avrdude says, and reports its bars as they grow."""
    said = bytearray()
    stages = 0
    while piece := stderr.read1(256):  # type: ignore[attr-defined]  # a pipe is a BufferedReader
        said += piece
        drawn = _DRAWN.findall(said.decode("utf-8", "replace"))
        for word, bars in drawn[max(0, stages - 1) :]:  # the one under way, and new ones
            progress(Stage(_STAGES[word], min(1.0, len(bars) / BARS)))
        stages = len(drawn)
    return said.decode("utf-8", "replace")


_AGAIN = "take the board's cable out and in again, and try once more"


def _failure(said: str, port: str) -> LinkError:
    text = said.lower()
    if "signature" in text and "expected" in text:
        return LinkError(
            f"the chip on {port} is no ATmega328P, so nothing was written: unspool's firmware is"
            " for that chip"
        )
    if "mismatch" in text or "verification error" in text:
        return LinkError(f"what the board on {port} holds is not what was written; {_AGAIN}")
    if "no such file" in text or "cannot find the file" in text:
        return LinkError(f"there is no port {port}; see `unspool links` for the ports")
    if "permission denied" in text or "access is denied" in text or "busy" in text:
        return LinkError(
            f"the port {port} is in use by another program, or this user may not open it"
        )
    if "not in sync" in text or "not responding" in text or "unable to open programmer" in text:
        return _NoAnswerError(
            f"no boot loader answers on {port}; press the board's reset button just as the writing"
            " begins, or check that this is the board's port and has a boot loader"
        )
    return LinkError(f"avrdude could not write to {port} ({_last_words(said)}); {_AGAIN}")


def _last_words(said: str) -> str:
    """The line that says most: the last error, or else the last line but the farewell."""
    lines = [line.strip() for line in said.splitlines() if line.strip()]
    lines = [line for line in lines if "done." not in line]
    errors = [line for line in lines if "error" in line.lower()]
    return (errors or lines or ["it gave no reason"])[-1]
