"""BoardLine: what a list of boards shows of one of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from unspool.app.banner import Banner
from unspool.app.live_status import LiveStatus
from unspool.render.words.board import board_name


@dataclass(frozen=True)
class LastAttempt:
    """far: how far it went, "" if that is not known."""

    run_id: str
    name: str
    far: str


@dataclass(frozen=True)
class BoardLine:
    """key: of its LiveState. board: its number, 0 if it has none. car: "" if it is not known."""

    key: str
    board: int
    name: str
    car: str
    banner: Banner
    last: LastAttempt | None = None

    @classmethod
    def of(
        cls, key: str, place: str, s: LiveStatus, shown: Banner, last: LastAttempt | None
    ) -> BoardLine:
        name = board_name(s.board) if s.board else place or "A board"
        return cls(key, s.board, name, s.car.name if s.car else "", shown, last)

    @property
    def href(self) -> str:
        """The address of its page."""
        return board_address(self.board, self.key)

    @property
    def label(self) -> str:
        """Its name in a sentence: its car, if that is known."""
        return self.car or self.name

    def json(self) -> dict[str, Any]:
        return {
            "href": self.href,
            "name": self.name,
            "car": self.car or "no car yet",
            "tone": self.banner.tone.value,
            "headline": self.banner.headline,
            "last": f"{self.last.name}: {self.last.far}".removesuffix(": ") if self.last else "",
            "attempt": f"/attempts/{quote(self.last.run_id)}" if self.last else "",
        }


def board_address(board: int, key: str) -> str:
    return f"/track/{board:08x}" if board else f"/track/{key}"
