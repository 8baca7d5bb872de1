"""A loss is said to be known only if the runs show it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from study.calibration.hidden_runs import hidden, measured, part, turns, varied
from unspool.car import FLAT, Car, Track
from unspool.study.calibration import Calibration, CalibrationRun, calibrate, predict_with
from unspool.study.calibration.types import TERMS
from unspool.virtual.truth import random_car

GRAVITY = 9.80665
CLOCK = 0.996  # the usual sensor's clock makes forces seem smaller


def some_car(seed: int = 5) -> Car:
    return random_car(np.random.default_rng(seed), tiers=2)


def stating(car: Car, constant_n: float) -> Car:
    """The car as a file describes it that states nothing but its constant drag."""
    file = hidden(car)
    assumed = tuple(name for name in file.losses.assumed if name != "constant_drag_n")
    return replace(file, losses=replace(file.losses, constant_drag_n=constant_n, assumed=assumed))


def runs_of(car: Car, scatter: float = 0.003, track: Track = FLAT) -> list[CalibrationRun]:
    rng = np.random.default_rng(1)
    days = [turns(varied(car, scatter, rng), share) for share in (1.0, 0.8, 1.0)]
    return [measured(one, f"run {i}", i, track) for i, one in enumerate(days)]


def described(runs: list[CalibrationRun], constant_n: float) -> list[CalibrationRun]:
    return [replace(one, car=stating(one.car, constant_n)) for one in runs]


def share(given: CalibrationRun, begin: float, end: float) -> CalibrationRun:
    n = len(given.reading.motion.train)
    return part(given, slice(int(begin * n), int(end * n)))


def codes(told: Calibration) -> list[str]:
    return [finding.code for finding in told.findings]


def known(told: Calibration) -> dict[str, bool]:
    return {term.name: term.known for term in told.terms}


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("scatter", [0.0, 0.01])
def test_one_mass_tells_the_sum_alone(seed: int, scatter: float) -> None:
    car = some_car(seed)
    told = calibrate(runs_of(car, scatter))
    assert not known(told)["rolling_coefficient"]
    assert not known(told)["constant_drag_n"]
    both, losses = told.resistance, car.losses
    true = losses.rolling_coefficient * car.total_mass_kg * GRAVITY + losses.constant_drag_n
    assert both.known
    assert both.low < CLOCK * true < both.high
    assert both.mass_kg == car.total_mass_kg
    (together,) = (f for f in told.findings if f.code == "one_mass")
    assert together.values == {"resistance_n": both.value, "mass_kg": both.mass_kg}
    (together,) = (f for f in told.together if f.code == "resistance_together")
    assert (together.values["low_n"], together.values["high_n"]) == (both.low, both.high)


def test_grams_more_are_still_one_mass() -> None:
    car = some_car()
    more = replace(car, body_mass_kg=car.body_mass_kg + 0.01)
    rng = np.random.default_rng(2)
    cars = [varied(one, 0.005, rng) for one in (car, more, car, more)]
    told = calibrate([measured(one, str(i), i) for i, one in enumerate(cars)])
    assert not known(told)["rolling_coefficient"]
    assert not known(told)["constant_drag_n"]


@pytest.mark.parametrize("constant_n", [0.0, 0.004, 0.02])
def test_the_builders_word_for_the_constant_drag_tells_the_rolling(constant_n: float) -> None:
    car = some_car()
    true = replace(car, losses=replace(car.losses, constant_drag_n=constant_n))
    told = calibrate(described(runs_of(true), constant_n))
    rolling = told.term("rolling_coefficient")
    assert rolling.known
    assert rolling.value == pytest.approx(CLOCK * true.losses.rolling_coefficient, rel=0.03)
    assert not told.term("constant_drag_n").known, "the runs still do not tell it"
    assert told.vouched == ("constant_drag_n",)
    assert "constant_drag_stated" in codes(told)


def test_runs_with_two_masses_outweigh_a_wrong_word() -> None:
    light = replace(some_car(), losses=replace(some_car().losses, constant_drag_n=0.02))
    heavy = replace(light, body_mass_kg=light.body_mass_kg + 1.0)
    runs = [measured(one, f"run {i}", i) for i, one in enumerate([light, heavy] * 2)]
    told = calibrate(described(runs, 0.0))
    assert told.term("constant_drag_n").known
    assert told.term("constant_drag_n").value == pytest.approx(CLOCK * 0.02, rel=0.1)
    assert told.vouched == ()


def test_one_winding_on_one_tier_tells_the_drive() -> None:
    car = random_car(np.random.default_rng(3), tiers=1)
    told = calibrate([measured(car, str(i), i) for i in range(3)])
    drive = told.term("drive_efficiency")
    assert drive.known
    assert drive.low < CLOCK * car.losses.drive_efficiency < drive.high
    assert not known(told)["rolling_coefficient"]


@pytest.mark.parametrize("begin", [0.15, 0.6])
def test_a_launch_that_was_not_seen_leaves_the_drive_open(begin: float) -> None:
    car = some_car(0)
    told = calibrate([share(one, begin, 1.0) for one in runs_of(car)])
    drive = told.term("drive_efficiency")
    assert not drive.known
    assert drive.low < car.losses.drive_efficiency < drive.high
    assert told.resistance.low < CLOCK * _resistance(car) < told.resistance.high
    assert told.residual_sd_m is None
    assert not any(one.without_drive is None for one in told.runs)
    first = told.findings[0]
    assert (first.code, first.values) == ("begins_after_launch", {"run": "run 0"})


def _resistance(car: Car) -> float:
    losses = car.losses
    return losses.rolling_coefficient * car.total_mass_kg * GRAVITY + losses.constant_drag_n


def test_a_levelled_slope_is_not_taken_for_rolling() -> None:
    car = some_car(0)
    track = Track("down", (0.0, 80.0), (0.0, -0.08), FLAT.air_density_kg_m3)
    told = calibrate(runs_of(car, track=track))
    assert told.resistance.low < CLOCK * _resistance(car) < told.resistance.high
    assert "level_assumed" not in codes(told)


def test_edges_of_a_start_alone_claim_no_resistance() -> None:
    car = some_car(0)
    told = calibrate([share(one, 0.0, 0.1) for one in runs_of(car)])
    drive = told.term("drive_efficiency")
    assert not any(one.known for one in told.terms if one != drive)
    assert drive.low < CLOCK * car.losses.drive_efficiency < drive.high


def test_one_run_alone() -> None:
    car = some_car(0)
    told = calibrate(runs_of(car)[:1])
    assert not known(told)["rolling_coefficient"]
    assert told.resistance.high - told.resistance.low > 0.005 * told.resistance.value, "no repeat"
    (few,) = (f for f in told.findings if f.code == "few_runs")
    assert few.values == {"more": 2}


def test_other_wheels_are_said() -> None:
    runs = runs_of(some_car(0))
    other = tuple(replace(wheel, radius_m=1.02 * wheel.radius_m) for wheel in runs[2].car.wheels)
    runs[2] = replace(runs[2], car=replace(runs[2].car, wheels=other))
    told = calibrate(runs)
    (other_wheels,) = (f for f in told.findings if f.code == "other_wheels")
    assert other_wheels.values == {"run": "run 2", "first_run": "run 0"}
    assert "other_wheels" not in codes(calibrate(runs_of(some_car(0))))


@pytest.mark.parametrize("seed", range(5))
def test_runs_alike_with_two_masses_are_not_odd(seed: int) -> None:
    """A constant drag above the handbook's is no reason to doubt a run."""
    car = random_car(np.random.default_rng([5, seed]))
    car = replace(car, losses=replace(car.losses, constant_drag_n=0.02))
    heavy = replace(car, body_mass_kg=1.3 * car.body_mass_kg)
    told = calibrate([measured(one, str(i), i) for i, one in enumerate((car, car, heavy))])
    assert max(one.odd for one in told.runs) < 0.2
    assert set(known(told)) == set(TERMS)


def test_next_run_is_sure_where_runs_agree_and_unsure_where_they_do_not() -> None:
    car = some_car(0)
    halves = []
    for scatter in (0.0, 0.02):
        told = predict_with(calibrate(runs_of(car, scatter)), turns(hidden(car), 0.9))
        halves.append((told.distance_high_m - told.distance_low_m) / 2.0 / told.distance_m)
    assert halves[0] < 0.006
    assert halves[1] > 0.015
