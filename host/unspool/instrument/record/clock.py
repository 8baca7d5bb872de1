"""BoardClock: how fast the board's clock runs against the host's, from when its statuses arrive.

Theory. A status made at board time x arrives at the host at y = a + (1 + b) x + d. The delay d
(line, driver, scheduling) is never below some least value and only ever adds to it. So the truth is
a line that lies under all points. The best such line is the one nearest to them: minimise the sum
of the residuals while none is negative. That linear program is solved by the edge of the points'
lower convex hull that spans their mean x.

Its uncertainty: the line is held at both ends by the least delayed of about half of the points. How
far above the truth these are depends on how the delays are distributed. SPREAD is chosen so that at
least 95 % of the estimates lie within two of the resulting standard deviations. That holds from
LEAST_POINTS on for even, exponential, half-normal, gamma and heavy-tailed delays. The tests try it
with other seeds than those it was chosen with.
"""

from __future__ import annotations

from math import sqrt

from unspool.store import ClockRate

LEAST_POINTS = 15
LEAST_SPAN_S = 10.0
SPREAD = 5.0
USEFUL_PPM = 1000.0  # ceramic resonators are off by up to 5000; a wider one is of no use

PLAUSIBLE = 0.02  # beyond it the board does not run in real time, as a sped-up one

Point = tuple[float, float]


class BoardClock:
    """One boot of one board in one session of the host.

    tick_hz is what the board says of itself; times at the host are seconds of a steady clock.
    """

    def __init__(self, tick_hz: float) -> None:
        self._tick_hz = tick_hz
        self._origin: Point | None = None
        self._hull: list[Point] = []  # board s, delay s; both from the first point
        self._count = 0
        self._sum_board = self._sum_delay = 0.0

    def observe(self, ticks: int, arrived_s: float) -> None:
        """A status that the board made at `ticks`. Statuses come in order."""
        board_s = ticks / self._tick_hz
        if self._origin is None:
            self._origin = (board_s, arrived_s)
        point = (board_s - self._origin[0], arrived_s - self._origin[1] - board_s + self._origin[0])
        if self._hull and point[0] <= self._hull[-1][0]:
            return
        while len(self._hull) > 1 and not _turns_up(self._hull[-2], self._hull[-1], point):
            self._hull.pop()
        self._hull.append(point)
        self._count += 1
        self._sum_board += point[0]
        self._sum_delay += point[1]

    def rate(self) -> ClockRate | None:
        """The board clock's rate; None if the session is too short."""
        if not self._is_long:
            return None
        span_s = self._hull[-1][0] - self._hull[0][0]
        (board_s, delay_s), slope = self._line()
        if abs(slope) > PLAUSIBLE:
            return None
        mean_board_s = self._sum_board / self._count
        residual_s = self._sum_delay / self._count - delay_s - slope * (mean_board_s - board_s)
        sd_ppm = 1e6 * SPREAD * residual_s / (span_s * sqrt(self._count))
        ppm = 1e6 * (1.0 / (1.0 + slope) - 1.0)
        return ClockRate(ppm, sd_ppm) if sd_ppm <= USEFUL_PPM else None

    def host_s(self, ticks: int) -> float | None:
        """When that was at the host, late by the least delay; None before the first status."""
        if self._origin is None:
            return None
        since_s = ticks / self._tick_hz - self._origin[0]
        if not self._is_long:  # two early statuses may lie on any slope
            return self._origin[1] + since_s + min(delay_s for _, delay_s in self._hull)
        (board_s, delay_s), slope = self._line()
        return self._origin[1] + since_s + delay_s + slope * (since_s - board_s)

    @property
    def _is_long(self) -> bool:
        span_s = self._hull[-1][0] - self._hull[0][0] if self._hull else 0.0
        return self._count >= LEAST_POINTS and span_s >= LEAST_SPAN_S

    def _line(self) -> tuple[Point, float]:
        """A point of the line below all points, and its slope."""
        if len(self._hull) == 1:
            return self._hull[0], 0.0
        mean = self._sum_board / self._count
        right = next(
            (i for i, p in enumerate(self._hull) if p[0] >= mean and i), len(self._hull) - 1
        )
        a, b = self._hull[right - 1], self._hull[right]
        return a, (b[1] - a[1]) / (b[0] - a[0])


def _turns_up(a: Point, b: Point, c: Point) -> bool:
    return (b[0] - a[0]) * (c[1] - a[1]) > (b[1] - a[1]) * (c[0] - a[0])
