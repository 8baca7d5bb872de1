"""The circumference from pushes: a likelihood on a grid, and its interval.

A push over the length L turns the wheel by n slots between the middles of the slots in which it
stood at the marks. Where in these it stood is uniform over each one's width; how well the car was
put to each mark is normal. So with the circumference C and N slots a turn

    L = (C / N) (n + u0 + u1) + e,   u uniform over a slot's width,  e normal of sd sqrt(2) tape_sd

and every push multiplies the likelihood of C. Its prior is flat. The tape's own error is common to
all pushes and widens the whole.
"""

from __future__ import annotations

from math import hypot, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from unspool.intervals import LEVEL, student_factor
from unspool.study.rollout.types import IntervalEstimate, Push, Travel

Array = NDArray[np.float64]

POINTS = 4001
REACH_SD = 6.0
LEAST_SD_M = 1e-4  # nobody puts a car to a mark better than this
# Permissible error of a class II tape (OIML R 35, from memory): 0.3 mm and 0.2 mm a metre.
TAPE_M, TAPE_SHARE = 0.3e-3, 0.2e-3
# Pushes that agree differ by as much less than once in so many roll-outs.
DISAGREEING = 0.005
AGREEING = 0.05  # the rest, once an odd one is left out


def estimate(
    pushes: list[tuple[Push, Travel]], edges_per_turn: int, tape_sd_m: float
) -> IntervalEstimate:
    """The circumference and its LEVEL interval, all pushes together. Travels of 1 slot or more."""
    parts = [
        _Part(p.length_m, v, edges_per_turn, _sd_m(p.length_m, v, tape_sd_m)) for p, v in pushes
    ]
    low, high = min(p.low for p in parts), max(p.high for p in parts)
    grid = np.linspace(low, high, POINTS)
    log = np.sum([p.log_likelihood(grid) for p in parts], axis=0)
    density = np.exp(log - log.max())
    share = max((TAPE_M / p.length_m + TAPE_SHARE) / sqrt(3.0) for p, _ in pushes)
    return _interval(*_widened(grid, density, share * low))


def scattered(pushes: list[tuple[Push, Travel]], edges_per_turn: int) -> IntervalEstimate:
    """Mean and interval by the scatter of pushes that disagree (Student's t). Two or more."""
    each = np.array([edges_per_turn * p.length_m / v.slots for p, v in pushes])
    wide = float(student_factor(len(each) - 1, LEVEL) * each.std(ddof=1) / sqrt(len(each)))
    mean = float(each.mean())
    return IntervalEstimate(mean, max(mean - wide, 0.0), mean + wide)


def agreement(pushes: list[tuple[Push, Travel]], edges_per_turn: int, tape_sd_m: float) -> float:
    """The probability that pushes which agree differ by as much, 0 to 1; 1 for a single one."""
    from scipy.stats import chi2  # slow to load, and many commands do without it

    if len(pushes) < 2:
        return 1.0
    each = np.array([edges_per_turn * p.length_m / v.slots for p, v in pushes])
    share = [_share_sd(p.length_m, v, _sd_m(p.length_m, v, tape_sd_m)) for p, v in pushes]
    weight = (each * np.array(share)) ** -2.0
    mean = float(weight @ each / weight.sum())
    return float(chi2.sf(weight @ (each - mean) ** 2, len(each) - 1))


def odd_one(pushes: list[tuple[Push, Travel]], edges_per_turn: int, tape_sd_m: float) -> int | None:
    """The one push without which the others agree; None if that is not clear."""
    if len(pushes) < 3 or agreement(pushes, edges_per_turn, tape_sd_m) > DISAGREEING:
        return None
    without = [
        agreement(pushes[:i] + pushes[i + 1 :], edges_per_turn, tape_sd_m)
        for i in range(len(pushes))
    ]
    best, second = np.argsort(without)[-1], np.argsort(without)[-2]
    clear = without[best] > AGREEING and without[second] < DISAGREEING
    return int(best) if clear else None


def _sd_m(length_m: float, travel: Travel, tape_sd_m: float) -> float:
    """Of the normal errors of one push: two marks, and the places of two slots."""
    slot_m = length_m / travel.slots
    return sqrt(2.0) * hypot(max(tape_sd_m, LEAST_SD_M), slot_m * travel.place_sd)


def _share_sd(length_m: float, travel: Travel, sd_m: float) -> float:
    """Of the circumference that one push gives, as a share."""
    slots = (travel.widths[0] ** 2 + travel.widths[1] ** 2) / 12.0
    return sqrt(slots / travel.slots**2 + (sd_m / length_m) ** 2)


class _Part:
    """What one push says of the circumference."""

    def __init__(self, length_m: float, travel: Travel, edges: int, sd_m: float) -> None:
        self.length, self.slots, self.edges, self.sd = length_m, travel.slots, edges, sd_m
        self.half = (travel.widths[0] / 2.0, travel.widths[1] / 2.0)
        most = travel.slots + sum(self.half)
        least = max(travel.slots - sum(self.half), 0.1)
        self.low = max(length_m - REACH_SD * sd_m, 0.1 * length_m) * edges / most
        self.high = (length_m + REACH_SD * sd_m) * edges / least

    def log_likelihood(self, circumference: Array) -> Array:
        """(n,) for circumferences (n,), up to a constant."""
        slot = circumference / self.edges
        off = self.length - slot * self.slots
        a, b = slot * self.half[0], slot * self.half[1]
        inside = _ramp(off + a + b, self.sd) - _ramp(off + a - b, self.sd)
        inside -= _ramp(off - a + b, self.sd) - _ramp(off - a - b, self.sd)
        density = inside / (4.0 * a * b)
        log: Array = np.log(np.maximum(density, 1e-9 * density.max()))
        return log


def _ramp(x: Array, sd: float) -> Array:
    """The normal distribution's function, integrated: differences of it are uniforms, blurred."""
    z = x / sd
    ramp: Array = x * ndtr(z) + sd * np.exp(-0.5 * z * z) / sqrt(2.0 * np.pi)
    return ramp


def _widened(grid: Array, density: Array, sd: float) -> tuple[Array, Array]:
    """A density on an even grid, blurred by a normal error common to all that it was made from."""
    step = float(grid[1] - grid[0])
    n = int(np.ceil(4.0 * sd / step))
    offset = np.arange(-n, n + 1) * step
    blurred = np.convolve(density, np.exp(-0.5 * (offset / sd) ** 2))
    wide = np.linspace(grid[0] - n * step, grid[-1] + n * step, len(blurred))
    return wide, blurred


def _interval(grid: Array, density: Array) -> IntervalEstimate:
    reached = np.cumsum(density) / density.sum()
    tail = (1.0 - LEVEL) / 2.0
    low, middle, high = np.interp([tail, 0.5, 1.0 - tail], reached, grid)
    return IntervalEstimate(float(middle), float(low), float(high))
