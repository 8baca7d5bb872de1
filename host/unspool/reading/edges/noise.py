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
from math import exp, inf, log

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
    extremes, ends = (float(v2.min()), float(v2.max())), [inf, inf]
    logs = 2.0 * log(start.jitter_s), 2.0 * log(start.place)
    for _ in range(_MOST_ROUNDS):
        logs = _scored(logs, v2, square)
        # The variances of the slowest and of the fastest edge: no other changes more.
        before, ends = ends, [log(exp(logs[1]) + one * exp(logs[0])) for one in extremes]
        if max(abs(now - was) for now, was in zip(ends, before, strict=True)) < _CLOSE_ENOUGH:
            break
    return EdgeNoise(place=exp(0.5 * logs[1]), jitter_s=exp(0.5 * logs[0]))


def _scored(logs: tuple[float, float], v2: Array, square: Array) -> tuple[float, float]:
    """One step of scoring; logs of the variances of jitter and place."""
    jitter2, place2 = exp(logs[0]), exp(logs[1])
    inverse = 1.0 / (place2 + v2 * jitter2)
    jitter, place = v2 * inverse, inverse  # over jitter2, and over place2
    over = square * inverse - 1.0
    one, two = 0.5 * jitter2 * float(jitter @ over), 0.5 * place2 * float(place @ over)
    a = 0.5 * jitter2**2 * float(jitter @ jitter) + _RIDGE
    b = 0.5 * jitter2 * place2 * float(jitter @ place)
    c = 0.5 * place2**2 * float(place @ place) + _RIDGE
    size = a * c - b * b
    return (
        _stepped(logs[0], (c * one - b * two) / size, LEAST_JITTER_S, MOST_JITTER_S),
        _stepped(logs[1], (a * two - b * one) / size, LEAST_PLACE_M, MOST_PLACE_M),
    )


def _stepped(log_variance: float, step: float, least: float, most: float) -> float:
    stepped = log_variance + min(max(step, -_LONGEST_STEP), _LONGEST_STEP)
    return min(max(stepped, 2.0 * log(least)), 2.0 * log(most))
