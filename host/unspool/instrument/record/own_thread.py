"""OwnThread: work that blocks, on a thread of its own."""

from __future__ import annotations

import threading
from collections.abc import Callable


class OwnThread:
    """work: called once, on the thread; then `ended`, with what the work raised."""

    def __init__(self, work: Callable[[], object], name: str) -> None:
        self._work = work
        self._ended: Callable[[Exception | None], object] = lambda _failed: None
        self._failed: Exception | None = None
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)

    def start(self, ended: Callable[[Exception | None], object] | None = None) -> None:
        self._ended = ended or self._ended
        self._thread.start()

    @property
    def is_alive(self) -> bool:
        return self._thread.is_alive()

    def join(self, timeout_s: float | None = None) -> bool:
        """Waits for its end, and says whether it came. Raises, once, what the work raised."""
        if self._thread.ident is not None:
            self._thread.join(timeout_s)
        if self._failed is not None:
            failed, self._failed = self._failed, None
            raise failed
        return not self._thread.is_alive()

    def _run(self) -> None:
        try:
            self._work()
        except Exception as error:  # of any kind: `join` raises it in the caller's thread
            self._failed = error
        self._ended(self._failed)
