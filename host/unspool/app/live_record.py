"""LiveRecord: what is known of one board's car now, as the recorder's notices say it.

It holds values and nothing else: live_state.py keeps its readers and its writers apart.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from unspool.app.live_run import LiveRun
from unspool.app.live_status import LiveStatus
from unspool.car import Car, Track
from unspool.car.winding import counted_turns
from unspool.errors import UnspoolError
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
from unspool.model.outcome import Event, Prediction
from unspool.reading.events.types import Reading

Predict = Callable[[Car, Track], Prediction]


class LiveRecord:
    """car: None if it is not known. figure_version: grows when the picture must be drawn again."""

    def __init__(self, car: Car | None, track: Track, predict: Predict) -> None:
        self.car, self.track, self._predict = car, track, predict
        self.run, self.events = LiveRun(car), tuple[Event, ...]()
        self.figure_version = 0
        self.status = LiveStatus(car=car, prediction=self._predicted(car) if car else None)

    def take(self, notice: Notice) -> None:
        match notice:
            case LinkChanged():
                self._change_link(notice)
            case BoardSeen(firmware, identity=board):
                # It answers, so what was said of its silence is over.
                self.update(firmware=firmware, board=board, link_code="")
            case BoardHealth(battery_v, edges_lost, battery_low=low):
                # The board sends 0 V if it does not measure.
                self.update(battery_v=battery_v or None, battery_low=low, edges_lost=edges_lost)
            case BoardTrouble(finding) if finding.code != RecordCode.BATTERY_LOW:
                self.update(trouble=finding)
            case PhaseChanged():
                self._change_phase(notice)
            case RunEdges():
                self._extend(notice)
            case EdgesMissed(count):
                self.update(missed=self.status.missed + count)
            case RunSaved(run_key, run_id) if run_key == self.run.key:
                self.update(run_id=run_id)

    def update(self, **changes: Any) -> None:
        self.status = replace(self.status, **changes)

    def restart(self, car: Car | None, track: Track, **status: Any) -> None:
        """Another car, or none, from now on; everything else is forgotten."""
        self.car, self.track = car, track
        prediction = self._predicted(car) if car else None
        self._clear("")
        self.status = LiveStatus(car, prediction, **status)

    def add_reading(self, run_id: str, reading: Reading) -> None:
        """Shows the events, and the distance to the real stop, which lies beyond the last edge."""
        if self.status.run_id != run_id:
            return
        self.events = reading.events
        self.update(
            distance_m=reading.distance_m,
            peak_m_s=reading.peak_speed_m_s,
            whole=reading.motion.measures_distance,
            reading=reading,
        )
        self.figure_version += 1

    def foreseen(self) -> LiveStatus:
        """The status with where the run under way will stop."""
        s, run = self.status, self.run
        if s.car is None or s.prediction is None:
            return s
        stop = run.forecast(self._wound_car(s.car), self.track, s.prediction)
        cause = run.cause(s.prediction, s.distance_m) if s.phase is Phase.ENDED else None
        return replace(s, stop=stop, cause=cause, elapsed_s=run.elapsed_s)

    def _wound_car(self, car: Car) -> Car:
        turns = counted_turns(car, self.status.wound_turns, self.status.wound_steps)
        return car.wound(turns) if turns else car

    def _change_link(self, to: LinkChanged) -> None:
        was = self.status
        lost_at = None if to.up else was.lost_at
        if was.link_up and not to.up:
            lost_at = datetime.now(UTC)
        self.update(link_up=to.up, link=to.finding, link_code=to.finding.code, lost_at=lost_at)

    def _change_phase(self, to: PhaseChanged) -> None:
        before = self.status
        if to.phase is Phase.NO_LINK:
            return  # LinkChanged said so; the car may go on unseen
        if to.phase is Phase.WAITING and before.phase is Phase.ENDED:
            return  # the result stays up until the next winding begins
        if to.phase is Phase.WINDING and before.phase is not Phase.WINDING:
            self._clear("")
            self.update(trouble=None)
        self.update(phase=to.phase, wound_turns=to.wound_turns, wound_steps=to.wound_steps)
        rewound = (to.wound_turns, to.wound_steps) != (before.wound_turns, before.wound_steps)
        if rewound and to.phase is not Phase.ENDED:
            self._predict_wound()

    def _predict_wound(self) -> None:
        if self.car is None:
            return
        self.update(prediction=self._predicted(self._wound_car(self.car)))
        self.figure_version += 1

    def _predicted(self, car: Car) -> Prediction | None:
        """None for a car that the model refuses."""
        try:
            return self._predict(car, self.track)
        except UnspoolError:
            return None

    def _clear(self, run_key: str) -> None:
        """Empties the figure for the next run."""
        self.run, self.events = LiveRun(self.car, run_key), ()
        self.update(run_id="", missed=0, distance_m=0.0, speed_m_s=0.0, peak_m_s=0.0)
        self.update(whole=True, reading=None, done="")
        self.figure_version += 1

    def _extend(self, edges: RunEdges) -> None:
        if edges.first or edges.run_key != self.run.key:
            self._clear(edges.run_key)
        if not self.run.push(edges):
            return
        speed = self.run.speed_m_s[-1]
        self.update(
            distance_m=self.run.distance_m[-1],
            speed_m_s=speed,
            peak_m_s=max(self.status.peak_m_s, *self.run.speed_m_s[-len(edges.time_s) :]),
        )
        self.figure_version += self.run.widens(self.status.prediction)
