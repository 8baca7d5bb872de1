"""LiveState: what Track shows of one board, collected from the recorder's notices.

The recorder calls it from its own thread, each page asks it from the server's threads, and one lock
keeps them apart. A page asks with a cursor and gets what is new since then. So a slow page gets
fewer and longer answers, and never falls behind. Figures are drawn when a page asks, so the
recorder never waits for them.
"""

from __future__ import annotations

import json
import time
import uuid
from collections.abc import Callable
from threading import RLock, Thread
from typing import Any, Protocol

from unspool.app.banner import Banner, banner
from unspool.app.board_line import BoardLine, LastAttempt
from unspool.app.cursor import Cursor
from unspool.app.lane import lane_json
from unspool.app.listeners import Listeners
from unspool.app.live_record import LiveRecord, Predict
from unspool.app.live_status import Advised, LiveStatus
from unspool.app.live_words import page_texts
from unspool.app.tiers import last_tier, next_tier, tier_rows
from unspool.car import FLAT, Car, Track
from unspool.errors import InputError, StoreError, StoreWaitError
from unspool.instrument.record.notices import Notice, RunSaved
from unspool.language import ENGLISH, _, in_language, language
from unspool.model import predict
from unspool.reading.events.types import Reading
from unspool.render.words.reading_units import ReadingUnits, reading_in, reading_of
from unspool.store import Attempt

_OF_LINK = (
    "firmware",
    "beside",
    "link_up",
    "link",
    "link_code",
    "battery_v",
    "battery_low",
    "by_itself",
)
# A version of the figure, and how its reader reads.
_Look = tuple[int, str, str]
RETRY_S = 1.0
ReadingOf = Callable[[str], Reading | None]
AttemptOf = Callable[[str], Attempt | None]


class Mark(Protocol):
    """What is called, from any thread, when the builder goes on to the next tier, or back."""

    def __call__(self, *, undo: bool = False) -> object: ...


class LiveState:
    """An Observer of notices that any number of pages may ask.

    key: stands for it in a page's address until the board's number is known. place: of its link.

    predict runs for the car as it is wound, again with each slot of winding. The app sets how
    saved runs are read and named.
    """

    def __init__(
        self,
        car: Car | None = None,
        track: Track = FLAT,
        *,
        key: str = "",
        place: str = "",
        predict: Predict = predict,
    ) -> None:
        self.key, self.place = key or uuid.uuid4().hex[:6], place
        self._record = LiveRecord(car, track, predict)
        self._reading_of: ReadingOf = lambda _run_id: None
        self._attempt_of: AttemptOf = lambda _run_id: None
        self._mark: Mark | None = None
        self._lock = RLock()
        self._listeners, self._line_listeners = Listeners(), Listeners()
        # Shows a page that comes back whether this is still the recording that it knew.
        self._session = uuid.uuid4().hex[:8]
        self._version = 0
        self._figures: dict[_Look, dict[str, Any]] = {}
        self._last: LastAttempt | None = None
        self._said = self._plainly()

    def __call__(self, notice: Notice) -> None:
        with self._lock:
            self._record.take(notice)
            if isinstance(notice, RunSaved) and notice.run_id == self._record.status.run_id:
                # A reading takes seconds; neither the recorder nor a page waits for it.
                read = (notice.run_id,)
                Thread(target=self._add_reading, args=read, name="reading", daemon=True).start()
        self._tell()

    def _tell(self) -> None:
        """All listeners hear of it; those of its line only if that is another one."""
        with self._lock:
            self._version += 1
            before, self._said = self._said, self._plainly()
            new_line = before != self._said
        self._listeners.notify()
        if new_line:
            self._line_listeners.notify()

    def subscribe(self, changed: Callable[[], object]) -> Callable[[], None]:
        """Calls `changed` at each piece of news. Returns what ends that."""
        return self._listeners.add(changed)

    def subscribe_line(self, changed: Callable[[], object]) -> Callable[[], None]:
        """The same for news of its line alone."""
        return self._line_listeners.add(changed)

    def use_readings(self, reading_of: ReadingOf, attempt_of: AttemptOf | None = None) -> None:
        """Each takes the id of a saved run. None for one that cannot be read, or is damaged.

        While they raise StoreWaitError they are asked again.
        """
        self._reading_of, self._attempt_of = reading_of, attempt_of or self._attempt_of

    def use_marks(self, mark: Mark) -> None:
        self._mark = mark

    @property
    def car(self) -> Car | None:
        return self._record.car

    @property
    def line(self) -> BoardLine:
        """What a list of boards shows of this one."""
        with self._lock:
            return BoardLine(self.key, self.place, self._record.status, self._last)

    @property
    def status(self) -> LiveStatus:
        with self._lock:
            return self._record.status

    def begin(
        self,
        car: Car | None,
        track: Track,
        mark: Mark,
        *,
        board: int = 0,
        advised: Advised | None = None,
    ) -> None:
        """From now on this car is recorded, or a board whose car is to be found by its number."""
        with self._lock:
            self._mark, was = mark, self._record.status
            link = {name: getattr(was, name) for name in _OF_LINK}
            self._restart(car, track, recorded=True, board=board, advised=advised, **link)
        self._tell()

    def end(self, why: str = "") -> None:
        """Nothing is recorded any more. why: a sentence if that is a fault."""
        with self._lock:
            self._mark, was = None, self._record.status
            self._restart(None, FLAT, run_id=was.run_id, board=was.board, ended_by=why)
        self._tell()

    def _restart(self, car: Car | None, track: Track, **status: Any) -> None:
        # Pages see by the session that everything that they know is over.
        self._session = uuid.uuid4().hex[:8]
        self._record.restart(car, track, **status)

    def update(self, **changes: Any) -> None:
        """Changes some of LiveStatus that no notice says."""
        with self._lock:
            self._record.update(**changes)
        self._tell()

    def mark_tier(self, *, undo: bool = False) -> str:
        """Marks that the builder starts to wind the next tier, and returns its name.

        undo: takes the last mark back; then it is the tier that is wound again. Raises InputError
        if there is no next tier, or no mark.
        """
        tier = last_tier(self.status) if undo else next_tier(self.status)
        if self._mark is None:
            raise InputError(_("Nothing here is being recorded."))
        self._mark(undo=True) if undo else self._mark()
        return tier

    def has_news(self, cursor: Cursor) -> bool:
        with self._lock:
            return (cursor.session, cursor.version) != (self._session, self._version)

    def banner(self) -> Banner:
        return banner(self.status)

    def news(self, cursor: Cursor) -> dict[str, Any] | None:
        """What a page with this cursor lacks, ready for JSON; None if it has everything."""
        with self._lock:
            if not self.has_news(cursor):
                return None
            known, run = cursor.session == self._session, self._record.run
            start = cursor.have if known and cursor.run == run.key else 0
            answer: dict[str, Any] = {
                "of": self.key,
                "session": self._session,
                "version": self._version,
                "figure_version": self._record.figure_version,
                "run": run.key,
                "from": start,
                "x": run.distance_m[start:],
                "v": run.speed_m_s[start:],
                "state": self.texts(),
            }
            stale = not known or cursor.figure != self._record.figure_version
        if stale:
            answer["figure"] = self.figure()
        return answer

    def texts(self) -> dict[str, Any]:
        """The texts of the page, by the name of their place."""
        with self._lock:
            status = self._record.foreseen()
            texts = page_texts(status) | {"tiers": tier_rows(status), "lane": lane_json(status)}
            return texts | {"session": self._session, "key": self.key}

    def figure(self) -> dict[str, Any]:
        """The figure, as its reader reads, into which the page draws the points: plotly's JSON."""
        with self._lock:
            record = self._record
            look = (record.figure_version, language(), reading_of("m").unit)
            if look in self._figures:
                return self._figures[look]
            status, events, axis_m = record.status, record.events, record.run.axis_m
        from unspool.render.figures.reading_units import for_reader  # with the library of pictures
        from unspool.render.figures.speed import live_figure

        figure = for_reader(live_figure(status.prediction, events, axis_m))
        made: dict[str, Any] = json.loads(figure.to_json())
        with self._lock:
            self._figures = {at: one for at, one in self._figures.items() if at[0] == look[0]}
            self._figures[look] = made
        return made

    def _plainly(self) -> tuple[Any, ...]:
        """What its line says, the same for all who ask."""
        with in_language(ENGLISH), reading_in(ReadingUnits.METRIC):
            return self.line.json(), self.line.banner

    def _add_reading(self, run_id: str) -> None:
        while (found := self._found(run_id)) is None:
            time.sleep(RETRY_S)
            if run_id != self.status.run_id:
                return  # a newer one is shown
        reading, attempt = found
        with self._lock:
            far_m = reading.distance_m if reading else None
            self._last = LastAttempt(run_id, attempt, far_m)
            if reading:
                self._record.add_reading(run_id, reading)
        self._tell()

    def _found(self, run_id: str) -> tuple[Reading | None, Attempt | None] | None:
        """None if the store does not answer now."""
        try:
            return self._reading_of(run_id), self._attempt_of(run_id)
        except StoreWaitError:
            return None
        except StoreError:
            return None, None
