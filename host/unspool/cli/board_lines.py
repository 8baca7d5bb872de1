"""BoardLines: the notices of several boards as lines in the terminal, each with its board."""

from __future__ import annotations

from typing import TYPE_CHECKING

from unspool.cli.notices import NoticeLines
from unspool.instrument.record.notices import Notice

if TYPE_CHECKING:
    from unspool.app import LiveState


class BoardLines:
    """several: a line names its board, as it does once a second board is there."""

    def __init__(self, *, several: bool) -> None:
        self._several = several
        self._lines: dict[str, NoticeLines] = {}

    def line(self, live: LiveState, notice: Notice) -> str:
        """Empty if it holds nothing new for the user."""
        made = self._lines.setdefault(live.key, NoticeLines()).line(notice)
        return self.named(live, made) if made else ""

    def named(self, live: LiveState, text: str) -> str:
        """The text, with its board if there were several."""
        if not self._several and len(self._lines) < 2:
            return text
        mark, text = ("! ", text[2:]) if text.startswith("! ") else ("", text)
        return f"{mark}{live.line.label}: {text}"
