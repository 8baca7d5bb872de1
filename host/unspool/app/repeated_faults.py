"""A fault of the server that comes again and again is logged once a minute, with its count."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable

from h11 import LocalProtocolError

AGAIN_S = 60.0
# asyncio says this for each connection that it puts off, and takes up again after a second. Nobody
# can mend it here: a guest holds all descriptors that guests may have.
NO_DESCRIPTORS = "socket.accept() out of system resource"
LOGGERS = ("uvicorn.error", "asyncio", "unspool.app.factory")


class OnceAMinute(logging.Filter):
    """Lets one record of a kind pass each minute. clock: seconds that only rise."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        super().__init__()
        self._clock = clock
        self._seen: dict[tuple[str, str], tuple[float, int]] = {}

    def filter(self, record: logging.LogRecord) -> bool:
        kind = record.exc_info[0] if record.exc_info else None
        # h11 refuses an answer whose connection was closed, because a malformed request followed.
        if str(record.msg).startswith(NO_DESCRIPTORS) or kind is LocalProtocolError:
            return False
        key = (str(record.msg), kind.__name__ if kind else "")
        now = self._clock()
        since, count = self._seen.get(key, (-AGAIN_S, 0))
        if now - since < AGAIN_S:
            self._seen[key] = (since, count + 1)
            return False
        if count:
            record.msg = f"{record.msg} ({count} more in the last minute)"
        self._seen[key] = (now, 0)
        return True


def quieten() -> None:
    """Puts the filter on the loggers that a guest's requests can reach."""
    for name in LOGGERS:
        logger = logging.getLogger(name)
        if not any(isinstance(one, OnceAMinute) for one in logger.filters):
            logger.addFilter(OnceAMinute())
