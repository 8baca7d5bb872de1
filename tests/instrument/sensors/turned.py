"""A slotted disc turned by hand past two sensors: what they show and when, with known faults.

Angles in turns. Sensor B sits so that it sees what A sees `b_lag` of a slot pitch later when the
wheel turns forward; 0.25 is right.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.instrument.wire import SensorSamples

STEP_S = 50e-6
BOUNCE_S = 120e-6

Pins = tuple[float, str]  # time_s, levels of A and B


@dataclass(frozen=True)
class Bench:
    """slots: in the disc. high: share of a pitch that reads high. closed: this slot is closed."""

    slots: int = 10
    high: float = 0.5
    error: float = 0.02  # of a pitch, by which each rim is off
    b_lag: float = 0.25
    closed: int | None = None
    a_dead: bool = False
    b_dead: bool = False
    bounces: int = 0  # at each of A's switchings
    spikes: int = 0  # on B, spread over the time
    turns: float = 6.0
    turns_a_second: float = 1.0
    way: int = 1
    seed: int = 1

    def angle(self, time_s: NDArray[np.float64]) -> NDArray[np.float64]:
        """A hand: starts, pushes on a little three times in two turns, stops."""
        rate, swing = self.turns_a_second, 0.1
        even = time_s * rate
        return self.way * (even + swing / (2 * np.pi * 1.5) * np.sin(2 * np.pi * 1.5 * even))

    @property
    def duration_s(self) -> float:
        return self.turns / self.turns_a_second

    def pins(self, start_s: float = 0.0) -> list[Pins]:
        """Every change of either sensor, from the first one on."""
        time_s = np.arange(0.0, self.duration_s, STEP_S)
        angle = self.angle(time_s) + 0.003
        a = self._light(angle) & (not self.a_dead)
        b = self._light(angle - self.b_lag / self.slots) & (not self.b_dead)
        moved = np.flatnonzero((np.diff(a) != 0) | (np.diff(b) != 0)) + 1
        out: list[Pins] = []
        for i in moved:
            out += self._change(start_s + float(time_s[i]), a[i - 1 : i + 1], b[i])
        return sorted(out + self._spikes(out))

    def _light(self, angle: NDArray[np.float64]) -> NDArray[np.bool_]:
        rims = np.random.default_rng(self.seed).normal(0.0, self.error, (2, self.slots))
        pitch = angle % 1.0 * self.slots
        slot = pitch.astype(int) % self.slots
        within = pitch - slot
        high = (within > 0.05 + rims[0, slot] / 2) & (within < 0.05 + self.high + rims[1, slot])
        return high & (slot != self.closed)

    def _change(self, at_s: float, a: NDArray[np.bool_], b: bool) -> list[Pins]:
        before, after = (f"{int(level)}{int(b)}" for level in a)
        if before == after or not self.bounces:
            return [(at_s, after)]
        steps = range(2 * self.bounces + 1)
        return [(at_s + i * BOUNCE_S, before if i % 2 else after) for i in steps]

    def _spikes(self, changes: list[Pins]) -> list[Pins]:
        """On B, in the middle between two changes."""
        out = []
        for i in np.linspace(2, len(changes) - 3, self.spikes).astype(int):
            levels, middle = changes[i][1], (changes[i][0] + changes[i + 1][0]) / 2
            flipped = levels[0] + str(1 - int(levels[1]))
            out += [(middle, flipped), (middle + BOUNCE_S, levels)]
        return out

    def samples(self) -> SensorSamples:
        """As the board shows them, and at rest for a second before."""
        rest = [(i * 0.05, "00") for i in range(20)]
        all_of = rest + self.pins(start_s=1.0)
        return SensorSamples(
            np.arange(len(all_of), dtype=np.int64),
            np.array([time_s for time_s, _ in all_of]),
            np.array([int(levels[0]) for _, levels in all_of], np.int8),
            np.array([int(levels[1]) for _, levels in all_of], np.int8),
        )
