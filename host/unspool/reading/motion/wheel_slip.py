"""A wheel that spins at the start: it races off, and then drops to the speed of its car.

A slip is found from the edges alone, before they are numbered, for a numbering that expects the
wheel to roll smoothly finds edges too many and too few there. The wheel sets off from rest, its
intervals ever shorter; then they are all at once longer, and shrink from there as those of a car
that already rolls. That last is what a hand's nudge before the launch does not show. The parabola
through the edges after the drop has its vertex before the last of the racing edges. That vertex is
the rest from which such a car would have come.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.car.vehicle import Car
from unspool.reading.edges.tick import tick_sd

Array = NDArray[np.float64]

LOOKED_AT = 400  # edges from the start of the run, and
LONGEST_S = 2.0  # seconds: a tyre that spins for longer is past help
FEWEST_RACING = 3  # edges before the drop
AFTER = (24, 16, 11, 8)  # edges after it that one parabola must fit
FITS = 0.06  # slots rms, or
FITS_SHARE = 2.0  # times what such a parabola leaves later in the run,
FITS_AT_MOST = 0.15  # but no edge missed
DROP = 1.15  # the wheel's speed before over the car's after, and its pull over the car's after
# Of two intervals from rest: 1 over sqrt 2 less 1 at most, and slots unevenly cut.
MOST_RATIO, LEAST_RATIO = 2.8, 0.75
BEFORE_FIRST = np.linspace(0.02, 1.0, 8)  # parts of a slot tried; the wheel may rest anywhere
RACE_FITS = 0.12  # slots rms: looser than FITS, for the pull of a spinning tyre varies
RACE_BEGINS = 8  # its first edges, before the tyre may find some grip
FASTER = 1.05  # than the string can drive the car
WHEEL_DOUBT = 2.0  # times: the wheels' inertia is the car file's least sure number
FAST_PERCENT = 10  # of the intervals, the fastest tenth
RACE_SHARE = 10  # its last tenth shows how fast the wheel raced


@dataclass(frozen=True)
class WheelSlip:
    """Places in a run of edges: the first that raced, the last, and the first after the grip."""

    first: int
    last: int
    gripped: int


@dataclass(frozen=True)
class StringPull:
    """What the string can give, in slots/s2: to the whole car, and to the driven wheels alone."""

    car: float
    wheels: float

    @classmethod
    def of(cls, car: Car) -> StringPull:
        """On the first tier, nothing holding on."""
        wheel, falling = car.driven_wheel, car.losses.drive_efficiency * car.weight_mass_kg
        lever = car.drum[0].radius_m / wheel.radius_m
        force = falling * STANDARD_GRAVITY * lever
        turning = wheel.count * wheel.inertia_kg_m2 / wheel.radius_m**2 + falling * lever**2
        pitch = car.metres_per_edge
        return cls(force / car.total_mass_kg / pitch, force / turning / pitch)


def find_slip(time_s: Array, pull: StringPull, tick_s: float = 0.0) -> WheelSlip | None:
    """The slip at the start of edges in one direction; (n,) s, rounded to ticks of tick_s."""
    n = min(len(time_s), LOOKED_AT)
    if n < FEWEST_RACING + AFTER[-1]:
        return None
    interval = np.diff(time_s[:n])
    if tick_sd(tick_s) > FITS * float(np.percentile(interval, FAST_PERCENT)):
        return None  # no parabola can fit such times
    firsts = _firsts(interval)
    for last in _drops(interval):
        first = int(firsts[last])
        if first < 0 or last - first + 1 < FEWEST_RACING:
            continue
        if time_s[last] - time_s[first] > LONGEST_S:
            break
        for gripped in _grips(interval, last):
            racing = time_s[first : last + 1]
            if _races(racing[:RACE_BEGINS], pull) and _goes_on(time_s, racing, gripped):
                return WheelSlip(first, last, gripped)
    return None


def _drops(interval: Array) -> list[int]:
    """Edges after which the wheel slows at once, or that begin to slow it over a few edges."""
    drops = np.flatnonzero(interval[1:] > 1.1 * interval[:-1]) + 1
    return [int(i) for i in drops if i >= FEWEST_RACING - 1]


def _firsts(interval: Array) -> NDArray[np.intp]:
    """For each edge the first one of a wheel that races up to it from rest; -1 where none does."""
    padded = np.pad(interval, 1, mode="edge")
    # Of three: a lone missed edge within the race is none of its end.
    usual = np.median(np.lib.stride_tricks.sliding_window_view(padded, 3), axis=1)
    edge = np.arange(len(interval))
    rests = np.concatenate([[True], interval[:-1] > MOST_RATIO * usual[1:]])
    breaks = np.concatenate([[False], usual[:-1] < LEAST_RATIO * usual[1:]]) & ~rests
    rest = np.maximum.accumulate(np.where(rests, edge, -1))
    broken = np.maximum.accumulate(np.where(breaks, edge, -1))
    first = np.where(rest > broken, rest, -1)
    # The interval after the last racing edge is the drop's: what it looks like does not count.
    return np.concatenate([[-1], first[:-1]])


def _grips(interval: Array, last: int) -> list[int]:
    """Where the slowing may end: at the longest interval, or just behind it."""
    longest = last
    while longest + 1 < len(interval) and interval[longest + 1] > 0.97 * interval[longest]:
        longest += 1
    return [longest + 1, longest + 2] if longest > last else [last + 1, last + 2]


def _races(racing: Array, able: StringPull) -> bool:
    """Whether edges come as from a wheel that sets off from rest as none can that moves its car.

    Slot k passes at t0 + sqrt(2 (k + f) / a), f the part of a slot before the first.
    """
    root = np.sqrt(np.arange(len(racing)) + BEFORE_FIRST[:, None])
    centred, time_s = root - root.mean(axis=1, keepdims=True), racing - racing.mean()
    slope = centred @ time_s / np.einsum("bk,bk->b", centred, centred)
    left = (time_s - slope[:, None] * centred) * 2.0 * root / np.maximum(slope, 1e-9)[:, None]
    rms = np.sqrt(np.einsum("bk,bk->b", left, left) / (len(racing) - 2))
    best = int(np.argmin(np.where(slope > 0.0, rms, np.inf)))
    pull = 2.0 / max(float(slope[best]), 1e-9) ** 2
    fits = slope[best] > 0.0 and rms[best] < RACE_FITS
    return bool(fits and FASTER * able.car < pull < WHEEL_DOUBT * able.wheels)


def _goes_on(time_s: Array, racing: Array, gripped: int) -> bool:
    for after in AFTER:
        t = time_s[gripped : gripped + after]
        if len(t) < after:
            continue
        power, left = _parabola(t)
        if left < max(FITS, min(FITS_SHARE * _usual(time_s[gripped:], after), FITS_AT_MOST)):
            return _rolls(power, t, racing)
    return False


def _rolls(power: Array, t: Array, racing: Array) -> bool:
    """Whether the car, seen after the drop, rolled already at the last racing edge, and slower."""
    a, b, _ = power
    then = 2.0 * a * float(racing[-1] - t[0]) + b
    several = max(2, len(racing) // RACE_SHARE)
    raced = several / float(racing[-1] - racing[-1 - several])
    begun = 2.0 * (len(racing) - 1) / float(racing[-1] - racing[0]) ** 2
    return bool(a > 0.0 and then > 0.0 and raced > DROP * then and begun > DROP * 2.0 * a)


def _parabola(t: Array) -> tuple[Array, float]:
    """Slots over the time from the first edge, highest power first, and the rms that is left."""
    columns = np.vander(t - t[0], 3)
    slots = np.arange(len(t), dtype=np.float64)
    power: Array = np.linalg.lstsq(columns, slots)[0].astype(np.float64)
    left = slots - columns @ power
    return power, float(np.sqrt(left @ left / max(len(t) - 3, 1)))


def _usual(time_s: Array, edges: int) -> float:
    """What a parabola through so many edges leaves, in the middle of a few later stretches."""
    starts = range(edges, min(len(time_s) - edges, 8 * edges), edges)
    left = [_parabola(time_s[i : i + edges])[1] for i in starts]
    return float(np.median(left)) if left else 0.0
