"""The floor's slope profile against floors that made the runs, and that the fit does not know."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from study.calibration.floor_worlds import floor_runs
from study.calibration.hidden_runs import measured, turns, varied, with_train
from unspool.car import FLAT, Car, Track, parse_track
from unspool.errors import InputError
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.render.toml.floor import track_toml
from unspool.study.calibration import FloorRun, SlopeProfile, calibrate_with_floor
from unspool.study.calibration.run_use import run_use
from unspool.virtual.truth import Imperfections, random_car

PLACES = np.linspace(0.0, 30.0, 16)
END_M = 12.0


def uneven(seed: int) -> tuple[Car, np.ndarray]:
    """A car, and a floor whose slope differs by 2 mm a metre from one stretch to the next."""
    rng = np.random.default_rng(seed)
    car = random_car(rng, tiers=2)
    return car, np.cumsum(np.r_[0.0, rng.normal(0.0, 0.004, 15)])


def slope_profile(runs: list[FloorRun], spacing_m: float = 1.0) -> SlopeProfile:
    return calibrate_with_floor(runs, spacing_m)[1]


def track(places: np.ndarray, heights: np.ndarray) -> Track:
    return replace(FLAT, distance_m=tuple(places.tolist()), height_m=tuple(heights.tolist()))


def there(car: Car, heights: np.ndarray) -> list[FloorRun]:
    rng, floor = np.random.default_rng(7), track(PLACES, heights)
    return [
        FloorRun(measured(varied(turns(car, share), 0.005, rng), f"run {i}", i, floor))
        for i, share in enumerate((1.0, 0.8, 1.0))
    ]


def back(car: Car, heights: np.ndarray) -> list[FloorRun]:
    rng, floor = np.random.default_rng(8), track((END_M - PLACES)[::-1], heights[::-1])
    return [
        FloorRun(
            measured(varied(turns(car, share), 0.005, rng), f"back {i}", i, floor), END_M, True
        )
        for i, share in enumerate((0.6, 0.5))
    ]


@pytest.mark.parametrize("seed", [0, 3])
def test_one_way_tells_the_shape(seed: int) -> None:
    car, heights = uneven(seed)
    told = slope_profile(there(car, heights))
    x = told.distance_m
    true = np.interp(x, PLACES, heights)
    true = true - x / x[-1] * true[-1]
    assert not told.mean_slope_known
    assert np.ptp(true) > 0.004
    assert np.abs(told.height_m - true).max() < 0.003
    assert told.shown
    inside = (told.low_m - 1e-4 <= true) & (true <= told.high_m + 1e-4)
    assert inside.mean() >= 0.8
    assert told.height_m[-1] == pytest.approx(0.0, abs=1e-9)


def test_one_way_never_tells_the_fall_however_sharp_the_edges() -> None:
    car, _ = uneven(3)
    runs = [
        FloorRun(measured(turns(car, share), f"run {i}", imperfections=Imperfections()))
        for i, share in enumerate((1.0, 0.8))
    ]
    told = slope_profile(runs, spacing_m=4.0)
    assert not told.mean_slope_known
    assert told.height_m[-1] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("seed", [0, 3])
def test_both_ways_tell_the_fall_as_a_whole(seed: int) -> None:
    car, heights = uneven(seed)
    told = slope_profile([*there(car, heights), *back(car, heights)])
    true = np.interp(told.distance_m, PLACES, heights)
    assert told.mean_slope_known
    assert np.abs(told.height_m - true).max() < 0.0025
    inside = (told.low_m - 1e-4 <= true) & (true <= told.high_m + 1e-4)
    assert inside.mean() >= 0.8


def test_losses_on_the_found_floor_are_those_of_the_car() -> None:
    """The floor's fall, taken for level, would change the rolling coefficient by a third."""
    car, _ = uneven(0)
    heights = -0.002 * PLACES
    told, _ = calibrate_with_floor([*there(car, heights), *back(car, heights)])
    mass = car.total_mass_kg * 9.80665
    true = car.losses.rolling_coefficient + car.losses.constant_drag_n / mass
    seen = told.term("rolling_coefficient").value + told.term("constant_drag_n").value / mass
    assert seen == pytest.approx(true, rel=0.02)


def test_a_run_that_fits_no_floor_is_named() -> None:
    car, heights = uneven(0)
    odd = measured(car, "odd", 9, track(PLACES, -3.0 * heights))
    told = slope_profile([*there(car, heights), FloorRun(odd)])
    assert told.left_out == ("odd",)
    found = {finding.code: finding.values for finding in told.findings}
    assert found["unlike_floor"] == {"run": "odd"}


def test_no_usable_run_is_refused() -> None:
    car, _ = uneven(0)
    few = PulseTrain(np.arange(5.0), np.ones(5, dtype=np.int8), np.arange(5))
    with pytest.raises(InputError, match="can be used"):
        slope_profile([FloorRun(with_train(measured(car), few))])


def test_the_track_file_says_the_profile() -> None:
    car, heights = uneven(0)
    told = slope_profile(there(car, heights))
    read = parse_track(track_toml(told), "floor.toml")
    assert read.distance_m == pytest.approx(told.distance_m, abs=6e-4)
    assert read.height_m == pytest.approx(told.height_m, abs=6e-6)


def test_runs_without_names_are_kept_apart() -> None:
    car, heights = uneven(0)
    sound = [replace(one, run=replace(one.run, name="")) for one in there(car, heights)]
    odd = measured(car, "", 9, track(PLACES, -3.0 * heights))
    told = slope_profile([*sound, FloorRun(odd)])
    assert told.left_out == ("",)
    assert told.height_m == pytest.approx(slope_profile(sound).height_m)


def test_a_level_floor_under_a_mismeasured_car_is_not_said_to_be_uneven() -> None:
    rng = np.random.default_rng(4)
    car = random_car(rng, tiers=2)
    runs = []
    for i, share in enumerate((1.0, 0.8)):
        one = measured(turns(car, share), f"run {i}", i)
        file = replace(
            one.car, weight_mass_kg=1.01 * one.car.weight_mass_kg, drop_m=0.99 * car.drop_m
        )
        runs.append(FloorRun(replace(one, car=file)))
    told = slope_profile(runs, spacing_m=2.0)
    assert not told.shown
    assert {"floor_not_shown", "floor_one_way"} <= {finding.code for finding in told.findings}


def test_a_bump_is_not_taken_for_a_held_string() -> None:
    """Read as if on a level floor, both runs seem held; read on the floor found, neither."""
    runs = floor_runs(uneven=True, both_ways=False, seed=3).runs[:2]
    assert all(run_use(one.run).drive_spoilt for one in runs)
    told, floor = calibrate_with_floor(runs)
    assert floor.shown
    assert [one.without_drive for one in told.runs] == [None, None]
