"""The interval before any run: it holds a made-up population, and follows what the file says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from model.builders_cars import craft, racer, silent
from unspool.car import FLAT, Car, parse_car
from unspool.intervals import HIGH, LOW
from unspool.model import predict
from unspool.model.loss_draws import loss_draws
from unspool.virtual import truth
from unspool.virtual.demo import scenario

CARS = 24  # of each kind; with this seed all of them start

Draw = Callable[[np.random.Generator], tuple[Car, Car]]


@pytest.fixture(scope="module")
def population() -> dict[str, list[tuple[float, Car]]]:
    """True distances on a level floor, by the truth generator, and the car files, by kind."""
    kinds: dict[str, list[tuple[float, Car]]] = {}
    for draw in (racer, craft):
        rng = np.random.default_rng(5)
        pairs = [draw(rng) for _ in range(CARS)]
        kinds[draw.__name__] = [(truth.run(true, FLAT).rest_m, said) for true, said in pairs]
    return kinds


def share_inside(cars: list[tuple[float, Car]]) -> float:
    told = [(distance, predict(car)) for distance, car in cars]
    return float(np.mean([p.distance_low_m <= x <= p.distance_high_m for x, p in told]))


def test_a_file_that_says_nothing_holds_both_kinds(
    population: dict[str, list[tuple[float, Car]]],
) -> None:
    both = [(x, silent(car)) for cars in population.values() for x, car in cars]
    assert share_inside(both) >= 0.9


@pytest.mark.parametrize("kind", ["racer", "craft"])
def test_a_file_that_says_what_turns_in_what_holds_its_kind_more_closely(
    kind: str, population: dict[str, list[tuple[float, Car]]]
) -> None:
    cars = population[kind]
    assert share_inside(cars) >= 0.9
    known, unknown = ([ratio(as_said(car)) for _, car in cars] for as_said in (whole, silent))
    assert np.median(known) < 0.7 * np.median(unknown)


def whole(car: Car) -> Car:
    return car


def ratio(car: Car) -> float:
    """The interval's upper end over its lower; infinite if the car may not start."""
    told = predict(car)
    return told.distance_high_m / told.distance_low_m if told.distance_low_m else np.inf


def test_a_stated_loss_is_as_uncertain_as_its_standard_deviation() -> None:
    car = scenario.sandpiper()
    stated = replace(car, losses=replace(car.losses, rolling_coefficient_sd=0.001))
    drawn = loss_draws(stated).rolling
    assert float(drawn.std()) == pytest.approx(0.001, rel=0.02)
    assert float(drawn.mean()) == pytest.approx(0.012, rel=0.01)


def test_a_stated_loss_without_one_is_a_builders_estimate() -> None:
    drawn = loss_draws(scenario.sandpiper()).rolling
    low, high = np.quantile(drawn, [LOW, HIGH])
    assert (low, high) == pytest.approx((0.012 / 1.2, 0.012 * 1.2), rel=0.01)


def test_what_holds_is_never_below_what_rolls() -> None:
    for car in (scenario.sandpiper(), scenario.dunlin()):
        drawn = loss_draws(car)
        assert np.all(drawn.at_rest >= drawn.rolling)


def test_the_same_car_has_the_same_interval() -> None:
    car = scenario.dunlin()
    first, again = predict(car), predict(car)
    assert first.distance_low_m == again.distance_low_m
    assert first.distance_high_m == again.distance_high_m


def test_a_slight_taper_hardly_changes_the_interval() -> None:
    """The tapered car is solved and its interval scaled from a like car in closed form."""
    car = scenario.sandpiper()
    first, run = car.drum
    slight = replace(first, radius_m=1.001 * first.radius_m, end_radius_m=0.999 * first.radius_m)
    plain, tapered = predict(car), predict(replace(car, drum=(slight, run)))
    assert tapered.distance_low_m == pytest.approx(plain.distance_low_m, rel=2e-3)
    assert tapered.distance_high_m == pytest.approx(plain.distance_high_m, rel=2e-3)


def test_a_linear_drag_widens_the_interval_by_its_own_uncertainty() -> None:
    car = scenario.sandpiper()
    drags = [replace(car.losses, linear_drag_n_s_per_m=0.02, linear_drag_sd_n_s_per_m=sd)
             for sd in (1e-5, 0.02)]  # fmt: skip
    sure, unsure = (predict(replace(car, losses=losses)) for losses in drags)
    wide = unsure.distance_high_m - unsure.distance_low_m
    assert wide > 1.05 * (sure.distance_high_m - sure.distance_low_m)
    assert sure.distance_low_m < sure.distance_m < sure.distance_high_m


def test_a_car_without_resistance_at_low_speed_has_no_interval() -> None:
    car = scenario.sandpiper()
    free = replace(car.losses, rolling_coefficient=0.0, constant_drag_n=0.0)
    told = predict(replace(car, losses=free))
    assert (told.distance_low_m, told.distance_high_m) == (np.inf, np.inf)


CRAFT = """
name = "craft table"
body = {mass_g = 300}
weight = {mass_g = 250, drop_mm = 400}
string = {diameter_mm = 0.5}
wheels = [{name = "rear", count = 2, diameter_mm = 80, mass_g = 12, driven = true, BEARING}]
drum = [{name = "only", diameter_mm = 16, turns = 7.5}]
encoder = {pulses_per_turn = 20, axle = "rear"}
"""


def test_the_usual_losses_follow_from_shaft_bore_tyre_and_floor() -> None:
    """mu r / R = 0.2 x 2.75 / 40 and a hard tyre's 0.004, three times as much on a carpet."""
    said = 'bearing = "plain", shaft_mm = 5, bore_mm = 6, tyre = "hard"'
    text = CRAFT.replace("BEARING", said)
    smooth = parse_car(text, "").losses
    carpet = parse_car(text + 'losses = {floor = "carpet"}\n', "").losses
    assert smooth.rolling_coefficient == pytest.approx(0.2 * 2.75 / 40.0 + 0.004)
    assert carpet.rolling_coefficient == pytest.approx(0.2 * 2.75 / 40.0 + 3.0 * 0.004)
    assert smooth.drive_efficiency == pytest.approx(1.0 - 0.08 - 0.2 * 2.75 / 8.25)
    assert smooth.break_away_coefficient == pytest.approx(1.5 * 0.2 * 2.75 / 40.0 + 1.25 * 0.004)
    assert "rolling_coefficient" in smooth.assumed


def test_a_stated_loss_wins_over_what_turns_in_what() -> None:
    text = CRAFT.replace("BEARING", 'bearing = "ball", tyre = "rubber"')
    losses = parse_car(text + "losses = {rolling_coefficient = 0.03}\n", "").losses
    assert losses.rolling_coefficient == 0.03
    assert losses.break_away_coefficient == pytest.approx(1.25 * 0.03)


def test_nothing_said_keeps_the_handbooks_values() -> None:
    losses = parse_car(CRAFT.replace(", BEARING", ""), "").losses
    assert (losses.rolling_coefficient, losses.drive_efficiency) == (0.012, 0.9)
