"""Coarse wheels: what few edges can show is said with honest sds, and no more is said."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from unspool.car import Encoder, Track
from unspool.reading.events import Reading, analyse
from unspool.reading.events.codes import ReadingCode
from unspool.virtual.truth import USUAL, TrueRun, random_car, run

CHANGES = {"tier_change", "release", "landing"}
# What is so of the run itself: its string is shorter or longer than the drop.
TRUE_OF_THE_RUN = {ReadingCode.EARLY_RELEASE, ReadingCode.WEIGHT_LANDED_FIRST}


def coarse(seed: int, edges: int, sensors: int = 1, missed: float = 0.0) -> TrueRun:
    car = random_car(np.random.default_rng([seed, 11]))
    car = replace(car, encoder=Encoder(edges, car.encoder.axle, sensors))
    spoilt = replace(USUAL, clock_error=0.0, missed=missed)
    return run(car, imperfections=spoilt, seed=seed)


def codes(reading: Reading) -> set[str]:
    return {finding.code for finding in reading.findings}


# Of two edges a turn: tiers change before the second edge comes, or a tier has but one.
@pytest.mark.parametrize("seed", [20, 21, 32, 57])
def test_two_edges_a_turn_give_a_distance_within_its_sd(seed: int) -> None:
    truth = coarse(seed, 2)
    reading = analyse(truth.train, truth.car)
    stop = next(event for event in reading.events if event.kind == "stop")
    assert stop.distance_sd_m is not None
    assert stop.distance_sd_m < 0.35 * truth.car.metres_per_edge
    assert abs(reading.distance_m - truth.rest_m) < 3.0 * stop.distance_sd_m
    assert reading.distance_m == pytest.approx(stop.distance_m)


@pytest.mark.parametrize("edges", [2, 3, 4, 6, 8])
def test_what_is_said_holds(edges: int) -> None:
    off = []
    for seed in range(6):
        truth = coarse(100 + seed, edges)
        reading = analyse(truth.train, truth.car)
        for event in (one for one in reading.events if one.kind in CHANGES):
            assert event.distance_sd_m is not None
            near = [one.distance_m for one in truth.events if one.kind in CHANGES]
            off.append(min(abs(event.distance_m - one) for one in near) / event.distance_sd_m)
        allowed = TRUE_OF_THE_RUN | {ReadingCode.TIER_CHANGE_NOT_SEEN}
        assert codes(reading) - allowed == {ReadingCode.DIRECTION_NOT_KNOWN}
    assert np.mean(np.array(off) < 1.96) > 0.8
    assert max(off) < 5.0


def test_a_change_between_too_few_edges_is_not_placed_and_says_why() -> None:
    truth = coarse(21, 2)
    reading = analyse(truth.train, truth.car)
    unseen = [one for one in reading.findings if one.code == ReadingCode.TIER_CHANGE_NOT_SEEN]
    assert [one.values["edges"] for one in unseen] == [1, 1]
    assert [event.kind for event in reading.events].count("tier_change") == 1


def test_one_sensor_says_that_the_direction_is_not_known() -> None:
    truth = coarse(3, 20)
    reading = analyse(truth.train, truth.car)
    assert ReadingCode.DIRECTION_NOT_KNOWN in codes(reading)
    both = replace(truth.car, encoder=replace(truth.car.encoder, sensors=2))
    assert ReadingCode.DIRECTION_NOT_KNOWN not in codes(analyse(truth.train, both))


def test_with_one_sensor_the_directions_of_the_board_mean_nothing() -> None:
    """Sensor B is open: its level is always the same, so that directions alternate."""
    truth = coarse(4, 8)
    flat = np.where(np.arange(len(truth.train)) % 2, -1, 1).astype(np.int8)
    alternating = analyse(replace(truth.train, direction=flat), truth.car)
    assert alternating.distance_m == analyse(truth.train, truth.car).distance_m


@pytest.mark.parametrize("seed", [5, 6])
@pytest.mark.parametrize("edges", [2, 4, 8, 20])
def test_a_roll_back_with_one_sensor_is_assumed_or_unknown(seed: int, edges: int) -> None:
    level = coarse(seed, edges)
    half = 0.5 * level.rest_m
    track = Track("ramp", (0.0, half, half + 40.0), (0.0, 0.0, 1.6), 1.2)
    truth = run(level.car, track, replace(USUAL, missed=0.0), seed=seed)
    assert truth.furthest_m - truth.rest_m > 1.0
    reading = analyse(truth.train, level.car, track)
    unknown = next(one for one in reading.findings if one.code == ReadingCode.DIRECTION_NOT_KNOWN)
    if unknown.values["turns"]:
        pitch = level.car.metres_per_edge
        assert reading.furthest_m == pytest.approx(truth.furthest_m, abs=pitch)
        assert reading.distance_m == pytest.approx(truth.rest_m, abs=pitch)
    else:
        assert unknown.severity == "warning"
        assert unknown.values["due_m"] == pytest.approx(truth.furthest_m, rel=0.05)


def test_rounded_times_never_drive_a_car_whose_string_is_gone() -> None:
    """An edge missed unseen on the coast looks like a short pull, long after the release."""
    truth = coarse(8, 48, sensors=2, missed=0.003)
    time_s = np.round(truth.train.time_s / 0.004) * 0.004
    reading = analyse(replace(truth.train, time_s=time_s), truth.car)
    release = next(event for event in reading.events if event.kind == "release")
    assert abs(release.distance_m - truth.event("release").distance_m) < 0.1
