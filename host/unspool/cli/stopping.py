"""Signals that ask a command to end: each ends it as Ctrl-C does."""

from __future__ import annotations

import logging
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Event
from types import FrameType, TracebackType

# SIGHUP comes when the terminal closes; Windows has none.
STOP_SIGNALS = ("SIGINT", "SIGTERM", "SIGHUP")


_swallowed = Event()  # set once a Ctrl-C ended in a place that could not pass it on


class StopSignal:
    """Whether a stop signal came, for work that checks often.

    One that was swallowed while the command started counts.
    """

    def __init__(self) -> None:
        self._came = _swallowed.is_set()

    def check(self) -> None:
        """Raises KeyboardInterrupt if a signal came."""
        if self._came:
            raise KeyboardInterrupt

    def note(self, _number: int, _frame: FrameType | None) -> None:
        """The signals' handler."""
        self._came = True


def hide_interrupts() -> None:
    """Ctrl-C is no fault to print, also if it comes in a place that cannot pass it on.

    Such places are a finalizer, compiled code, and a database connection that is given back.
    """
    show, show_ignored = sys.excepthook, sys.unraisablehook

    _swallowed.clear()

    def hook(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if not issubclass(kind, KeyboardInterrupt):
            show(kind, error, trace)

    def ignored(found: sys.UnraisableHookArgs) -> None:
        if issubclass(found.exc_type, KeyboardInterrupt):
            _swallowed.set()
        else:
            show_ignored(found)

    sys.excepthook, sys.unraisablehook = hook, ignored
    if logging.lastResort is not None:
        logging.lastResort.addFilter(_is_no_interrupt)


def _is_no_interrupt(record: logging.LogRecord) -> bool:
    kind = record.exc_info[0] if record.exc_info else None
    if kind is None or not issubclass(kind, KeyboardInterrupt):
        return True
    _swallowed.set()
    return False


@contextmanager
def stop_signals() -> Iterator[StopSignal]:
    """Inside, stop signals are noted until they are checked. One that is ignored stays so.

    A handler that raises would leave a lock taken if the signal came at the wrong moment. Then the
    recorder, which is another thread, would wait for it for ever.
    """
    stop, before = StopSignal(), {}
    for name in STOP_SIGNALS:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is not signal.SIG_IGN:
            before[number] = signal.signal(number, stop.note)
    try:
        yield stop
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
