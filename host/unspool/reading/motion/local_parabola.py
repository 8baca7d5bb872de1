"""The wheel's position near an instant: a parabola of time, for its acceleration is near constant.

Positions are in slots and times in seconds.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class LocalParabola:
    """position = polynomial of (t - middle), highest power first."""

    middle: float
    power: tuple[float, float, float]

    @classmethod
    def through(cls, t: NDArray[np.float64], position: NDArray[np.float64]) -> LocalParabola:
        """Least squares, a line where there are but three points.

        With t about its mean the normal equations come apart; a general solver would take ten
        times as long, and a leg asks for hundreds of these.
        """
        middle, origin = float(t.mean()), float(position[0])
        s, p = t - middle, position - origin
        mean = float(p.mean())
        s2 = float(s @ s)
        if s2 == 0.0:
            return cls(middle, (0.0, 0.0, origin + mean))
        square = s * s - s2 / len(s)
        skew = float(square @ s) / s2
        bend = square - skew * s
        own = float(bend @ bend)
        a = float(bend @ p) / own if len(t) > 3 and own > 1e-12 * s2 * s2 else 0.0
        b = float(s @ p) / s2 - skew * a
        return cls(middle, (a, b, origin + mean - a * s2 / len(s)))

    def __call__(self, t: float) -> float:
        a, b, c = self.power
        s = t - self.middle
        return (a * s + b) * s + c

    def speed(self, t: float) -> float:
        a, b, _ = self.power
        return 2.0 * a * (t - self.middle) + b

    def up_to_rest(self, t: float, forward: bool, slack: float) -> float | None:
        """Position at t, or at rest when the wheel, followed to t, rests by then.

        None when it has rested for longer than being wrong by slack could explain.
        """
        a, b, _ = self.power
        if a < 0.0 if forward else a > 0.0:
            rest = self.middle - b / (2.0 * a)
            over = t - rest if forward else rest - t
            if over > (slack / abs(a)) ** 0.5:
                return None
            if over > 0.0:
                return self(rest)
        return self(t)


def parabola_with_step(
    t: NDArray[np.float64], count: NDArray[np.float64], beyond: NDArray[np.float64], degree: int
) -> tuple[LocalParabola, float]:
    """The curve through both sides, and how many slots lie between them."""
    middle = float(t.mean())
    columns = np.column_stack([np.vander(t - middle, degree + 1), -beyond])
    solution = np.linalg.lstsq(columns, count)[0]
    power = np.r_[np.zeros(2 - degree), solution[:-1]]
    return LocalParabola(middle, (float(power[0]), float(power[1]), float(power[2]))), float(
        solution[-1]
    )
