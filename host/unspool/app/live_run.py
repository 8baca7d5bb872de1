"""LiveRun: the run under way, point by point, and where it will stop."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from unspool.car import Car, Track
from unspool.instrument.record.notices import RunEdges
from unspool.model.forecast import StopForecast, forecast_stop
from unspool.model.outcome import Prediction
from unspool.reading.events.cause import likely_cause
from unspool.reading.motion import LiveMotion

# Share by which the axis grows when the car outruns it: rarely, so that the picture stays calm.
GROWTH = 1.3
MOVED_M = 0.01  # from here on the car is under way


class LiveRun:
    """distance_m and speed_m_s have one point an edge. axis_m: the least reach of the picture."""

    def __init__(self, car: Car | None = None, key: str = "") -> None:
        self.key = key
        self.distance_m: list[float] = []
        self.speed_m_s: list[float] = []
        self.axis_m = 0.0
        self.elapsed_s = 0.0
        self._launched_s: float | None = None
        self._motion = LiveMotion(car) if car else None
        self._forecast: tuple[int, StopForecast | None] = (-1, None)

    def push(self, edges: RunEdges) -> bool:
        """Whether there is a new point."""
        part = slice(0 if self.distance_m else _before_launch(edges.direction), None)
        if self._motion is None or not len(edges.time_s[part]):
            return False
        points = self._motion.push(edges.time_s[part], edges.direction[part], edges.number[part])
        # A tenth of a millimetre is below any disc's error, and keeps the messages short.
        self.distance_m += np.round(points.distance_m, 4).tolist()
        self.speed_m_s += np.round(points.speed_m_s, 4).tolist()
        self._count_time(points.time_s, points.distance_m)
        return True

    def _count_time(self, time_s: NDArray[np.float64], distance_m: NDArray[np.float64]) -> None:
        if self._launched_s is None or distance_m[-1] < MOVED_M:
            still = np.flatnonzero(distance_m < MOVED_M)
            self._launched_s = float(time_s[still[-1]] if len(still) else time_s[0])
        self.elapsed_s = float(time_s[-1]) - self._launched_s

    def widens(self, prediction: Prediction | None) -> bool:
        """Whether the picture must reach further by now."""
        end_m = max(self.axis_m, prediction.reach_m if prediction else 0.0)
        if not self.distance_m or max(self.distance_m[-1], 0.0) <= end_m:
            return False
        self.axis_m = GROWTH * self.distance_m[-1]
        return True

    def cause(self, prediction: Prediction, stop_m: float) -> str | None:
        """The most likely cause of the difference at its stop, None for none."""
        points = np.array(self.distance_m), np.array(self.speed_m_s)
        return likely_cause(prediction, *points, stop_m)

    def forecast(self, car: Car, track: Track, prediction: Prediction) -> StopForecast | None:
        """Where it will stop, with 90 %."""
        if self._forecast[0] != len(self.distance_m):
            points = np.array(self.distance_m), np.array(self.speed_m_s)
            found = forecast_stop(car, track, prediction, *points)
            self._forecast = len(self.distance_m), found
        return self._forecast[1]


def _before_launch(direction: NDArray[np.int8]) -> int:
    """How many edges of a run's first came before its launch: the last of them that wound."""
    position = np.concatenate([[0], np.cumsum(direction, dtype=np.int64)])
    return len(direction) - int(np.argmin(position[::-1]))
