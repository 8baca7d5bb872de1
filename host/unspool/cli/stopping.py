"""Signals that ask a command to end: each ends it as Ctrl-C does."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

# SIGHUP comes when the terminal closes; Windows has none.
STOP_SIGNALS = ("SIGTERM", "SIGHUP")


@contextmanager
def stop_signals() -> Iterator[None]:
    """Inside, SIGTERM and SIGHUP raise KeyboardInterrupt. A signal that is ignored stays so."""
    before = {}
    for name in STOP_SIGNALS:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is not signal.SIG_IGN:
            before[number] = signal.signal(number, _interrupt)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _interrupt(_number: int, _frame: FrameType | None) -> None:
    raise KeyboardInterrupt
