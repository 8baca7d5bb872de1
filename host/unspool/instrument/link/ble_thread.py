"""LoopThread: an asyncio loop on a thread of its own, for callers that wait."""

from __future__ import annotations

import asyncio
import concurrent.futures
import threading
from collections.abc import Coroutine
from typing import Any, TypeVar

T = TypeVar("T")
# Work ends by itself in time; this is for a system that swallows even a cancellation.
MARGIN_S = 10.0


class LoopThread:
    """Runs from construction until `stop`; safe between threads."""

    def __init__(self, name: str) -> None:
        self._loop: asyncio.AbstractEventLoop
        self._ended: asyncio.Event
        self._lock = threading.Lock()
        self._cancellable: concurrent.futures.Future[Any] | None = None
        started = threading.Event()
        self._thread = threading.Thread(target=self._work, args=(started,), name=name, daemon=True)
        self._thread.start()
        started.wait()

    def run(self, work: Coroutine[Any, Any, T], limit_s: float, *, cancellable: bool = False) -> T:
        """What work returns or raises, one work at a time.

        Raises concurrent.futures.CancelledError after `cancel`, TimeoutError if work did not end
        long after limit_s.
        """
        with self._lock:  # a `cancel` that comes once work has begun finds it
            future = asyncio.run_coroutine_threadsafe(work, self._loop)
            self._cancellable = future if cancellable else None
        try:
            return future.result(limit_s + MARGIN_S)
        finally:
            future.cancel()
            self._cancellable = None

    def cancel(self) -> None:
        """Makes the work that is under way end, if it may be cancelled; from any thread."""
        with self._lock:
            if self._cancellable is not None:
                self._cancellable.cancel()

    def stop(self) -> None:
        """Ends the loop and what is left in it."""
        self._loop.call_soon_threadsafe(self._ended.set)
        self._thread.join(MARGIN_S)

    def _work(self, started: threading.Event) -> None:
        # closing the runner cancels what bleak left behind in the loop
        with asyncio.Runner() as runner:
            self._loop = runner.get_loop()
            self._ended = asyncio.Event()
            started.set()
            runner.run(self._wait())

    async def _wait(self) -> None:
        await self._ended.wait()
