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
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from threading import RLock, Thread
from typing import Any

import numpy as np

from unspool.app.banner import Banner, banner, banner_json
from unspool.app.live_status import LiveStatus
from unspool.app.live_words import page_texts
from unspool.app.tiers import next_tier, tier_rows, why_not_mark
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
from unspool.reading.motion import LiveMotion
from unspool.render.figures.speed import live_figure
from unspool.render.words.findings import sentence
from unspool.render.words.result import end_words

# Share by which the axis grows when the car outruns it: rarely, so that the picture stays calm.
GROWTH = 1.3


@dataclass(frozen=True)
class Cursor:
    """What a page has already: nothing, by default. brief: it shows the banner alone."""

    session: str = ""
    version: int = -1
    figure: int = -1
    run: str = ""
    have: int = 0
    brief: bool = False


@dataclass
class _Trace:
    """The run under way, point by point."""

    key: str = ""
    distance_m: list[float] = field(default_factory=list)
    speed_m_s: list[float] = field(default_factory=list)


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
        self._mark: Callable[[], object] | None = None
        self._lock = RLock()
        self._listeners: list[Callable[[], object]] = []
        # Shows a page that comes back whether this is still the server that it knew.
        self._session = uuid.uuid4().hex[:8]
        self._version = 0
        self._figure_version = 0
        self._figure_made: tuple[int, dict[str, Any]] | None = None
        self._motion: LiveMotion | None = None
        self._run = _Trace()
        self._events: tuple[Event, ...] = ()
        self._axis_m = 0.0
        self._status = LiveStatus(car=car, prediction=self._predicted(car) if car else None)
        self._banner, self._banner_version = banner(self._status), 0

    def __call__(self, notice: Notice) -> None:
        with self._lock:
            self._take(notice)
            self._renew()
        self._notify()

    def _renew(self) -> None:
        self._version += 1
        if (now := banner(self._status)) != self._banner:
            self._banner, self._banner_version = now, self._version

    def subscribe(self, changed: Callable[[], object]) -> Callable[[], None]:
        """Calls `changed` at each piece of news, from any thread. Returns what ends that.

        `changed` must return at once and must not ask this object.
        """
        with self._lock:
            self._listeners.append(changed)

        def unsubscribe() -> None:
            with self._lock:
                self._listeners.remove(changed)

        return unsubscribe

    def _notify(self) -> None:
        # With the lock held, no listener is called after it unsubscribed.
        with self._lock:
            for changed in self._listeners:
                changed()

    def use_readings(self, reading_of: Callable[[str], Reading | None]) -> None:
        """`reading_of` gives the reading of a saved run by its id, None if it cannot be read."""
        self._reading_of = reading_of

    def use_marks(self, mark: Callable[[], object]) -> None:
        """`mark` is called, from any thread, when the builder goes on to the next tier."""
        self._mark = mark

    def mark_tier(self) -> str:
        """Marks that the builder starts to wind the next tier, and returns its name.

        Raises InputError if there is no next tier.
        """
        with self._lock:
            status = self._status
        why = why_not_mark(status)
        if why or self._mark is None or status.car is None:
            raise InputError(why or "Nothing here is being recorded.")
        self._mark()
        return next_tier(status.car, status)

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
            return page_texts(self._status) | {"tiers": tier_rows(self._status)}

    def figure(self) -> dict[str, Any]:
        """The figure into which the page draws the points, as plotly's JSON."""
        with self._lock:
            version, status, axis_m = self._figure_version, self._status, self._axis_m
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
                    end=end_words(reading.motion, reading.distance_m, reading.distance_sd_m),
                )
                self._figure_version += 1
                self._renew()
        self._notify()

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
            self._predict_wound(to)

    def _predict_wound(self, wound: PhaseChanged) -> None:
        if self.car is None:
            return
        turns = counted_turns(self.car, wound.wound_turns, wound.wound_steps)
        car = self.car.wound(turns) if turns else self.car
        self._update(prediction=self._predicted(car))
        self._figure_version += 1

    def _predicted(self, car: Car) -> Prediction | None:
        """None for a car that the model refuses."""
        try:
            return self._predict(car, self.track)
        except UnspoolError:
            return None

    def _clear(self, run_key: str) -> None:
        """Empties the figure for the next run."""
        self._run = _Trace(run_key)
        self._motion = LiveMotion(self.car) if self.car else None
        self._axis_m, self._events = 0.0, ()
        self._update(run_id="", missed=0, distance_m=0.0, speed_m_s=0.0, peak_m_s=0.0)
        self._update(whole=True, end="")
        self._figure_version += 1

    def _extend(self, edges: RunEdges) -> None:
        if edges.first or edges.run_key != self._run.key or self._motion is None:
            self._clear(edges.run_key)
        if self._motion is None:
            return
        points = self._motion.push(edges.time_s, edges.direction, edges.number)
        x, v = points.distance_m, points.speed_m_s
        if not len(x):
            return
        # A tenth of a millimetre is below any disc's error, and keeps the messages short.
        self._run.distance_m += np.round(x, 4).tolist()
        self._run.speed_m_s += np.round(v, 4).tolist()
        self._update(
            distance_m=float(x[-1]),
            speed_m_s=float(v[-1]),
            peak_m_s=max(self._status.peak_m_s, float(v.max())),
        )
        self._extend_axis(float(x.max()))

    def _extend_axis(self, reached_m: float) -> None:
        prediction = self._status.prediction
        end_m = max(self._axis_m, prediction.reach_m if prediction else 0.0)
        if reached_m > end_m:
            self._axis_m = GROWTH * reached_m
            self._figure_version += 1
