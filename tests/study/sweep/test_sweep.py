"""A sweep against every winding of each of its cars, and what it says limits them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from study.plan.brute import best, every_winding
from unspool.car import FLAT, Car, Track
from unspool.errors import InputError
from unspool.model import predict
from unspool.study.plan import Aim, Counts, Goal, InfeasiblePlanError, Limits
from unspool.study.sweep import Axis, Varied, axis_of, sweep
from unspool.study.sweep.axes import with_sizes
from unspool.virtual.demo import scenario

TRACK = scenario.corridor()
STEEP = Track("steep end", (0.0, 6.0, 12.0), (0.0, 0.0, 1.2), 1.2)


def run_tier(*mm: float) -> Axis:
    return axis_of(Varied.TIER, [1e-3 * one for one in mm], "run")


def weights(*grams: float) -> Axis:
    return axis_of(Varied.WEIGHT, [1e-3 * one for one in grams])


@pytest.mark.parametrize("goal", [Goal(), Goal(Aim.FASTEST, 5.0), Goal(Aim.REACH, 8.0)])
def test_each_set_has_its_best_winding(goal: Goal) -> None:
    """Against every winding in quarter turns of each car: as good within 1 %, or 0.1 m."""
    axes = [run_tier(8.0, 14.0, 20.0), weights(400.0, 900.0)]
    found = sweep(scenario.sandpiper(), axes, TRACK, goal)
    for i, mm in enumerate(axes[0].values):
        for j, kg in enumerate(axes[1].values):
            car = with_sizes(scenario.sandpiper(), axes, (mm, kg))
            brute = best(car, TRACK, goal, Limits(), every_winding(car))
            brute = brute if goal.aim is Aim.FARTHEST else -brute
            assert found.score[i, j] >= brute - max(0.01 * abs(brute), 0.1)


def test_the_best_set_is_a_car_that_does_what_is_said() -> None:
    found = sweep(scenario.sandpiper(), [run_tier(8.0, 14.0, 20.0), weights(400.0, 900.0)], TRACK)
    chosen = found.best
    assert chosen.values == (0.008, 0.9)
    assert chosen.car.weight_mass_kg == 0.9
    assert chosen.prediction.distance_m == predict(chosen.car, TRACK).distance_m
    assert chosen.prediction.distance_m >= 0.985 * np.max(found.score)
    quarters = [4.0 * tier.turns for tier in chosen.car.drum]
    assert quarters == pytest.approx(np.round(quarters))


def test_how_flat_it_is() -> None:
    """Heavier is better up to the end of the range; the tier matters little."""
    axes = [run_tier(*np.linspace(8.0, 12.0, 9).tolist()), weights(600.0, 601.0, 602.0, 900.0)]
    found = sweep(scenario.sandpiper(), axes, FLAT)
    tier, weight = found.nearly
    assert (weight.best, weight.low, weight.high, weight.at_edge) == (0.9, 0.9, 0.9, True)
    assert tier.low == 0.008
    assert tier.low <= tier.best <= tier.high
    near = found.score >= 0.99 * np.max(found.score)
    assert found.share_nearly_best == pytest.approx(np.mean(near))
    assert np.all(near.any(axis=1) == [tier.low <= one <= tier.high for one in axes[0].values])


def test_a_range_that_changes_nothing_is_not_too_narrow() -> None:
    """The start tier is not wound for the farthest run, so its size is all the same."""
    starts = axis_of(Varied.TIER, [0.02, 0.03, 0.04], "start")
    found = sweep(scenario.sandpiper(), [starts, run_tier(8.0, 10.0)], FLAT)
    assert (found.nearly[0].low, found.nearly[0].high) == (0.02, 0.04)
    assert not found.nearly[0].at_edge


def weak_string(car: Car) -> Car:
    return replace(car, breaking_load_n=20.0)


def slick(car: Car) -> Car:
    return replace(car, losses=replace(car.losses, tyre_friction=0.05))


def tall(car: Car) -> Car:
    assert car.geometry is not None
    short = replace(car.geometry, centre_of_mass_to_driven_axle_m=0.01)
    return replace(car, geometry=short)


@pytest.mark.parametrize(
    ("change", "limit"),
    [
        (weak_string, "string_margin"),
        (slick, "traction_margin"),
        (tall, "tipping_margin"),
    ],
)
def test_what_makes_a_set_impossible_is_named(change: object, limit: str) -> None:
    """Each car can still be wound with the smallest of the sizes, and not with the largest."""
    assert callable(change)
    car = change(scenario.sandpiper())
    one = replace(car, drum=car.drum[1:])
    heavier, larger = weights(300.0, 2000.0), run_tier(7.0, 60.0, 100.0)
    axis = heavier if limit == "string_margin" else larger
    found = sweep(one, [axis], FLAT)
    assert found.possible[0]
    assert not found.possible[-1]
    assert found.limit_names[-1] == limit
    assert np.isnan(found.distance_m[-1])
    assert found.score[-1] == -np.inf


def test_a_best_value_at_a_limit_says_which() -> None:
    """A heavier weight goes farther, until the string no longer holds it."""
    weak = replace(scenario.sandpiper(), breaking_load_n=40.0)
    found = sweep(weak, [weights(*range(300, 2001, 100))], FLAT)
    (weight,) = found.nearly
    assert weight.next_stopped_by == "string_margin"
    assert not weight.at_edge
    assert 20.0 / (weight.best * 9.80665) >= 2.5 > 20.0 / ((weight.best + 0.1) * 9.80665)


def test_a_tier_as_large_as_the_wheel_is_no_drum() -> None:
    found = sweep(scenario.sandpiper(), [run_tier(10.0, 130.0)], FLAT)
    assert found.limit_names.tolist() == ["drop", "drum"]


def test_a_set_that_does_not_start_says_so() -> None:
    one = replace(scenario.sandpiper(), drum=scenario.sandpiper().drum[1:])
    found = sweep(one, [run_tier(1.0, 12.0)], FLAT)
    assert found.limit_names.tolist() == ["start_margin", "drop"]
    assert found.possible.tolist() == [False, True]


def test_the_furthest_point_may_be_what_counts() -> None:
    rest, furthest = (
        sweep(scenario.sandpiper(), [weights(400.0, 900.0)], STEEP, Goal(counts=counts))
        for counts in Counts
    )
    assert np.all(furthest.distance_m > rest.distance_m)


def test_wheels_weigh_by_their_size_or_as_they_were_weighed() -> None:
    by_size, weighed = (
        sweep(
            scenario.sandpiper(),
            [axis_of(Varied.DRIVEN_WHEELS, [0.1, 0.2], wheel_kg=kg)],
            FLAT,
        )
        for kg in (None, 0.038)
    )
    assert weighed.score[1] > 1.05 * by_size.score[1]
    assert weighed.best.car.driven_wheel.mass_kg == 0.038


def test_the_two_ranges_that_matter_most_are_shown() -> None:
    starts = axis_of(Varied.TIER, [0.02, 0.03, 0.04], "start")
    found = sweep(scenario.sandpiper(), [starts, run_tier(8.0, 20.0), weights(300.0, 900.0)], FLAT)
    assert found.shown_axes == (1, 2)
    score, limit = found.best_over((1, 2))
    assert score == pytest.approx(np.max(found.score, axis=0))
    assert limit.shape == (2, 2)


def test_progress_ends_with_all_sets() -> None:
    seen: list[tuple[int, int]] = []
    axes = [run_tier(*np.linspace(8.0, 20.0, 30).tolist()), weights(300.0, 400.0, 500.0, 600.0)]
    sweep(scenario.sandpiper(), axes, FLAT, progress=lambda done, of: seen.append((done, of)))
    assert seen[0] == (0, 120)
    assert seen[-1] == (120, 120)
    assert len(seen) > 2


FREE = replace(scenario.sandpiper().losses, rolling_coefficient=0.0, constant_drag_n=0.0)


@pytest.mark.parametrize(
    ("car", "axes", "told"),
    [
        (scenario.sandpiper(), [], "nothing to vary"),
        (scenario.sandpiper(), [axis_of(Varied.TIER, [0.01, 0.02], "top")], "no tier 'top'"),
        (scenario.sandpiper(), [weights(100.0, 200.0)] * 2, "varied twice"),
        (scenario.sandpiper(), [weights(5.0, 6.0)], "no set of these ranges is possible"),
    ],
)
def test_what_cannot_be_swept(car: Car, axes: list[Axis], told: str) -> None:
    with pytest.raises(InputError, match=told):
        sweep(car, axes, FLAT)


def test_a_taper_and_a_linear_drag_are_swept() -> None:
    """Of its best set, the distance is that of the model's own simulation."""
    car = scenario.sandpiper()
    first, run = car.drum
    dragged = replace(car.losses, linear_drag_n_s_per_m=0.01)
    tapered = replace(car, losses=dragged, drum=(replace(first, end_radius_m=run.radius_m), run))
    found = sweep(tapered, [weights(500.0, 640.0)], FLAT)
    assert found.best.car.losses.linear_drag_n_s_per_m == 0.01
    assert found.best.car.drum[0].tapered
    assert float(np.nanmax(found.distance_m)) == pytest.approx(
        found.best.prediction.distance_m, rel=0.015
    )


def test_a_car_that_nothing_stops_is_not_swept() -> None:
    with pytest.raises(InfeasiblePlanError):
        sweep(replace(scenario.sandpiper(), losses=FREE), [weights(100.0, 200.0)], FLAT)


def test_a_sweep_has_a_largest_size() -> None:
    many = np.linspace(0.01, 0.05, 60).tolist()
    axes = [axis_of(Varied.TIER, many, "run"), axis_of(Varied.TIER, many, "start"),
            weights(*range(100, 700, 100))]  # fmt: skip
    with pytest.raises(InputError, match="21600 sets, more than 20000"):
        sweep(scenario.sandpiper(), axes, FLAT)


@pytest.mark.parametrize(
    ("what", "values", "told"),
    [
        (Varied.WEIGHT, [0.5], "1 different sizes"),
        (Varied.WEIGHT, [0.5, 0.5], "1 different sizes"),
        (Varied.WEIGHT, [0.0001, 0.5], "out of bounds"),
        (Varied.DROP, [0.5, float("nan")], "out of bounds"),
        (Varied.DROP, [0.3 + 0.001 * i for i in range(101)], "101 different sizes"),
    ],
)
def test_axes_that_cannot_be(what: Varied, values: list[float], told: str) -> None:
    with pytest.raises(InputError, match=told):
        axis_of(what, values)
