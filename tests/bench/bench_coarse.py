"""Coarse wheels and coarse clocks: whether what little they show is said with honest intervals.

Wheels of two to eight edges a turn with one sensor, and times that were rounded to 10 ms on discs
of 10 to 40 edges. Otherwise the runs are those of bench_reading.py. UNSPOOL_BENCH_RUNS sets how
many.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from bench.figures import Figure
from bench.worlds import with_other_wheels
from unspool.car import Encoder
from unspool.model.outcome import EventKind
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.events import Reading, analyse
from unspool.reading.events.codes import ReadingCode
from unspool.virtual.truth import USUAL, TrueRun, random_car, run

RUNS = int(os.environ.get("UNSPOOL_BENCH_RUNS", "200"))
CHANGES = (EventKind.TIER_CHANGE, EventKind.LANDING, EventKind.RELEASE)
TICK_S = 0.01
# What is so of these runs, or of how they are seen.
DUE = {
    *(ReadingCode.EARLY_RELEASE, ReadingCode.WEIGHT_LANDED_FIRST, ReadingCode.MISSING_EDGES),
    *(ReadingCode.DIRECTION_NOT_KNOWN, ReadingCode.TIER_CHANGE_NOT_SEEN, ReadingCode.COARSE_TIMES),
}


@dataclass(frozen=True)
class Case:
    truth: TrueRun
    reading: Reading
    took_s: float

    @property
    def distance_z(self) -> float:
        stop = next(one for one in self.reading.events if one.kind is EventKind.STOP)
        return (stop.distance_m - self.truth.rest_m) / (stop.distance_sd_m or np.nan)

    @property
    def change_z(self) -> Iterator[float]:
        """Of each event found, against the nearest true one of its kind."""
        for event in (one for one in self.reading.events if one.kind in CHANGES):
            change = event.kind is EventKind.TIER_CHANGE
            true_m = [
                one.distance_m
                for one in self.truth.events
                if one.kind in CHANGES and (one.kind == EventKind.TIER_CHANGE) == change
            ]
            off = min((event.distance_m - one for one in true_m), key=abs, default=np.inf)
            yield off / (event.distance_sd_m or np.nan)

    @property
    def false(self) -> bool:
        return any(one.code not in DUE for one in self.reading.findings)


def read(truth: TrueRun, train: PulseTrain) -> Case:
    file = with_other_wheels(truth.car, np.random.default_rng([truth.seed, 12]))
    begun = time.process_time()
    reading = analyse(train, file)
    return Case(truth, reading, time.process_time() - begun)


def coarse(seed: int) -> Case:
    rng = np.random.default_rng([seed, 11])
    car = random_car(rng)
    car = replace(car, encoder=Encoder(int(rng.integers(2, 9)), car.encoder.axle, sensors=1))
    truth = run(car, imperfections=replace(USUAL, clock_error=0.0), seed=seed)
    return read(truth, truth.train)


def rounded(seed: int) -> Case:
    car = random_car(np.random.default_rng([seed, 11]))
    truth = run(car, imperfections=replace(USUAL, clock_error=0.0), seed=seed)
    time_s = np.round(truth.train.time_s / TICK_S) * TICK_S
    return read(truth, replace(truth.train, time_s=time_s))


def figures() -> Iterable[Figure]:
    yield from said("coarse_wheel", [coarse(seed) for seed in range(RUNS)])
    yield from said("rounded_to_10_ms", [rounded(seed) for seed in range(RUNS // 2)])


def said(name: str, cases: list[Case]) -> Iterator[Figure]:
    for what, z in (
        ("distance", [case.distance_z for case in cases]),
        ("changes", [z for case in cases for z in case.change_z]),
    ):
        holds = 100.0 * float(np.mean(np.abs(z) < 1.96))
        yield Figure(f"{name}_95_interval_of_{what}_holds", holds, "%")
    false = 100.0 * float(np.mean([case.false for case in cases]))
    yield Figure(f"{name}_runs_with_a_false_finding", false, "%")
    yield Figure(f"{name}_longest_reading", 1e3 * max(case.took_s for case in cases), "ms")
