"""StoreRetry: a store that is locked or full for a while does not end a recording.

While it waits, nothing is acknowledged: the board keeps its edges as without a link.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import TypeVar

from unspool.errors import StoreWaitError
from unspool.finding import note, warning
from unspool.instrument.codes import RecordCode
from unspool.instrument.record.notices import BoardTrouble, Notice

T = TypeVar("T")
RETRY_S = 0.5  # between two tries; the store itself waits some seconds for its lock, too


class StoreRetry:
    """stopping: set when the recording is to end. notify: called with what observers must know."""

    def __init__(self, stopping: threading.Event, notify: Callable[[Notice], None]) -> None:
        self._stopping = stopping
        self._notify = notify

    def __call__(self, write: Callable[[], T]) -> T:
        """What `write` returns, as soon as the store lets it.

        Raises StoreWaitError if the recording is stopped before, and any other error at once.
        """
        waiting = False
        while True:
            try:
                result = write()
            except StoreWaitError as error:
                if not waiting:
                    reason = warning(RecordCode.STORE_WAITS, reason=error.sentence)
                    self._notify(BoardTrouble(reason))
                waiting = True
                if self._stopping.wait(RETRY_S):
                    raise
            else:
                if waiting:
                    self._notify(BoardTrouble(note(RecordCode.STORE_WRITES_AGAIN)))
                return result
