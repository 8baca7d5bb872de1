"""Runs over floors that nobody levelled, with car files that are off, for `--slope`."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from study.calibration.hidden_runs import hidden
from study.calibration.loss_worlds import Case, Rng, another_day, any_car, mismeasured
from unspool.car import FLAT, Car, Track
from unspool.reading.events import analyse
from unspool.study.calibration import CalibrationRun, FloorRun, SlopeProfile, calibrate_with_floor
from unspool.virtual import truth
from unspool.virtual.truth import USUAL

BUMP_M, BUMP_AT_M, BUMP_WIDTH_M = 0.03, 5.0, 4.0
RETURN_SHARE = 0.8  # of the first run's way: where the runs back are launched


@dataclass(frozen=True)
class FloorCase:
    """A case of losses, and the floor as it was found and as it is at the same places."""

    losses: Case
    floor: SlopeProfile
    height_m: np.ndarray

    def holds(self) -> float:
        """The share of heights past the first that lie in their interval."""
        true, x = self.height_m, self.floor.distance_m
        if not self.floor.mean_slope_known:
            true = true - true[-1] * (x - x[0]) / (x[-1] - x[0])
        inside = (self.floor.low_m - 1e-5 <= true) & (true <= self.floor.high_m + 1e-5)
        return float(np.mean(inside[1:]))


def bump(x: np.ndarray) -> np.ndarray:
    """A hump of BUMP_M, smooth at both ends."""
    share = np.clip((x - BUMP_AT_M) / BUMP_WIDTH_M, -0.5, 0.5)
    return BUMP_M * np.cos(np.pi * share) ** 2


@dataclass(frozen=True)
class FloorRuns:
    """A mis-measured car's runs, its file wound for one that was never run, and the floor."""

    car: Car
    wound: Car
    runs: list[FloorRun]
    place_m: np.ndarray
    height_m: np.ndarray


def floor_runs(uneven: bool, both_ways: bool, seed: int) -> FloorRuns:
    """Three runs there and two back, on a level floor or one with a bump."""
    rng = np.random.default_rng([11, int(uneven), int(both_ways), seed])
    places = np.arange(-5.0, 50.0, 0.5)
    heights = bump(places) if uneven else 0.0 * places
    car, wound = any_car(rng)
    file = mismeasured(0.01)(hidden(car), rng)
    there = [(wound[0], 0.0, False), (wound[1], 0.0, False), (wound[0], 0.0, False)]
    runs = [_run(car, file, one, places, heights, rng, i) for i, one in enumerate(there)]
    if both_ways:
        start = RETURN_SHARE * runs[0].run.reading.motion.furthest_m
        back = [(wound[1], start, True), (wound[2], start, True)]
        runs += [_run(car, file, one, places, heights, rng, 3 + i) for i, one in enumerate(back)]
    return FloorRuns(car, file.wound(wound[2]), runs, places, heights)


def floor_case(uneven: bool, both_ways: bool, seed: int) -> FloorCase:
    """What these runs show."""
    given = floor_runs(uneven, both_ways, seed)
    found, floor = calibrate_with_floor(given.runs)
    true = np.interp(floor.distance_m, given.place_m, given.height_m)
    return FloorCase(Case(given.car, found, given.wound, 0.0), floor, true - true[0])


def _run(
    car: Car,
    file: Car,
    laid: tuple[tuple[float, ...], float, bool],
    places: np.ndarray,
    heights: np.ndarray,
    rng: Rng,
    number: int,
) -> FloorRun:
    turns, start, back = laid
    x, h = (start - places[::-1], heights[::-1]) if back else (places, heights)
    track: Track = replace(FLAT, distance_m=tuple(x.tolist()), height_m=tuple(h.tolist()))
    day, seed = another_day(car, rng).wound(turns), int(rng.integers(1 << 30))
    train = truth.run(day, track, USUAL, seed).train
    said = file.wound(turns)
    run = CalibrationRun(analyse(train, said), said, FLAT, turns, f"run {number}")
    return FloorRun(run, start, back)
