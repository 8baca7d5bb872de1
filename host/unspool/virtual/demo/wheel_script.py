"""WheelScript: what a virtual car's wheel does while the car is wound and let go, run after run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from unspool.car import Car, Track
from unspool.virtual.truth import Imperfections, TrueRun, run, session_train

FIRST_S = 2.0  # time for the host to find the board
BEFORE_S = 4.0  # between the last turn wound and letting go
PAUSE_S = 10.0  # the car is carried back
# A hand-made disc and a sensor that chatters at rest. Nothing is missed: what the record shows
# can be compared with the truth edge by edge.
DEMO_IMPERFECTIONS = Imperfections(slot_sd=0.02, jitter_s=50e-6, tick_s=0.5e-6, chatter=4)
# Turns on each tier, in the order of the drum, for one run after the other. Empty: as in the file.
Windings = Sequence[tuple[float, ...]]
# What the builder's car file is wrong by, and how much runs differ. Invented.
ROLLING_OFF, DRIVE_OFF = 1.07, 0.985
ROLLING_SCATTER, DRIVE_SCATTER = 0.01, 0.004


@dataclass(frozen=True)
class WheelScript:
    """Some runs of one car.

    `time_s`, `direction`: (n,) the edges of all windings and runs, from the board's power-on.
    `truths`: the runs, each on its own clock; run k's clock is `offset_s[k]` behind the board's.
    """

    time_s: NDArray[np.float64]
    direction: NDArray[np.int8]
    truths: tuple[TrueRun, ...]
    offset_s: tuple[float, ...]

    @property
    def edges(self) -> list[tuple[float, int]]:
        return list(zip(self.time_s.tolist(), self.direction.tolist(), strict=True))

    @property
    def end_s(self) -> float:
        """When the car has stood still for a while after its last run."""
        return float(self.time_s[-1]) + PAUSE_S


def wheel_script(
    car: Car,
    track: Track,
    runs: int = 1,
    seed: int = 1,
    first_s: float = FIRST_S,
    windings: Windings = (),
) -> WheelScript:
    """The same car wound and let go `runs` times, by `windings` in turn. No two runs are alike.

    The car's own losses are not quite what its file says, and nobody knows them.
    """
    times, directions, truths, offsets = [], [], [], []
    at = first_s
    for k in range(runs):
        wound = car.wound(windings[k % len(windings)]) if windings else car
        truth = run(real_car(wound, seed + k), track, DEMO_IMPERFECTIONS, seed=seed + k)
        train = session_train(truth, before_s=BEFORE_S)
        offset = at - float(train.time_s[0])
        times.append(train.time_s + offset)
        directions.append(train.direction)
        truths.append(truth)
        offsets.append(offset)
        at = float(times[-1][-1]) + PAUSE_S
    return WheelScript(
        np.concatenate(times), np.concatenate(directions), tuple(truths), tuple(offsets)
    )


def real_car(car: Car, seed: int) -> Car:
    """The car as it is on this run: its losses differ from its file, and from run to run."""
    more, better = np.random.default_rng([seed, 4]).normal(size=2).tolist()
    file = car.losses
    rolling = file.rolling_coefficient * ROLLING_OFF * (1.0 + ROLLING_SCATTER * more)
    losses = replace(
        file,
        rolling_coefficient=rolling,
        break_away_coefficient=max(file.break_away_coefficient, rolling),
        drive_efficiency=min(
            file.drive_efficiency * DRIVE_OFF * (1.0 + DRIVE_SCATTER * better), 1.0
        ),
    )
    return replace(car, losses=losses)
