"""What a plan says about its optimum: miscounts, binding limits, changes, parts."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from study.plan.brute import best, every_winding
from unspool.car import FLAT, Car
from unspool.errors import InputError
from unspool.model import predict
from unspool.reading.events import analyse
from unspool.study.calibration import Calibration, CalibrationRun, calibrate, predict_with
from unspool.study.calibration.priors import prior_of
from unspool.study.plan import Aim, Goal, Limits, Owned, plan
from unspool.study.plan.evaluate import PlanningTask
from unspool.study.plan.flatness import binding, miscounts, ranges
from unspool.study.plan.most_informative import known_factor, most_informative
from unspool.study.plan.parts import Part, PartKind, wheel_size
from unspool.study.plan.search import Optimum, search
from unspool.study.plan.sensitivity import CarProperty, changes
from unspool.virtual import truth
from unspool.virtual.demo import scenario

TRACK = scenario.corridor()


def searched(task: PlanningTask) -> Optimum:
    found = search(task, 10_000)
    assert found is not None
    return found


def task_of(goal: Goal | None = None, car: Car | None = None, **limits: float) -> PlanningTask:
    return PlanningTask(car or scenario.sandpiper(), TRACK, goal or Goal(), Limits(**limits))


def test_a_miscount_is_the_run_wound_so() -> None:
    task = task_of()
    found = searched(task)
    off = {(one.tier, one.turns): one for one in miscounts(task, found)}
    short = off["run", -1.0]
    wound = task.car.wound((found.turns[0], found.turns[1] - 1.0))
    assert short.distance_m == pytest.approx(predict(wound, TRACK).distance_m)
    assert short.change == pytest.approx(short.distance_m - found.score)
    assert short.keeps
    assert not off["run", 1.0].keeps, "its string is longer than the drop"


def test_every_range_holds_its_winding() -> None:
    task = task_of(Goal(Aim.FASTEST, 5.0))
    found = searched(task)
    for one, turns in zip(ranges(task, found), found.turns, strict=True):
        assert one.low <= turns <= one.high
    near = every_winding(task.car)
    near = near[near[:, 0] < ranges(task, found)[0].low - 0.3]
    assert best(task.car, TRACK, task.goal, task.limits, near) > -1.01 * found.score


def test_the_drop_binds_a_car_that_is_to_go_far() -> None:
    assert binding(task_of(), searched(task_of())) == ("drop",)


def test_a_limit_binds_if_less_of_it_would_be_better() -> None:
    """With the small tier kept from starting, the large one must, and wastes string."""
    for least, names in ((3.0, ("drop",)), (4.0, ("start_margin", "drop"))):
        task = task_of(car=_all_on_one_tier(), start_margin=least)
        assert binding(task, searched(task)) == names


def _all_on_one_tier() -> Car:
    """A heavy weight on a fat first tier loses much at its landing and at the change."""
    car = scenario.sandpiper()
    first, run = car.drum
    return replace(car, drum=(replace(first, radius_m=0.02, end_radius_m=0.02), run))


def test_nothing_binds_a_mark_that_is_hit() -> None:
    task = task_of(Goal(Aim.REACH, 6.0))
    assert binding(task, searched(task)) == ()


def test_a_change_is_the_best_winding_of_the_changed_car() -> None:
    task = task_of()
    effects = {one.what: one for one in changes(task, searched(task))}
    heavier = replace(task.car, weight_mass_kg=1.1 * task.car.weight_mass_kg)
    gain = best(heavier, TRACK, Goal(), Limits(), every_winding(heavier, 0.1))
    gain -= best(task.car, TRACK, Goal(), Limits(), every_winding(task.car, 0.1))
    assert effects[CarProperty.FALLING_WEIGHT].more == pytest.approx(gain, abs=0.05)
    rolling = effects[CarProperty.ROLLING]
    assert rolling.less is not None
    assert rolling.more is not None
    assert rolling.more < 0.0 < rolling.less
    assert [one.swing for one in effects.values()] == sorted(
        (one.swing for one in effects.values()), reverse=True
    )


def test_a_change_moves_the_stop_at_a_mark() -> None:
    task = task_of(Goal(Aim.REACH, 6.0))
    found = searched(task)
    effects = {one.what: one for one in changes(task, found)}
    wound = task.car.wound(tuple(found.turns.tolist()))
    heavier = replace(wound, weight_mass_kg=1.1 * wound.weight_mass_kg)
    moved = predict(heavier, TRACK).distance_m - predict(wound, TRACK).distance_m
    assert effects[CarProperty.FALLING_WEIGHT].more == pytest.approx(moved)


def test_wheels_that_the_drum_would_outgrow_cannot_be_tried() -> None:
    car = scenario.sandpiper()
    first, run = car.drum
    large = 0.95 * car.driven_wheel.radius_m
    task = task_of(car=replace(car, drum=(replace(first, radius_m=large, end_radius_m=large), run)))
    effects = {one.what: one for one in changes(task, searched(task))}
    assert effects[CarProperty.DRIVEN_WHEELS].less is None


def test_air_is_learnt_at_speed() -> None:
    """After a slow run, the fastest one that the limits allow shows the air drag."""
    task = task_of()
    found = searched(task)
    next_run = most_informative(task, found)
    assert next_run is not None
    assert next_run.term == "drag_area_m2"
    slow, fast = (
        predict(task.car.wound(tuple(turns)), TRACK) for turns in (found.turns, next_run.turns)
    )
    assert fast.peak_speed_m_s > 1.04 * slow.peak_speed_m_s
    assert next_run.distance_m == pytest.approx(fast.distance_m)


@pytest.fixture(scope="module")
def calibration() -> Calibration:
    """Of a true car that rolls harder than its file says."""
    car = scenario.sandpiper()
    true = replace(car, losses=replace(car.losses, rolling_coefficient=0.016))
    runs = [
        CalibrationRun(analyse(train, car, TRACK, turns), car, TRACK, turns, str(seed))
        for seed, turns in enumerate([(3.5, 5.3), (6.0, 1.5)])
        for train in [truth.run(true.wound(turns), TRACK, truth.USUAL, seed).train]
    ]
    return calibrate(runs)


def test_a_calibrated_plan_predicts_the_calibrated_run(calibration: Calibration) -> None:
    planned = plan(scenario.sandpiper(), TRACK, calibration=calibration)
    expected = predict_with(calibration, planned.car, TRACK)
    assert planned.prediction.distance_low_m == pytest.approx(expected.distance_low_m)
    assert planned.prediction.distance_high_m == pytest.approx(expected.distance_high_m)
    assert planned.car.losses.rolling_coefficient == pytest.approx(0.016, rel=0.05)
    true = replace(planned.car, losses=replace(planned.car.losses, rolling_coefficient=0.016))
    assert planned.prediction.distance_m == pytest.approx(truth.run(true, TRACK).rest_m, rel=0.03)
    assert planned.most_informative is not None


def test_runs_narrow_what_is_known(calibration: Calibration) -> None:
    car = scenario.sandpiper()
    before, after = (known_factor(car, known) for known in (None, calibration))
    assert np.all(np.diag(after @ after.T) < np.diag(before @ before.T))


def test_what_is_known_before_any_run() -> None:
    """Rolling and constant drag add up as one resistance; the others stand alone."""
    car = scenario.sandpiper()
    rolling, constant, _, area, efficiency = prior_of(car).sd
    factor = known_factor(car, None)
    weight = 9.80665 * car.total_mass_kg
    expected = [rolling**2 + (constant / weight) ** 2, area**2, efficiency**2]
    assert factor @ factor.T == pytest.approx(np.diag(expected))


def test_a_part_that_gains_is_fitted() -> None:
    owned = Owned((0.5, 0.9), (), {"run": (0.0055,)})
    planned = plan(scenario.sandpiper(), TRACK, owned=owned)
    assert Part(PartKind.WEIGHT, 0.9, mass_kg=0.9) in planned.parts
    assert planned.car.weight_mass_kg == 0.9
    assert planned.gain_m == pytest.approx(
        planned.prediction.distance_m - predict(scenario.sandpiper(), TRACK).distance_m
    )


def test_parts_that_gain_nothing_stay_in_the_box() -> None:
    planned = plan(scenario.sandpiper(), TRACK, owned=Owned((0.3, 0.64), (0.08,), {}))
    assert planned.parts == ()
    assert planned.car.weight_mass_kg == 0.64


def test_a_weighed_wheel_is_taken_at_its_mass() -> None:
    """Wheels of 80 mm weigh 16 g each by their size; those that were weighed have 60 g."""
    by_size, weighed = (
        plan(scenario.sandpiper(), FLAT, owned=Owned.measured(scenario.sandpiper(), (), [wheel]))
        for wheel in (80.0, (80.0, 10.0))
    )
    (scaled,), (light,) = by_size.parts, weighed.parts
    assert scaled.mass_kg == pytest.approx(0.038 * (0.040 / by_size.own.driven_wheel.radius_m) ** 2)
    assert (scaled.weighed, light.weighed, light.mass_kg) == (False, True, pytest.approx(0.010))
    lighter = by_size.car.total_mass_kg - weighed.car.total_mass_kg
    assert lighter == pytest.approx(2.0 * (scaled.mass_kg - 0.010))
    assert weighed.prediction.distance_m > by_size.prediction.distance_m


@pytest.mark.parametrize(
    ("text", "size"), [("100", 100.0), (" 82.5 ", 82.5), ("100:45", (100.0, 45.0))]
)
def test_sizes_of_wheels(text: str, size: object) -> None:
    assert wheel_size(text) == size


@pytest.mark.parametrize("text", ["", "100:", "-3", "100:45:2", "1e3", "hundred"])
def test_what_is_no_size_of_wheels(text: str) -> None:
    with pytest.raises(InputError, match="--own-wheel-mm"):
        wheel_size(text)


def test_wheels_smaller_than_the_drum_are_not_tried() -> None:
    planned = plan(scenario.sandpiper(), FLAT, owned=Owned((), (0.011,), {}))
    assert planned.parts == ()


@pytest.mark.parametrize(
    ("owned", "told"),
    [
        (Owned((), (), {"middle": (0.01,)}), "no tier 'middle'; it has start, run"),
        (Owned((0.0,)), "no size above 0"),
        (Owned(tuple(0.1 + 0.01 * i for i in range(20)), (0.05, 0.06) * 6), "more than 200"),
    ],
)
def test_parts_that_cannot_be(owned: Owned, told: str) -> None:
    with pytest.raises(InputError, match=told):
        plan(scenario.sandpiper(), FLAT, owned=owned)
