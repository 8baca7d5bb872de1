"""Repeats: a line that comes again and again is said once, and then with how often it came."""

from __future__ import annotations

import re
import time
from collections.abc import Callable

QUIET_S = 60.0  # after so long without it, a line is news again
MOST_KINDS = 50  # a board that says something else each time is one kind
_NUMBER = re.compile(r"\d+")


class Repeats:
    """Lines that differ by their numbers alone are the same. clock: seconds that only rise."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._seen: dict[str, tuple[float, int]] = {}

    def line(self, text: str) -> str:
        """What to say of it: the line, perhaps with its count, or nothing."""
        now, kind = self._clock(), _NUMBER.sub("0", text)
        if kind not in self._seen and len(self._seen) >= MOST_KINDS:
            kind = ""
        last, count = self._seen.get(kind, (now, 0))
        count = 1 if now - last > QUIET_S else count + 1
        self._seen[kind] = (now, count)
        if count == 1:
            return text
        return f"{text} ({count} times)" if _is_power_of_ten(count) else ""


def _is_power_of_ten(count: int) -> bool:
    return str(count).strip("0") == "1"
