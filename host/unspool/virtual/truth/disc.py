"""The slotted disc as it really is: where along the floor each of its edges passes."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor, pi, sin

import numpy as np
from numpy.typing import NDArray

from unspool.car import Car
from unspool.virtual.truth.imperfections import Imperfections

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class TrueDisc:
    """Edge 0 is the first that passes after the launch.

    `offset`: (pulses_per_turn,) each edge's error as a share of the pitch; edge k of the run has
    offset[k mod pulses_per_turn]. `phase`: pitches from the launch to edge 0.
    """

    radius_m: float
    offset: Floats
    phase: float
    out_of_round: float
    round_phase: float

    def place(self, k: NDArray[np.int64]) -> Floats:
        """What the wheel has rolled, in m from the launch, when edge k passes."""
        n = len(self.offset)
        angle = 2.0 * pi * (k + self.phase + self.offset[np.mod(k, n)]) / n
        bump = np.sin(angle + self.round_phase) - sin(self.round_phase)
        return np.asarray(self.radius_m * (angle + self.out_of_round * bump))

    def between(self, low_m: float, high_m: float) -> tuple[NDArray[np.int64], Floats]:
        """Numbers and places of all edges above low_m and up to high_m, upwards."""
        pitch = 2.0 * pi * self.radius_m / len(self.offset)
        margin = 3 + ceil(len(self.offset) * self.out_of_round)
        first, last = floor(low_m / pitch) - margin, ceil(high_m / pitch) + margin
        k = np.arange(first, last + 1, dtype=np.int64)
        places = np.maximum.accumulate(self.place(k))
        inside = (places > low_m) & (places <= high_m)
        return k[inside], places[inside]

    @property
    def shares(self) -> Floats:
        """(pulses_per_turn,), mean 1: distance from edge j to edge j + 1 over the mean pitch."""
        pitches = np.diff(self.place(np.arange(len(self.offset) + 1, dtype=np.int64)))
        return np.asarray(pitches / pitches.mean())


def cut_disc(car: Car, imperfections: Imperfections, rng: np.random.Generator) -> TrueDisc:
    """A disc with this car's number of edges and these imperfections."""
    n = car.encoder.pulses_per_turn
    offset = rng.normal(0.0, 1.0, n) * imperfections.slot_sd
    offset += imperfections.duty * np.where(np.arange(n) % 2, 0.5, -0.5)
    # Kept clear of 0 and 1, so that edge 0 is the first after the launch whatever its error.
    clear = float(np.max(np.abs(offset), initial=0.0)) + 0.02
    phase = rng.uniform(min(clear, 0.5), max(1.0 - clear, 0.5))
    turned = rng.uniform(0.0, 2.0 * pi)
    return TrueDisc(car.encoder_wheel.radius_m, offset, phase, imperfections.out_of_round, turned)
