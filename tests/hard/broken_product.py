"""A product that is broken on purpose, one way for each class of hard use, to see that it fails.

    python -m hard --broken [--only CLASS]

A judge that nothing fails would say nothing. Children of a fork are broken as their parent is.
"""

from __future__ import annotations

import os
import random
import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from typing import Any
from unittest import mock

from cli.shell import environment
from hard.stores import whole
from unspool.cli import entry
from unspool.cli.stopping import StopSignal
from unspool.errors import BoardError, StoreError
from unspool.instrument.record.capture_reader import CaptureReader
from unspool.instrument.wire import Conversation
from unspool.instrument.wire.decoded import EdgeGap, Garbled
from unspool.instrument.wire.frames import _read
from unspool.store import columns
from unspool.store.captures import CaptureLog

MOST_CASES = 80  # until one fails
HOG_BYTES = 900_000_000
RECORD = "unspool.instrument.record"
_append, _found, _invoke = CaptureLog.append, CaptureReader.found, entry._invoke
_unpack, _receive = columns.unpack, Conversation.receive


def _twice(sentence: str) -> None:
    print(f"unspool: {sentence}\nunspool: {sentence}", file=sys.stderr, flush=True)


def _coloured(sentence: str) -> None:
    print(f"unspool: \x1b[31m{sentence}", file=sys.stderr, flush=True)


def _hog(arguments: list[str]) -> int:
    return _invoke(arguments) if len(b"\1" * HOG_BYTES) else 0


def _shifted(*packed: bytes) -> Any:
    train = _unpack(*packed)
    return replace(train, time_s=train.time_s + 1e-3)


def _forgetful(self: CaptureLog, *_: Any, **__: Any) -> None:
    """Says that bytes are safe, and drops them."""


def _careless(self: CaptureLog, *arguments: Any, **options: Any) -> None:
    """Says that bytes are safe, whatever the store says."""
    with suppress(StoreError):
        _append(self, *arguments, **options)


def _every_other(self: CaptureLog, *arguments: Any, **options: Any) -> None:
    if random.random() < 0.5:
        _append(self, *arguments, **options)


def _of_one_board(self: CaptureReader, over: Any) -> Any:
    return replace(_found(self, over), boot=7)


def _unsaid(self: Conversation, data: bytes) -> list[Any]:
    return [item for item in _receive(self, data) if not isinstance(item, EdgeGap)]


def _without_noise(piece: bytes, named_start: int) -> Any:
    found = _read(piece, named_start)
    if isinstance(found, Garbled):
        raise TypeError("noise is no frame")
    return found


def _refuse(*_: Any) -> bool:
    raise BoardError("what the board says cannot be read")


@contextmanager
def _no_handlers() -> Iterator[StopSignal]:
    yield StopSignal()


@contextmanager
def _handlers_that_fail() -> Iterator[StopSignal]:
    signal.signal(signal.SIGINT, lambda *_: os._exit(1))
    yield StopSignal()


def _wrong_status(place: Path) -> dict[str, str]:
    """For a process of its own, whose interpreter reads this when it starts."""
    code = "import unspool.errors as e\ne.InputError.exit_status = 3\n"
    (place / "sitecustomize.py").write_text(code)
    usual = environment(place)
    return usual | {"PYTHONPATH": f"{usual['PYTHONPATH']}:{place}"}


async def _fails(*_: Any) -> None:
    raise ValueError("a fault of an answer")


def _settable(*_: Any) -> float:
    """A clock that the user and the network set."""
    return time.time()


BREAKS: dict[str, Callable[[], AbstractContextManager[Any]]] = {
    "cars": lambda: mock.patch("unspool.errors.InputError.exit_status", 1),
    "tracks": lambda: mock.patch("unspool.cli.entry.to_stderr", _twice),
    "edges": lambda: mock.patch("unspool.cli.entry._invoke", _hog),
    "processes": lambda: mock.patch("hard.files.environment", _wrong_status),
    "arguments": lambda: mock.patch("unspool.cli.entry.to_stderr", _coloured),
    "paths": lambda: mock.patch("unspool.cli.entry.PATH_FAILURES", ()),
    "stores": lambda: mock.patch("unspool.store.columns.unpack", _shifted),
    "reading": lambda: mock.patch("unspool.store.opening.read_only_databases", return_value=()),
    "signal KILL": lambda: mock.patch.object(CaptureLog, "append", _forgetful),
    "signal TERM": lambda: mock.patch("unspool.cli.session.stop_signals", _no_handlers),
    "signal HUP": lambda: mock.patch("unspool.cli.session.stop_signals", _no_handlers),
    "signal INT": lambda: mock.patch("unspool.cli.session.stop_signals", _handlers_that_fail),
    "signal STOP": lambda: mock.patch.object(CaptureLog, "append", _every_other),
    "pulled": lambda: mock.patch(f"{RECORD}.recorder.Recorder._reconnect", _refuse),
    "overflowed": lambda: mock.patch.object(Conversation, "receive", _unsaid),
    "flipped": lambda: mock.patch("unspool.instrument.wire.frames.crc16", return_value=0),
    "noisy": lambda: mock.patch("unspool.instrument.wire.frames._read", _without_noise),
    "renamed": lambda: mock.patch(f"{RECORD}.attaching.Attaching._resumed", return_value=None),
    "foreign": lambda: mock.patch(f"{RECORD}.meeting.Meeting.feed", _refuse),
    "swapped": lambda: mock.patch.object(CaptureReader, "found", _of_one_board),
    "disk full": lambda: mock.patch.object(CaptureLog, "append", _careless),
    "room again": lambda: mock.patch(f"{RECORD}.store_retry.StoreRetry.__call__", _at_once),
    "locked": lambda: mock.patch(f"{RECORD}.store_retry.StoreRetry.__call__", _at_once),
    "read-only": lambda: mock.patch("unspool.errors.StoreError.exit_status", 1),
    "clock back": lambda: mock.patch("time.monotonic", _settable),
    "two recorders": lambda: mock.patch(
        "unspool.instrument.link.serial._can_lock", return_value=None
    ),
    "requests": lambda: mock.patch("unspool.app.guard.Guard._answer", _fails),
    "killed, file": lambda: mock.patch.object(CaptureLog, "append", _forgetful),
    "killed, server": lambda: mock.patch("unspool.store.appends._is_kept", return_value=False),
    "guests": lambda: mock.patch.object(CaptureLog, "append", _forgetful),
}


def _at_once(_self: Any, write: Callable[[], Any]) -> Any:
    return write()


@contextmanager
def broken_for(name: str) -> Iterator[None]:
    """The product is broken in this class's way, and nobody waits long for what never comes."""
    whole()  # what is damaged or hindered later was written by a product that works
    with BREAKS[name](), mock.patch("hard.recording.recorders.PATIENCE_S", 12.0):
        yield
