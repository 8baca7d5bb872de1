"""Timer: whether something that repeats is due, by the caller's clock."""

from __future__ import annotations


class Timer:
    """Due at once, then `every_s` seconds after it was last due."""

    def __init__(self, every_s: float) -> None:
        self._every_s = every_s
        self._due_s: float | None = None

    def due(self, now_s: float) -> bool:
        """Whether the time has come; if so, the next wait begins."""
        if self._due_s is not None and now_s < self._due_s:
            return False
        self.restart(now_s)
        return True

    def restart(self, now_s: float) -> None:
        """The next wait begins now."""
        self._due_s = now_s + self._every_s
