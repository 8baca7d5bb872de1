"""LiveHub: what the live page shows, gathered from the recorder's notices.

The recorder calls the hub from its own thread, each page asks it from the server's; one lock stands
between. Pages ask by cursor: the hub answers with what is new since, so a slow page gets fewer and
longer answers and never falls behind. Figures are drawn when a page asks, never in the recorder's
time.
"""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from threading import RLock, Thread
from typing import Any

import numpy as np

from unspool.app.live_words import Standing, say
from unspool.app.tiers import next_tier, say_tiers, why_not_mark
from unspool.car import FLAT, Car, Track
from unspool.car.winding import counted_turns
from unspool.errors import InputError, UnspoolError
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
from unspool.render import live_figure

# Share by which the axis grows when the car outruns it: rarely, so that the picture stays calm.
GROWTH = 1.3
LOW_BATTERY = "low_battery"  # a trouble that the page's battery line says by itself


@dataclass(frozen=True)
class Cursor:
    """What a page has already: nothing, by default."""

    session: str = ""
    version: int = -1
    scene: int = -1
    run: str = ""
    have: int = 0


@dataclass
class _Line:
    """The run under way, point by point."""

    key: str = ""
    distance_m: list[float] = field(default_factory=list)
    speed_m_s: list[float] = field(default_factory=list)


class LiveHub:
    """An Observer of Notices that any number of pages may look at.

    predict is asked for the car as wound, again with each slot that is wound. Once the app is built
    around it, the hub reads each run that it saw saved.
    """

    def __init__(
        self,
        car: Car,
        track: Track = FLAT,
        *,
        predict: Callable[[Car, Track], Prediction] = predict,
    ) -> None:
        self.car, self.track = car, track
        self._predict = predict
        self._read: Callable[[str], Reading | None] = lambda _run_id: None
        self._mark: Callable[[], object] | None = None
        self._lock = RLock()
        self._listeners: list[Callable[[], object]] = []
        # Tells a page that the server it returns to is not the one that it knew.
        self._session = uuid.uuid4().hex[:8]
        self._version = 0
        self._scene_version = 0
        self._scene_made: tuple[int, dict[str, Any]] | None = None
        self._motion: LiveMotion | None = None
        self._run = _Line()
        self._found: tuple[Event, ...] = ()
        self._reach_m = 0.0
        self._standing = Standing(car=car, prediction=self._predicted(car))

    def __call__(self, notice: Notice) -> None:
        with self._lock:
            self._take(notice)
            self._version += 1
        self._stir()

    def listen(self, stirred: Callable[[], object]) -> Callable[[], None]:
        """Has `stirred` called at each piece of news, from any thread; returns what ends that.

        It must return at once and not ask the hub.
        """
        with self._lock:
            self._listeners.append(stirred)

        def hush() -> None:
            with self._lock:
                self._listeners.remove(stirred)

        return hush

    def _stir(self) -> None:
        # Held, so that whoever hushes a listener knows it will not be called again.
        with self._lock:
            for stirred in self._listeners:
                stirred()

    def read_with(self, read: Callable[[str], Reading | None]) -> None:
        """Has saved runs read by their id with `read`, which gives None where it cannot."""
        self._read = read

    def mark_with(self, mark: Callable[[], object]) -> None:
        """Has `mark` called, from any thread, when the builder goes on to the next tier."""
        self._mark = mark

    def mark_tier(self) -> str:
        """The builder starts to wind the next tier; says which that is.

        Raises InputError where there is none to go on to.
        """
        with self._lock:
            standing = self._standing
        why = why_not_mark(standing)
        if why or self._mark is None:
            raise InputError(why or "Nothing here is being recorded.")
        self._mark()
        return next_tier(standing)

    def has_news(self, cursor: Cursor) -> bool:
        with self._lock:
            return (cursor.session, cursor.version) != (self._session, self._version)

    def news(self, cursor: Cursor) -> dict[str, Any] | None:
        """What a page with this cursor lacks, ready for JSON; None while it has everything."""
        with self._lock:
            if not self.has_news(cursor):
                return None
            known = cursor.session == self._session
            start = cursor.have if known and cursor.run == self._run.key else 0
            answer: dict[str, Any] = {
                "session": self._session,
                "version": self._version,
                "scene": self._scene_version,
                "run": self._run.key,
                "from": start,
                "x": self._run.distance_m[start:],
                "v": self._run.speed_m_s[start:],
                "state": self.state(),
            }
            stale = not known or cursor.scene != self._scene_version
        if stale:
            answer["figure"] = self.scene()
        return answer

    def state(self) -> dict[str, Any]:
        """The page's texts alone."""
        with self._lock:
            return say(self._standing) | {"tiers": say_tiers(self._standing)}

    def scene(self) -> dict[str, Any]:
        """The picture that the points are drawn into, as plotly's JSON."""
        with self._lock:
            version, standing, reach = self._scene_version, self._standing, self._reach_m
            if self._scene_made and self._scene_made[0] == version:
                return self._scene_made[1]
            found = self._found
        picture = live_figure(standing.prediction, found, reach)
        made: dict[str, Any] = json.loads(picture.to_json())
        with self._lock:
            self._scene_made = (version, made)
        return made

    def _take(self, notice: Notice) -> None:
        match notice:
            case LinkChanged(up, text):
                self._stand(link_up=up, link_text=text)
            case BoardSeen(firmware):
                self._stand(firmware=firmware)
            case BoardHealth(battery_v, edges_lost, battery_low=low):
                # The board says 0 V where it does not measure.
                self._stand(battery_v=battery_v or None, battery_low=low, edges_lost=edges_lost)
            case BoardTrouble(code, text) if code != LOW_BATTERY:
                self._stand(trouble=f"{text[:1].upper()}{text[1:]}.")
            case PhaseChanged():
                self._change_phase(notice)
            case RunEdges():
                self._extend(notice)
            case EdgesMissed(count):
                self._stand(missed=self._standing.missed + count)
            case RunSaved(run_key, run_id) if run_key == self._run.key:
                self._stand(run_id=run_id)
                # A reading takes seconds, and neither the recorder nor a page shall wait for it.
                Thread(target=self._settle, args=(run_id,), name="reading", daemon=True).start()

    def _settle(self, run_id: str) -> None:
        """The reading knows the events, and the stop past the last edge; the page follows it."""
        reading = self._read(run_id)
        with self._lock:
            if reading and self._standing.run_id == run_id:
                self._found = reading.events
                self._stand(distance_m=reading.distance_m, peak_m_s=reading.peak_speed_m_s)
                self._scene_version += 1
                self._version += 1
        self._stir()

    def _stand(self, **changes: Any) -> None:
        self._standing = replace(self._standing, **changes)

    def _change_phase(self, to: PhaseChanged) -> None:
        before = self._standing
        if to.phase is Phase.NO_LINK:
            return  # LinkChanged said so; what the car does is only not seen
        if to.phase is Phase.WAITING and before.phase is Phase.ENDED:
            return  # the result stays up until the next winding begins
        if to.phase is Phase.WINDING and before.phase is not Phase.WINDING:
            self._clear("")
            self._stand(trouble="")
        self._stand(phase=to.phase, wound_turns=to.wound_turns, wound_steps=to.wound_steps)
        rewound = (to.wound_turns, to.wound_steps) != (before.wound_turns, before.wound_steps)
        if rewound and to.phase is not Phase.ENDED:
            self._expect(to)

    def _expect(self, wound: PhaseChanged) -> None:
        turns = counted_turns(self.car, wound.wound_turns, wound.wound_steps)
        car = self.car.wound(turns) if turns else self.car
        self._stand(prediction=self._predicted(car))
        self._scene_version += 1

    def _predicted(self, car: Car) -> Prediction | None:
        """None for a car that the model refuses."""
        try:
            return self._predict(car, self.track)
        except UnspoolError:
            return None

    def _clear(self, run_key: str) -> LiveMotion:
        """An empty picture for the run to come, and what will follow it."""
        self._run = _Line(run_key)
        self._motion = LiveMotion(self.car)
        self._reach_m, self._found = 0.0, ()
        self._stand(run_id="", missed=0, distance_m=0.0, speed_m_s=0.0, peak_m_s=0.0)
        self._scene_version += 1
        return self._motion

    def _extend(self, edges: RunEdges) -> None:
        if edges.first or edges.run_key != self._run.key or self._motion is None:
            self._motion = self._clear(edges.run_key)
        points = self._motion.push(edges.time_s, edges.direction, edges.number)
        x, v = points.distance_m, points.speed_m_s
        if not len(x):
            return
        # A tenth of a millimetre is below any disc's error, and keeps the messages short.
        self._run.distance_m += np.round(x, 4).tolist()
        self._run.speed_m_s += np.round(v, 4).tolist()
        self._stand(
            distance_m=float(x[-1]),
            speed_m_s=float(v[-1]),
            peak_m_s=max(self._standing.peak_m_s, float(v.max())),
        )
        self._widen(float(x.max()))

    def _widen(self, reached_m: float) -> None:
        prediction = self._standing.prediction
        room = max(self._reach_m, prediction.reach_m if prediction else 0.0)
        if reached_m > room:
            self._reach_m = GROWTH * reached_m
            self._scene_version += 1
