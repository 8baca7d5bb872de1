"""Motion while it happens: distance and speed from each edge as it comes, at constant cost.

This is a Kalman filter over position, speed and acceleration, with white jerk, all in slots and
seconds. The model is the continuous white-noise-jerk model (Bar-Shalom, Li and Kirubarajan 2001,
"Estimation with Applications to Tracking and Navigation"; from memory). The slot pattern is learned
beside it: the mean of what each slot's edges differ from the filter's forecast, a table that grows
surer with each turn.

The reading after the run knows what came later and is exact; this is for those who watch.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.car.vehicle import Car
from unspool.reading.edges.noise import USUAL_JITTER_S

Array = NDArray[np.float64]
Matrix = tuple[float, float, float, float, float, float]  # upper triangle of a symmetric 3 x 3

# A pause this long near the start means that a hand was at work: the run starts after it.
REST_S = 1.0
STILL_NEAR_START_M = 0.5  # farther off, a pause is the run's own
GENTLE_M_S2 = 0.2  # a launch on a small tier
SLOT_SD = 0.03  # of a slot's place before it was seen, in slots
JERK = 0.5  # m/s^3 over one second: a tier change is followed within about half a second
# A run sets off from rest or by a hand: wide enough that the first edges decide.
FIRST_SPEED_SD = 0.5  # m/s
FIRST_ACCELERATION_SD = 1.0  # m/s^2
BOUNCE_S = 2e-4  # slots of a centimetre would pass at 50 m/s
SURE = 0.15  # of a slot: a forecast this sure can show a missed edge
LONGEST_LOSS = 4  # edges missed in a row; a forecast further off is more likely wrong


@dataclass(frozen=True)
class LivePoints:
    """One point an edge, all (n,); distance_m is from where the run started, time_s the edge's."""

    distance_m: Array
    speed_m_s: Array
    time_s: Array


class LiveMotion:
    """Follows one run; make a new one for each."""

    def __init__(self, car: Car) -> None:
        self._metres = car.metres_per_edge
        self._pulses = car.encoder.pulses_per_turn
        self._jerk = (JERK / self._metres) ** 2
        # A coarse wheel takes long for its first slot.
        self._rest_s = max(REST_S, (2.0 * self._metres / GENTLE_M_S2) ** 0.5)
        self._seen = [0] * self._pulses
        self._pattern = [0.0] * self._pulses
        self._slot = 0
        self._time_s: float | None = None
        self._number = 0
        self._direction = 0
        self._restart(0.0)

    def _restart(self, position: float) -> None:
        speed, acceleration = FIRST_SPEED_SD / self._metres, FIRST_ACCELERATION_SD / self._metres
        self._state = (position, 0.0, 0.0)
        self._cov: Matrix = (1.0 / 12.0, 0.0, 0.0, speed**2, 0.0, acceleration**2)
        self._origin = position

    def push(
        self, time_s: Array, direction: NDArray[np.int8], number: NDArray[np.int64]
    ) -> LivePoints:
        """Take new edges, (n,) each, in order; gives one point for each."""
        points = [
            self._edge(t, d, n)
            for t, d, n in zip(time_s.tolist(), direction.tolist(), number.tolist(), strict=True)
        ]
        distance, speed = np.array(points, dtype=np.float64).reshape(-1, 2).T * self._metres
        return LivePoints(distance, speed, np.asarray(time_s, dtype=np.float64))

    def _edge(self, time_s: float, direction: int, number: int) -> tuple[float, float]:
        """Distance and speed at one edge, in slots."""
        since = 0.0 if self._time_s is None else time_s - self._time_s
        lost = 0 if self._time_s is None else number - self._number - 1
        bounced = self._time_s is not None and since < BOUNCE_S
        if not bounced:
            self._step(direction, max(lost, 0))
            near = abs(self._slot - self._origin) * self._metres < STILL_NEAR_START_M
            if self._time_s is None or (since > self._rest_s and near):
                self._restart(float(self._slot))
            else:
                self._forecast(since)
                self._correct()
        self._time_s, self._number, self._direction = time_s, number, direction
        return self._state[0] - self._origin, self._state[1]

    def _step(self, direction: int, lost: int) -> None:
        """Move to the boundary that this edge is; turning round crosses the same one again."""
        turned = self._direction not in (0, direction)
        self._slot += direction * (lost + (0 if turned else 1))

    def _forecast(self, h: float) -> None:
        x, v, a = self._state
        xx, xv, xa, vv, va, aa = self._cov
        q = self._jerk
        self._state = (x + h * (v + 0.5 * h * a), v + h * a, a)
        # F P F' with F = [[1, h, h^2/2], [0, 1, h], [0, 0, 1]], and Q of white jerk.
        xv_a = xv + h * xa
        va_a = va + h * aa
        vv_a = vv + h * (va + va_a)
        xa_a = xa + h * va + 0.5 * h * h * aa
        xx_a = xx + h * (2.0 * xv + h * (xa + vv + h * va + 0.25 * h * h * aa))
        xv_b = xv_a + h * (vv + 1.5 * h * va + 0.5 * h * h * aa)
        self._cov = (
            xx_a + q * h**5 / 20.0,
            xv_b + q * h**4 / 8.0,
            xa_a + q * h**3 / 6.0,
            vv_a + q * h**3 / 3.0,
            va_a + q * h**2 / 2.0,
            aa + q * h,
        )

    def _correct(self) -> None:
        x, v, a = self._state
        xx, xv, xa, vv, va, aa = self._cov
        ahead = round(x - self._slot)
        if xx < SURE**2 and 0 < ahead * self._direction <= LONGEST_LOSS:
            self._slot += ahead  # edges that the sensor missed
        slot = self._slot % self._pulses
        seen = self._seen[slot]
        noise = SLOT_SD**2 / (1 + seen) + (v * USUAL_JITTER_S) ** 2
        off = self._slot + self._pattern[slot] - x
        gain = 1.0 / (xx + noise)
        kx, kv, ka = xx * gain, xv * gain, xa * gain
        self._state = (x + kx * off, v + kv * off, a + ka * off)
        self._cov = (
            xx - kx * xx,
            xv - kx * xv,
            xa - kx * xa,
            vv - kv * xv,
            va - kv * xa,
            aa - ka * xa,
        )
        # What the correction left over is the slot's own place, seen once more.
        self._pattern[slot] -= (off - kx * off) / (2 + seen)
        self._seen[slot] = seen + 1
