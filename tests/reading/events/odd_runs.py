"""Seeded runs that show every finding of a reading at least once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import numpy as np

from unspool.car import Car, Encoder, Track
from unspool.finding import Finding
from unspool.reading.edges.ending import Ending
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.events import Reading, analyse
from unspool.virtual.truth import USUAL, TrueRun, random_car, run


def true_run(
    seed: int, tiers: int | None = None, track: Track | None = None, **spoilt: float
) -> TrueRun:
    car = random_car(np.random.default_rng([9, seed]), tiers)
    imperfections = replace(USUAL, **({"clock_error": 0.0} | spoilt))
    return (
        run(car, track, imperfections, seed)
        if track
        else run(car, imperfections=imperfections, seed=seed)
    )


def train_of(times: np.ndarray, directions: np.ndarray | None = None) -> PulseTrain:
    n = len(times)
    signs = np.ones(n, np.int8) if directions is None else directions.astype(np.int8)
    return PulseTrain(np.asarray(times, float), signs, np.arange(n, dtype=np.int64))


@cache
def odd_readings() -> tuple[Reading, ...]:
    return (*_of_sensors(), *_of_the_drive(), *_of_the_winding(), *_not_whole())


def found_in_odd_runs() -> list[Finding]:
    return [finding for reading in odd_readings() for finding in reading.findings]


def _of_sensors() -> Iterator[Reading]:
    spoilt = true_run(3, missed=0.04, chatter=30, handled=4)
    yield analyse(spoilt.train, spoilt.car)
    rough = np.round(spoilt.train.time_s, 2)
    yield analyse(replace(spoilt.train, time_s=rough), spoilt.car)
    way = true_run(0).rest_m
    ramp = Track("ramp", (0.0, 0.5 * way, 0.5 * way + 40.0), (0.0, 0.0, 1.6), 1.2)
    back = true_run(0, track=ramp)
    untold = replace(back.train, direction=np.ones_like(back.train.direction))
    yield analyse(untold, back.car, ramp)
    twice = true_run(6)
    pulses = 2 * twice.car.encoder.pulses_per_turn
    yield analyse(twice.train, replace(twice.car, encoder=Encoder(pulses, "rear")))


def _of_the_drive() -> Iterator[Reading]:
    for truth in (
        true_run(1, slip_s=0.15, slip_grip=0.3),
        true_run(4),  # its weight lands first
        true_run(7, early_release_m=0.1),
        true_run(2, sway_m_s2=0.3, sway_hz=3.1),
    ):
        yield analyse(truth.train, truth.car)
    yield _held()
    yield _two_tiers_alike()


def _of_the_winding() -> Iterator[Reading]:
    def read(true: Car, said: Car, seed: int) -> Reading:
        imperfections = replace(USUAL, clock_error=0.0)
        return analyse(run(true, imperfections=imperfections, seed=seed).train, said)

    one, two, front = (random_car(np.random.default_rng([77, seed])) for seed in (1001, 1002, 1004))
    yield read(replace(front, drum=(front.drum[0], front.drum[2], front.drum[1])), front, 1004)
    turns = [tier.turns for tier in two.drum]
    yield read(two.wound((turns[0], turns[1] + 0.5, *turns[2:])), two, 1002)
    yield read(one.wound((one.drum[0].turns + 0.3,)), one, 1001)
    wheels = tuple(replace(w, radius_m=1.03 * w.radius_m) if w.driven else w for w in front.wheels)
    yield read(front, replace(front, wheels=wheels), 1004)
    yield read(two, replace(two, body_mass_kg=1.6 * two.body_mass_kg), 1002)


def _held() -> Reading:
    car = random_car(np.random.default_rng([10, 0]))
    short = sum(tier.string_m for tier in car.drum) / (0.97 * car.drop_m)
    car = car.wound(tuple(tier.turns / max(short, 1.0) for tier in car.drum))
    truth = run(car, imperfections=replace(USUAL, clock_error=0.0, held_m=0.01))
    return analyse(truth.train, car)


def _two_tiers_alike() -> Reading:
    car = random_car(np.random.default_rng([9, 2]), 2)
    one, two = (replace(tier, turns=car.drum[0].turns / 2) for tier in car.drum)
    alike = 0.9999 * one.radius_m
    car = replace(car, drum=(one, replace(two, radius_m=alike, end_radius_m=alike)))
    return analyse(run(car, imperfections=replace(USUAL, clock_error=0.0), seed=2).train, car)


def _not_whole() -> Iterator[Reading]:
    truth = true_run(3)
    coast = truth.edge_distance_m > 1.2 * truth.event("release").distance_m
    yield analyse(train_of(truth.train.time_s[coast]), truth.car)
    yield analyse(train_of(truth.train.time_s[: len(coast) // 2]), truth.car)
    late = train_of(truth.train.time_s[60:])
    yield analyse(replace(late, lost_before=60, ending=Ending.STOOD_STILL), truth.car)
    yield analyse(train_of(np.array([1.0, 1.2]), np.array([1, -1])), truth.car)
