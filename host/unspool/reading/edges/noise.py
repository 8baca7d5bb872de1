"""How far an edge is from where the model has it: the variance of one edge's place.

Two causes are independent of each other:

    variance = place^2 + (speed x jitter)^2.

The place's own part is the play of axle and disc and the slot's rim, the same at any speed.

Jitter is the time stamp's error, which moves the place in proportion to the speed. It contains the
sensor's switching, the interrupt's delay, and quantisation: a clock of tick q adds q / sqrt(12).

At a crawl only the place counts, so a slow edge is worth far more than a fast one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# Before anything was measured. A well-made disc wobbles by 0.1 mm on slots of some centimetres.
USUAL_PLACE_SLOTS = 0.002
# Optical sensors switch within some 10 us, and an interrupt waits as long for another one.
USUAL_JITTER_S = 50e-6

# The finest that is believed: a tick of the board's timer (0.5 us) with its sensor, and less than
# a disc's own expansion. They keep simulated, noiseless edges from an infinite weight.
LEAST_JITTER_S, LEAST_PLACE_M = 1e-6, 2e-7
# The coarsest: times or places that are no edges of the law at all. They keep some weight.
MOST_JITTER_S, MOST_PLACE_M = 10.0, 10.0
# Scoring converges within some ten rounds; steps beyond a factor e^2 leave its range.
_MOST_ROUNDS, _LONGEST_STEP, _CLOSE_ENOUGH = 40, 2.0, 1e-3
# Added to the information where the edges say nothing about one of the two causes.
_RIDGE = 1e-3


@dataclass(frozen=True)
class EdgeNoise:
    """Both causes; place is in the unit of way (metres or slots), as the speeds are per second."""

    place: float
    jitter_s: float

    def weight(self, speed: Array) -> Array:
        """(n,) one over the variance of an edge that passes at this speed."""
        return np.asarray(1.0 / (self.place**2 + (speed * self.jitter_s) ** 2), dtype=np.float64)


def likeliest_noise(residual_m: Array, speed_m_s: Array, spent: int, start: EdgeNoise) -> EdgeNoise:
    """The noise under which these residuals (n,) are most likely; in metres.

    spent: how many parameters the residuals have already been fitted with. Fisher scoring on the
    logarithms of both variances.
    """
    square = residual_m**2 * len(residual_m) / max(len(residual_m) - spent, 1)
    v2 = speed_m_s**2
    least = np.log([LEAST_JITTER_S**2, LEAST_PLACE_M**2])
    most = np.log([MOST_JITTER_S**2, MOST_PLACE_M**2])
    logs = np.log([start.jitter_s**2, start.place**2])
    for _ in range(_MOST_ROUNDS):
        jitter2, place2 = np.exp(logs)
        variance = place2 + v2 * jitter2
        parts = np.vstack([v2 * jitter2, np.full_like(v2, place2)]) / variance
        score = 0.5 * parts @ (square / variance - 1.0)
        information = 0.5 * parts @ parts.T + _RIDGE * np.eye(2)
        step = np.clip(np.linalg.solve(information, score), -_LONGEST_STEP, _LONGEST_STEP)
        logs = np.clip(logs + step, least, most)
        if np.abs(step).max() < _CLOSE_ENOUGH:
            break
    return EdgeNoise(place=float(np.exp(0.5 * logs[1])), jitter_s=float(np.exp(0.5 * logs[0])))
