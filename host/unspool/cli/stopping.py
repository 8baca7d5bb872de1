"""Signals that ask a command to end: each ends it as Ctrl-C does."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

# SIGHUP comes when the terminal closes; Windows has none.
STOP_SIGNALS = ("SIGINT", "SIGTERM", "SIGHUP")


class StopSignal:
    """Whether a stop signal came. Python swallows what a handler raises while it frees memory."""

    def __init__(self) -> None:
        self._came = False

    def check(self) -> None:
        """Raises KeyboardInterrupt if a signal came, for a loop that would go on otherwise."""
        if self._came:
            raise KeyboardInterrupt

    def interrupt(self, _number: int, _frame: FrameType | None) -> None:
        """The signals' handler."""
        self._came = True
        raise KeyboardInterrupt


@contextmanager
def stop_signals() -> Iterator[StopSignal]:
    """Inside, each stop signal raises KeyboardInterrupt. A signal that is ignored stays so."""
    stop, before = StopSignal(), {}
    for name in STOP_SIGNALS:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is not signal.SIG_IGN:
            before[number] = signal.signal(number, stop.interrupt)
    try:
        yield stop
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
