"""LiveBoards: the boards that are recorded now, for the pages that show all of them.

Every page shows one banner: that of the only board, or of the one that needs a look most.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable
from threading import RLock
from typing import Any

from unspool.app.banner import Banner, Tone, banner, banner_json
from unspool.app.board_line import BoardLine
from unspool.app.cursor import Cursor
from unspool.app.listeners import Listeners
from unspool.app.live_state import AttemptOf, LiveState, ReadingOf
from unspool.app.live_status import LiveStatus
from unspool.instrument.record.notices import Phase
from unspool.language import ENGLISH, _, in_language, later
from unspool.render.words.reading_units import ReadingUnits, reading_in
from unspool.render.words.values import joined

CAUTION_OF_ALL = later("Keep hands and feet from under each weight.")
# What needs a look first.
_URGENT = (
    *(Tone.ALARM, Tone.WOUND, Tone.RUNNING, Tone.WINDING),
    *(Tone.ENDED, Tone.READY, Tone.QUIET),
)


class LiveBoards:
    """Safe from several threads. `idle` is what is said when nothing is recorded."""

    def __init__(self, boards: Iterable[LiveState] = ()) -> None:
        self._lock = RLock()
        self._listeners = Listeners()
        self._boards: dict[str, LiveState] = {}
        self._leave: dict[str, Callable[[], None]] = {}
        self._fallen: dict[str, BoardLine] = {}  # whose recording a fault has ended
        self._readings: tuple[ReadingOf, AttemptOf | None] | None = None
        self.idle = LiveStatus()
        self._session = uuid.uuid4().hex[:8]
        self._version = self._banner_version = 0
        self._said = self._plainly()
        for one in boards:
            self.add(one)

    def add(self, live: LiveState) -> None:
        """One more board is recorded from now on. What was said of faults on its link is over."""
        with self._lock:
            if self._readings:
                live.use_readings(*self._readings)
            self._renew_session_if(not self._boards)
            self._boards[live.key] = live
            self._fallen = {k: one for k, one in self._fallen.items() if one.name != live.place}
        self._leave[live.key] = live.subscribe_line(self._tell)
        self._stand_beside()

    def remove(self, key: str, why: str = "") -> None:
        """It is recorded no more. why: a sentence if that is a fault, a Phrase if it can be."""
        self._leave.pop(key)()
        live = self._boards[key]
        live.end(why)
        with self._lock:
            del self._boards[key]
            if why:
                self._fallen[key] = live.line
            self.idle = LiveStatus(run_id=live.status.run_id, ended_by=why)
            self._renew_session_if(not self._boards)
        self._stand_beside()

    def use_readings(self, reading_of: ReadingOf, attempt_of: AttemptOf) -> None:
        """How the runs of all boards are read and named, as LiveState says it."""
        with self._lock:
            self._readings = (reading_of, attempt_of)
            for live in self._boards.values():
                live.use_readings(reading_of, attempt_of)

    @property
    def shown(self) -> list[LiveState]:
        """The boards that are recorded, in the order in which they came."""
        with self._lock:
            return list(self._boards.values())

    @property
    def only(self) -> LiveState | None:
        """The one board, if there is no other."""
        boards = self.shown
        return boards[0] if len(boards) == 1 else None

    def any_runs(self) -> bool:
        """Whether a car is on its way, as far as the boards that are heard say."""
        return any(one.status.shown_phase is Phase.RUNNING for one in self.shown)

    def find(self, name: str) -> LiveState | None:
        """By its key, or its number as its page's address has it."""
        return next((one for one in self.shown if name in (one.key, _number(one))), None)

    @property
    def session(self) -> str:
        """Another one once the first board has come, and once the last one has gone."""
        with self._lock:
            return self._session

    @property
    def lines(self) -> list[BoardLine]:
        """Those that are recorded, then those that a fault has ended."""
        with self._lock:
            return [*(one.line for one in self._boards.values()), *self._fallen.values()]

    def banner(self) -> Banner:
        """Of the only board, or of the one that needs a look most."""
        with self._lock:
            lines, recorded = self.lines, bool(self._boards)
        if not recorded:
            return banner(self.idle)
        said = [(one, one.banner) for one in lines]
        if len(said) == 1:
            return said[0][1]
        most, first = min(said, key=lambda one: _URGENT.index(one[1].tone))
        up = [one.label for one, its in said if its.tone is Tone.WOUND and one is not most]
        careful = (_("Wound: {cars}.", cars=", ".join(up)), _(CAUTION_OF_ALL)) if up else ()
        headline = _("{car}: {state}", car=most.label, state=first.headline)
        return Banner(first.tone, headline, joined(first.advice, *careful))

    def subscribe(self, changed: Callable[[], object]) -> Callable[[], None]:
        """Calls `changed` if a line of the list is another one. Returns what ends that."""
        return self._listeners.add(changed)

    def has_news(self, cursor: Cursor) -> bool:
        with self._lock:
            version = self._banner_version if cursor.brief else self._version
            return (cursor.session, cursor.version) != (self._session, version)

    def news(self, cursor: Cursor) -> dict[str, Any] | None:
        """What a page with this cursor lacks, ready for JSON; None if it has everything."""
        with self._lock:
            if not self.has_news(cursor):
                return None
            state: dict[str, Any] = {"banner": banner_json(self.banner())}
            if cursor.brief:
                version = self._banner_version
            else:
                version, state["boards"] = self._version, [one.json() for one in self.lines]
            return {"session": self._session, "version": version, "state": state}

    def _tell(self) -> None:
        with self._lock:
            self._version += 1
            if (now := self._plainly()) != self._said:
                self._said, self._banner_version = now, self._version
        self._listeners.notify()

    def _plainly(self) -> Banner:
        """The banner, the same for all who ask."""
        with in_language(ENGLISH), reading_in(ReadingUnits.METRIC):
            return self.banner()

    def _renew_session_if(self, changes: bool) -> None:
        if changes:
            self._session = uuid.uuid4().hex[:8]
            self._fallen = {}

    def _stand_beside(self) -> None:
        """Without the lock: who listens to a board may ask for all of them."""
        boards = self.shown
        for live in boards:
            live.update(beside=len(boards) - 1)
        self._tell()


def _number(live: LiveState) -> str:
    return f"{live.line.board:08x}" if live.line.board else live.key
