"""PseudoTerminal: gives a virtual board a serial port, of which it holds the board's end."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path

from unspool.errors import LinkError

MOST_BYTES = 4096


def has_terminals() -> bool:
    """Whether the system has pseudo-terminals; Windows has none that pyserial could open."""
    return hasattr(os, "openpty")


class PseudoTerminal:
    """`port` is what a serial link opens.

    `path` gives the port a lasting name, a symbolic link: so it can be unplugged and come back.
    """

    def __init__(self, path: Path | None = None) -> None:
        self._path = path
        self._board: int | None = None
        self._host: int | None = None
        self.plug()

    @property
    def port(self) -> str:
        if self._path is not None:
            return str(self._path)
        if self._host is None:
            raise LinkError("the virtual board's cable is out")
        return os.ttyname(self._host)

    def plug(self) -> None:
        """Raises LinkError if the system has no pseudo-terminal left."""
        import tty

        self.unplug()
        try:
            # Held open on the host's side too: so it outlives a program that opens and closes it.
            self._board, self._host = os.openpty()
        except OSError as error:
            raise LinkError(f"the system gives no pseudo-terminal ({error.strerror})") from error
        tty.setraw(self._host)
        os.set_blocking(self._board, False)
        if self._path is not None:
            fresh = self._path.with_suffix(".new")
            fresh.symlink_to(os.ttyname(self._host))
            fresh.replace(self._path)

    def unplug(self) -> None:
        """As when the cable is pulled: the host's next read or write fails."""
        for end in (self._board, self._host):
            if end is not None:
                os.close(end)
        self._board = self._host = None
        if self._path is not None:
            self._path.unlink(missing_ok=True)

    def send(self, data: bytes) -> None:
        """Sends to the host. While nobody reads, what does not fit is lost, as on a cable."""
        if self._board is not None:
            with contextlib.suppress(OSError):
                os.write(self._board, data)

    def heard(self) -> bytes:
        """What the host sent since the last call."""
        if self._board is None:
            return b""
        try:
            return os.read(self._board, MOST_BYTES)
        except OSError:
            return b""

    def close(self) -> None:
        self.unplug()
