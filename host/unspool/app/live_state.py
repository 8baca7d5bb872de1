"""LiveState: what the live page shows, collected from the recorder's notices.

The recorder calls it from its own thread, each page asks it from the server's threads, and one lock
keeps them apart. A page asks with a cursor and gets what is new since then. So a slow page gets
fewer and longer answers, and never falls behind. Figures are drawn when a page asks, so the
recorder never waits for them.
"""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from threading import RLock, Thread
from typing import Any, Protocol

from unspool.app.banner import Banner, banner, banner_json
from unspool.app.cursor import Cursor
from unspool.app.lane import lane_json
from unspool.app.listeners import Listeners
from unspool.app.live_run import LiveRun
from unspool.app.live_status import LiveStatus
from unspool.app.live_words import page_texts
from unspool.app.tiers import last_tier, next_tier, tier_rows
from unspool.car import FLAT, Car, Track
from unspool.car.winding import counted_turns
from unspool.errors import InputError, UnspoolError
from unspool.instrument.codes import RecordCode
from unspool.instrument.record.notices import (
    BoardHealth,
    BoardSeen,
    BoardTrouble,
    EdgesMissed,
    LinkChanged,
    Notice,
    Phase,
    PhaseChanged,
    RunEdges,
    RunSaved,
)
from unspool.model import predict
from unspool.model.outcome import Event, Prediction
from unspool.reading.events.types import Reading
from unspool.render.figures.speed import live_figure
from unspool.render.words.attempt_result import result_words
from unspool.render.words.findings import sentence


class Mark(Protocol):
    """What is called, from any thread, when the builder goes on to the next tier, or back."""

    def __call__(self, *, undo: bool = False) -> object: ...


class LiveState:
    """An Observer of notices that any number of pages may ask.

    predict runs for the car as it is wound, again with each slot of winding. The app sets how
    saved runs are read.
    """

    def __init__(
        self,
        car: Car | None = None,
        track: Track = FLAT,
        *,
        predict: Callable[[Car, Track], Prediction] = predict,
    ) -> None:
        self.car, self.track = car, track
        self._predict = predict
        self._reading_of: Callable[[str], Reading | None] = lambda _run_id: None
        self._mark: Mark | None = None
        self._lock = RLock()
        self._listeners = Listeners()
        # Shows a page that comes back whether this is still the server that it knew.
        self._session = uuid.uuid4().hex[:8]
        self._version = 0
        self._figure_version = 0
        self._figure_made: tuple[int, dict[str, Any]] | None = None
        self._run = LiveRun(car)
        self._events: tuple[Event, ...] = ()
        self._status = LiveStatus(car=car, prediction=self._predicted(car) if car else None)
        self._banner, self._banner_version = banner(self._status), 0

    def __call__(self, notice: Notice) -> None:
        with self._lock:
            self._take(notice)
            self._renew()
        self._listeners.notify()

    def _renew(self) -> None:
        self._version += 1
        if (now := banner(self._status)) != self._banner:
            self._banner, self._banner_version = now, self._version

    def subscribe(self, changed: Callable[[], object]) -> Callable[[], None]:
        """Calls `changed` at each piece of news. Returns what ends that."""
        return self._listeners.add(changed)

    def use_readings(self, reading_of: Callable[[str], Reading | None]) -> None:
        """`reading_of` gives the reading of a saved run by its id, None if it cannot be read."""
        self._reading_of = reading_of

    def use_marks(self, mark: Mark) -> None:
        self._mark = mark

    def begin(self, car: Car, track: Track, mark: Mark) -> None:
        """From now on this car is recorded."""
        self._set(car, track, mark, "")

    def end(self, why: str = "") -> None:
        """Nothing is recorded any more. why: a sentence if that is a fault."""
        self._set(None, FLAT, None, why)

    def announce(self, done: str) -> None:
        """Says beside the result that no further run will come."""
        with self._lock:
            self._update(done=done)
            self._renew()
        self._listeners.notify()

    def _set(self, car: Car | None, track: Track, mark: Mark | None, why: str) -> None:
        with self._lock:
            self.car, self.track, self._mark = car, track, mark
            # Pages see by the session that everything that they know is over.
            self._session = uuid.uuid4().hex[:8]
            last, prediction = self._status.run_id, self._predicted(car) if car else None
            self._clear("")
            self._status = LiveStatus(car, prediction, run_id=last, ended_by=why)
            self._renew()
        self._listeners.notify()

    def mark_tier(self, *, undo: bool = False) -> str:
        """Marks that the builder starts to wind the next tier, and returns its name.

        undo: takes the last mark back; then it is the tier that is wound again. Raises InputError
        if there is no next tier, or no mark.
        """
        with self._lock:
            tier = last_tier(self._status) if undo else next_tier(self._status)
        if self._mark is None:
            raise InputError("Nothing here is being recorded.")
        self._mark(undo=True) if undo else self._mark()
        return tier

    def has_news(self, cursor: Cursor) -> bool:
        with self._lock:
            version = self._banner_version if cursor.brief else self._version
            return (cursor.session, cursor.version) != (self._session, version)

    def banner(self) -> Banner:
        with self._lock:
            return self._banner

    def news(self, cursor: Cursor) -> dict[str, Any] | None:
        """What a page with this cursor lacks, ready for JSON; None if it has everything."""
        with self._lock:
            if not self.has_news(cursor):
                return None
            if cursor.brief:
                return {
                    "session": self._session,
                    "version": self._banner_version,
                    "state": {"banner": banner_json(self._banner)},
                }
            known = cursor.session == self._session
            start = cursor.have if known and cursor.run == self._run.key else 0
            answer: dict[str, Any] = {
                "session": self._session,
                "version": self._version,
                "figure_version": self._figure_version,
                "run": self._run.key,
                "from": start,
                "x": self._run.distance_m[start:],
                "v": self._run.speed_m_s[start:],
                "state": self.texts(),
            }
            stale = not known or cursor.figure != self._figure_version
        if stale:
            answer["figure"] = self.figure()
        return answer

    def texts(self) -> dict[str, Any]:
        """The texts of the page, by the name of their place."""
        with self._lock:
            status = self._foreseen()
            texts = page_texts(status) | {"tiers": tier_rows(status), "lane": lane_json(status)}
            return texts | {"session": self._session}

    def _foreseen(self) -> LiveStatus:
        """The status with where the run under way will stop."""
        s, run = self._status, self._run
        if s.car is None or s.prediction is None:
            return s
        stop = run.forecast(self._wound_car(s), self.track, s.prediction)
        cause = run.cause(s.prediction, s.distance_m) if s.phase is Phase.ENDED else None
        return replace(s, stop=stop, cause=cause, elapsed_s=run.elapsed_s)

    def _wound_car(self, s: LiveStatus) -> Car:
        assert s.car is not None  # the callers have looked
        turns = counted_turns(s.car, s.wound_turns, s.wound_steps)
        return s.car.wound(turns) if turns else s.car

    def figure(self) -> dict[str, Any]:
        """The figure into which the page draws the points, as plotly's JSON."""
        with self._lock:
            version, status, axis_m = self._figure_version, self._status, self._run.axis_m
            if self._figure_made and self._figure_made[0] == version:
                return self._figure_made[1]
            events = self._events
        made: dict[str, Any] = json.loads(live_figure(status.prediction, events, axis_m).to_json())
        with self._lock:
            self._figure_made = (version, made)
        return made

    def _take(self, notice: Notice) -> None:
        match notice:
            case LinkChanged():
                self._change_link(notice)
            case BoardSeen(firmware):
                # It answers, so what was said of its silence is over.
                self._update(firmware=firmware, link_code="")
            case BoardHealth(battery_v, edges_lost, battery_low=low):
                # The board sends 0 V if it does not measure.
                self._update(battery_v=battery_v or None, battery_low=low, edges_lost=edges_lost)
            case BoardTrouble(finding) if finding.code != RecordCode.BATTERY_LOW:
                self._update(trouble=sentence(finding), trouble_code=finding.code)
            case PhaseChanged():
                self._change_phase(notice)
            case RunEdges():
                self._extend(notice)
            case EdgesMissed(count):
                self._update(missed=self._status.missed + count)
            case RunSaved(run_key, run_id) if run_key == self._run.key:
                self._update(run_id=run_id)
                # A reading takes seconds; neither the recorder nor a page waits for it.
                read = Thread(target=self._add_reading, args=(run_id,), name="reading", daemon=True)
                read.start()

    def _add_reading(self, run_id: str) -> None:
        """Shows the events, and the distance to the real stop, which lies beyond the last edge."""
        reading = self._reading_of(run_id)
        with self._lock:
            if reading and self._status.run_id == run_id:
                self._events = reading.events
                self._update(
                    distance_m=reading.distance_m,
                    peak_m_s=reading.peak_speed_m_s,
                    whole=reading.motion.measures_distance,
                    result=result_words(reading),
                )
                self._figure_version += 1
                self._renew()
        self._listeners.notify()

    def _change_link(self, to: LinkChanged) -> None:
        was = self._status
        lost_at = None if to.up else was.lost_at
        if was.link_up and not to.up:
            lost_at = datetime.now(UTC)
        text, code = sentence(to.finding), to.finding.code
        self._update(link_up=to.up, link_text=text, link_code=code, lost_at=lost_at)

    def _update(self, **changes: Any) -> None:
        self._status = replace(self._status, **changes)

    def _change_phase(self, to: PhaseChanged) -> None:
        before = self._status
        if to.phase is Phase.NO_LINK:
            return  # LinkChanged said so; the car may go on unseen
        if to.phase is Phase.WAITING and before.phase is Phase.ENDED:
            return  # the result stays up until the next winding begins
        if to.phase is Phase.WINDING and before.phase is not Phase.WINDING:
            self._clear("")
            self._update(trouble="", trouble_code="")
        self._update(phase=to.phase, wound_turns=to.wound_turns, wound_steps=to.wound_steps)
        rewound = (to.wound_turns, to.wound_steps) != (before.wound_turns, before.wound_steps)
        if rewound and to.phase is not Phase.ENDED:
            self._predict_wound()

    def _predict_wound(self) -> None:
        if self.car is None:
            return
        self._update(prediction=self._predicted(self._wound_car(self._status)))
        self._figure_version += 1

    def _predicted(self, car: Car) -> Prediction | None:
        """None for a car that the model refuses."""
        try:
            return self._predict(car, self.track)
        except UnspoolError:
            return None

    def _clear(self, run_key: str) -> None:
        """Empties the figure for the next run."""
        self._run, self._events = LiveRun(self.car, run_key), ()
        self._update(run_id="", missed=0, distance_m=0.0, speed_m_s=0.0, peak_m_s=0.0)
        self._update(whole=True, result="", done="")
        self._figure_version += 1

    def _extend(self, edges: RunEdges) -> None:
        if edges.first or edges.run_key != self._run.key:
            self._clear(edges.run_key)
        if not self._run.push(edges):
            return
        speed = self._run.speed_m_s[-1]
        self._update(
            distance_m=self._run.distance_m[-1],
            speed_m_s=speed,
            peak_m_s=max(self._status.peak_m_s, *self._run.speed_m_s[-len(edges.time_s) :]),
        )
        self._figure_version += self._run.widens(self._status.prediction)
