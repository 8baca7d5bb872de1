"""Single keys pressed in the terminal, without Return, while a command does something else."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager

if sys.platform == "win32":
    import msvcrt
else:
    import select
    import termios
    import tty


class Keys:
    """Keys of a terminal. Without a terminal of this command's own, no key is ever pressed."""

    def __init__(self, terminal: int | None) -> None:
        self._terminal = terminal

    @property
    def available(self) -> bool:
        """Whether there is a terminal to read from."""
        return self._terminal is not None

    def pressed(self) -> str:
        """The keys pressed since the last call. It does not wait for one."""
        if self._terminal is None:
            return ""
        return _waiting(self._terminal)


@contextmanager
def reading_keys() -> Iterator[Keys]:
    """Reads keys without Return, and restores the terminal afterwards. Ctrl-C works as ever."""
    terminal = _own_terminal()
    if terminal is None or sys.platform == "win32":
        yield Keys(terminal)
        return
    before = termios.tcgetattr(terminal)
    try:
        tty.setcbreak(terminal)
        yield Keys(terminal)
    finally:
        termios.tcsetattr(terminal, termios.TCSADRAIN, before)


def _own_terminal() -> int | None:
    try:
        terminal = sys.stdin.fileno()
        if not os.isatty(terminal):
            return None
        # A shell stops a background job that reads from the terminal.
        if sys.platform != "win32" and os.tcgetpgrp(terminal) != os.getpgrp():
            return None
    except (AttributeError, OSError, ValueError):  # closed, or replaced by something without fileno
        return None
    return terminal


if sys.platform == "win32":

    def _waiting(_terminal: int) -> str:
        keys = ""
        while msvcrt.kbhit():
            keys += msvcrt.getwch()
        return keys

else:

    def _waiting(terminal: int) -> str:
        keys = b""
        try:
            while select.select([terminal], [], [], 0.0)[0] and (more := os.read(terminal, 64)):
                keys += more
        except OSError:  # the terminal has gone
            return ""
        return keys.decode("ascii", "ignore")
