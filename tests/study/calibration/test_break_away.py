"""Bounds of the resistance at rest, against cars whose resistance at rest is known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from study.calibration.hidden_runs import measured, with_train
from unspool.car import FLAT, Car
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.study.calibration import BreakAway, CalibrationRun, break_away, calibrate
from unspool.virtual.truth import random_car

GRAVITY = 9.80665


def some_car(coefficient: float) -> Car:
    car = random_car(np.random.default_rng(5), tiers=1)
    losses = replace(car.losses, rolling_coefficient=0.012, break_away_coefficient=coefficient,
                     constant_drag_n=0.0, drive_efficiency=0.9)  # fmt: skip
    return replace(car, losses=losses)


def pulling(car: Car, coefficient: float) -> Car:
    """The car with a drum that just moves this coefficient of its weight."""
    lever = coefficient * car.total_mass_kg / (0.9 * car.weight_mass_kg)
    radius = lever * car.driven_wheel.radius_m
    (tier,) = car.drum
    turns = 0.95 * car.drop_m / (2.0 * np.pi * radius)
    return replace(car, drum=(replace(tier, radius_m=radius, end_radius_m=radius, turns=turns),))


def stayed(car: Car, name: str) -> CalibrationRun:
    """A let-go car that did not go: the string's jerk moves the wheel by two slots at most."""
    made = measured(car, name)
    train = PulseTrain(np.array([8.0, 8.1]), np.ones(2, dtype=np.int8), np.arange(2))
    return with_train(made, train)


def told(runs: list[CalibrationRun]) -> BreakAway:
    return break_away(runs, calibrate(runs))


def held(car: Car, runs: list[CalibrationRun], coefficient: float) -> float:
    """With the constant drag that the calibration expects, as a coefficient: the sum is bounded."""
    constant = calibrate(runs).term("constant_drag_n").value
    return coefficient + constant / (car.total_mass_kg * GRAVITY)


def test_the_pull_that_moved_it_and_the_pull_that_did_not_bound_it() -> None:
    car = some_car(0.02)
    runs = [measured(pulling(car, 0.023), f"went {i}", i) for i in range(3)]
    given = [*runs, stayed(pulling(car, 0.018), "stayed")]
    seen = told(given)
    assert held(car, given, seen.low) == pytest.approx(0.018, rel=0.07)
    assert held(car, given, seen.high) == pytest.approx(0.023, rel=0.07)
    assert seen.low < 0.02 < seen.high
    assert seen.known
    assert seen.finding is None


def test_cars_that_all_went_bound_only_the_upper_end() -> None:
    car = some_car(0.02)
    runs = [measured(pulling(car, 0.06), f"run {i}", i) for i in range(2)]
    seen = told(runs)
    assert held(car, runs, seen.high) == pytest.approx(0.06, rel=0.07)
    assert not seen.known
    assert seen.finding is not None
    assert seen.finding.code == "no_run_held"


def test_rest_and_roll_back_on_a_slope_bound_it() -> None:
    """The same car comes to rest on 1.5 % and rolls back from 4 %."""
    car = some_car(0.02)
    places = (0.0, 1.5, 60.0)
    gentle, steep = (
        replace(FLAT, distance_m=places, height_m=(0.0, 0.0, 58.5 * slope))
        for slope in (0.015, 0.04)
    )
    strong = pulling(car, 0.08)
    runs = [measured(strong, "rest", 1, gentle), measured(strong, "back", 2, steep)]
    seen = told(runs)
    assert held(car, runs, seen.low) == pytest.approx(0.015, rel=0.02)
    assert held(car, runs, seen.high) == pytest.approx(0.04, rel=0.02)


def test_runs_that_contradict_each_other_are_named() -> None:
    car = some_car(0.014)
    runs = [measured(pulling(car, 0.018), f"went {i}", i) for i in range(2)]
    seen = told([*runs, stayed(pulling(car, 0.03), "stayed")])
    assert seen.finding is not None
    assert seen.finding.code == "rests_contradict"
    assert seen.finding.values["held_run"] == "stayed"
    assert str(seen.finding.values["run"]).startswith("went")
    assert not seen.known
