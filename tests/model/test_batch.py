"""Many runs at once against the same runs one by one, and against the truth generator."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from unspool.car import FLAT, Car, Losses, Track
from unspool.model import predict, predict_cars, predict_windings, split_times
from unspool.virtual import truth
from unspool.virtual.demo import scenario

HILLS = Track(
    "hills", (-3.0, -1.0, 2.0, 4.0, 6.0, 9.0, 30.0), (0.02, 0.0, 0.0, -0.02, 0.03, 0.1, 0.6), 1.2
)
TRACKS = [FLAT, scenario.corridor(), HILLS]
FIGURES = [
    "start_margin",
    "distance_m",
    "furthest_m",
    "duration_s",
    "peak_speed_m_s",
    "release_m",
    "peak_tension_n",
    "string_margin",
    "traction_margin",
    "tipping_margin",
]


def random_cars(count: int, seed: int) -> list[Car]:
    """Every fourth with its drum the wrong way round, so that the string goes slack, and every
    other one with a linear drag.
    """
    rng = np.random.default_rng(seed)
    cars = [truth.random_car(rng) for _ in range(count)]
    cars = [replace(car, drum=car.drum[::-1]) if i % 4 == 3 else car for i, car in enumerate(cars)]
    return [dragged(car, rng.uniform(0.0, 0.05)) if i % 2 else car for i, car in enumerate(cars)]


def dragged(car: Car, linear: float) -> Car:
    return replace(car, losses=replace(car.losses, linear_drag_n_s_per_m=linear))


def tapered(car: Car) -> Car:
    """Each tier but the last runs down to the next."""
    radii = [tier.radius_m for tier in car.drum[1:]] + [0.8 * car.drum[-1].radius_m]
    drum = [replace(t, end_radius_m=r) for t, r in zip(car.drum, radii, strict=True)]
    return replace(car, drum=tuple(drum))


@pytest.mark.parametrize("track", TRACKS, ids=lambda track: track.name)
def test_cars_as_one_by_one(track: Track) -> None:
    cars = random_cars(40, 3)
    many = predict_cars(cars, track)
    for i, car in enumerate(cars):
        one = predict(car, track)
        for name in FIGURES:
            value = getattr(one, name)
            expected = np.nan if value is None else value
            assert getattr(many, name)[i] == pytest.approx(expected, rel=1e-9, nan_ok=True), name
        for name, term in many.energy_j.items():
            assert term[i] == pytest.approx(getattr(one.energy, name), rel=1e-9, abs=1e-12), name


@pytest.mark.parametrize("track", TRACKS, ids=lambda track: track.name)
def test_cars_against_the_solver(track: Track) -> None:
    cars = random_cars(16, 4)
    many = predict_cars(cars, track)
    for i, car in enumerate(cars):
        true = truth.run(car, track)
        assert many.distance_m[i] == pytest.approx(true.rest_m, rel=1e-6, abs=1e-6)
        assert many.duration_s[i] == pytest.approx(float(true.time_s[-1]), rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("track", TRACKS, ids=lambda track: track.name)
def test_tapers_as_one_by_one(track: Track) -> None:
    """A row of small tiers goes as far as a taper, starts a little later, and loses no energy."""
    rng = np.random.default_rng(6)
    cars = [tapered(dragged(truth.random_car(rng), 0.01 * (i % 2))) for i in range(12)]
    many = predict_cars([*cars, scenario.dunlin()], track)
    for i, car in enumerate(cars):
        one = predict(car, track)
        for name in ("distance_m", "furthest_m", "duration_s", "peak_speed_m_s", "release_m"):
            within = 2e-3 if name == "duration_s" else 5e-4
            expected = np.nan if getattr(one, name) is None else getattr(one, name)
            assert getattr(many, name)[i] == pytest.approx(expected, within, nan_ok=True), name
    straight = predict(scenario.dunlin(), track).distance_m
    assert many.distance_m[-1] == pytest.approx(straight, rel=1e-9)
    assert np.abs(many.energy_j["unexplained"]).max() < 1e-9


def test_windings_as_one_by_one() -> None:
    car, track = scenario.dunlin(), scenario.corridor()
    turns = np.random.default_rng(2).uniform(0.0, 5.0, (40, 3))
    turns[:10, 1] = turns[10:15, 0] = 0.0
    turns[39] = 0.0
    many = predict_windings(car, turns, track, mark_m=5.0)
    for row, wound in enumerate(turns):
        one = predict(car.wound(tuple(wound)), track)
        assert many.starts[row] == one.starts
        assert many.distance_m[row] == pytest.approx(one.distance_m, rel=1e-9)
        split = split_times(car.wound(tuple(wound)), track, [5.0])[0]
        expected = np.nan if split is None else split
        assert many.mark_s[row] == pytest.approx(expected, rel=1e-9, nan_ok=True)


def test_ledgers_close() -> None:
    turns = np.random.default_rng(8).uniform(0.0, 6.0, (500, 3))
    many = predict_windings(scenario.dunlin(), turns, HILLS)
    assert np.abs(many.energy_j["unexplained"]).max() < 1e-9
    assert len(many) == 500


def test_refusals() -> None:
    car = scenario.dunlin()
    with pytest.raises(ValueError, match=r"\(n, 3\)"):
        predict_windings(car, np.ones((4, 2)))


def test_cars_that_nothing_stops_beside_one_that_stops() -> None:
    free = Losses(0.0, 0.0, 0.0, 1.0, 0.0, 0.6)
    bowl = Track("bowl", (-9.0, 0.5, 5.0, 20.0), (1.0, 0.0, 0.0, 2.0), 1.2)
    for track in (*TRACKS, bowl):
        cars = [scenario.dunlin(), replace(scenario.dunlin(), losses=free), scenario.sandpiper()]
        many = predict_cars(cars, track, mark_m=4.0)
        for i, car in enumerate(cars):
            one = predict(car, track)
            for name in FIGURES:
                value = getattr(one, name)
                expected = np.nan if value is None else value
                assert getattr(many, name)[i] == pytest.approx(expected, rel=1e-9, nan_ok=True)
            assert many.mark_s[i] == pytest.approx(split_times(car, track, [4.0])[0], rel=1e-9)
            assert many.energy_j["unexplained"][i] == pytest.approx(0.0, abs=1e-9)
        assert np.isinf(many.distance_m[1])
