"""BoardLine: what a list of boards shows of one of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from unspool.app.attempt_names import called
from unspool.app.banner import Banner, banner
from unspool.app.live_status import LiveStatus
from unspool.language import _
from unspool.render.words.board import board_name
from unspool.render.words.units import quantity
from unspool.store import Attempt


@dataclass(frozen=True)
class LastAttempt:
    """attempt: None if it is damaged. far_m: how far it went, None if that is not known."""

    run_id: str
    attempt: Attempt | None
    far_m: float | None

    @property
    def said(self) -> str:
        """ "Sandpiper, 28 Nov, 4th: 12.61 m"."""
        name = called(self.run_id, self.attempt)
        if self.far_m is None:
            return name
        return _("{attempt}: {distance}", attempt=name, distance=quantity(self.far_m, "m"))


@dataclass(frozen=True)
class BoardLine:
    """Values, which each reader gets in own words.

    key: of its LiveState. place: of its link, a Phrase if it can be.
    """

    key: str
    place: str
    status: LiveStatus
    last: LastAttempt | None = None

    @property
    def board(self) -> int:
        """Its number, 0 if it has none."""
        return self.status.board

    @property
    def name(self) -> str:
        return board_name(self.board) if self.board else str(self.place) or _("A board")

    @property
    def car(self) -> str:
        """By name, "" if it is not known."""
        return self.status.car.name if self.status.car else ""

    @property
    def href(self) -> str:
        """The address of its page."""
        return board_address(self.board, self.key)

    @property
    def label(self) -> str:
        """Its name in a sentence: its car, if that is known."""
        return self.car or self.name

    @property
    def banner(self) -> Banner:
        return banner(self.status)

    def json(self) -> dict[str, Any]:
        shown = self.banner
        return {
            "href": self.href,
            "name": self.name,
            "car": self.car or _("no car yet"),
            "tone": shown.tone.value,
            "headline": shown.headline,
            "last": self.last.said if self.last else "",
            "attempt": f"/attempts/{quote(self.last.run_id)}" if self.last else "",
        }


def board_address(board: int, key: str) -> str:
    return f"/track/{board:08x}" if board else f"/track/{key}"
