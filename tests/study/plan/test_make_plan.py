"""The plan against every winding there is, by the model and by the truth generator."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from study.plan.brute import best, every_winding
from unspool.car import FLAT, Car, Losses, Track
from unspool.errors import InputError
from unspool.model import predict, split_times
from unspool.model.outcome import Prediction
from unspool.study.plan import (
    Aim,
    Counts,
    Goal,
    Infeasible,
    InfeasiblePlanError,
    Limits,
    Plan,
    PlanCode,
    plan,
)
from unspool.study.plan.evaluate import PlanningTask
from unspool.study.plan.search import search
from unspool.virtual import truth
from unspool.virtual.demo import scenario

GOALS = [Goal(), Goal(Aim.FASTEST, 2.0), Goal(Aim.REACH, 2.5)]
STEEP = Track("steep end", (0.0, 6.0, 12.0), (0.0, 0.0, 1.2), 1.2)
CLIMB = Track("climb", (0.0, 2.0, 9.0), (0.0, 0.0, 0.15), 1.2)


def values_of(planned: Plan, code: PlanCode) -> dict[str, object]:
    (finding,) = (one for one in planned.findings if one.code == code)
    return dict(finding.values)


def random_cars(count: int, seed: int) -> list[Car]:
    rng = np.random.default_rng(seed)
    return [truth.random_car(rng, tiers=1 + i % 3) for i in range(count)]


def held(car: Car, track: Track, limits: Limits) -> Prediction:
    """The prediction of a wound car that must keep to its drop and its limits."""
    predicted = predict(car, track)
    assert predicted.starts
    assert car.wound_string_m <= car.drop_m * (1.0 + 1e-9)
    for name in ("start_margin", "traction_margin", "tipping_margin", "string_margin"):
        margin = getattr(predicted, name)
        assert margin is None or margin >= getattr(limits, name), name
    assert all(tier.turns == 0.0 or tier.turns >= 0.5 for tier in car.drum)
    return predicted


@pytest.mark.parametrize("goal", GOALS, ids=lambda goal: str(goal.aim))
@pytest.mark.parametrize("track", [FLAT, CLIMB], ids=lambda track: track.name)
@pytest.mark.parametrize("car", random_cars(6, 21), ids=range(6))
def test_no_winding_is_better(car: Car, track: Track, goal: Goal) -> None:
    """Within 0.5 % of the best of all windings in quarter turns, or nearer to the mark."""
    found = search(PlanningTask(car, track, goal, Limits()), 40_000)
    assert found is not None
    wound = car.wound(tuple(found.turns.tolist()))
    predicted = held(wound, track, Limits())
    brute = best(car, track, goal, Limits(), every_winding(car))
    if goal.aim is Aim.FARTHEST:
        assert predicted.distance_m >= 0.995 * brute
    elif goal.aim is Aim.FASTEST:
        (split,) = split_times(wound, track, [goal.place_m])
        assert split is not None
        assert split <= 1.005 * brute
    else:
        assert abs(predicted.distance_m - goal.place_m) <= brute + 0.02


@pytest.mark.parametrize("car", [scenario.sandpiper(), *random_cars(2, 33)], ids=range(3))
def test_planned_run_is_truly_farthest(car: Car) -> None:
    """The true distance is within 1 % of the true best of every winding in half turns."""
    planned = plan(car, scenario.corridor())
    true = truth.run(planned.car, scenario.corridor()).rest_m
    turns = every_winding(car, 0.5)
    full = turns[turns @ np.array([t.string_m / t.turns for t in car.drum]) > 0.9 * car.drop_m]
    others = [truth.run(car.wound(tuple(row)), scenario.corridor()).rest_m for row in full[:40]]
    assert len(others) >= 1
    assert true >= 0.99 * max(others)


def test_gain_is_against_the_car_file() -> None:
    car, track = scenario.sandpiper(), scenario.corridor()
    planned = plan(car, track)
    own = predict(car, track).distance_m
    assert planned.gain_m == pytest.approx(predict(planned.car, track).distance_m - own, abs=1e-9)
    assert planned.gain_m > 0.2
    assert planned.gain == pytest.approx(planned.gain_m, abs=1e-9)


def test_a_tier_is_wound_only_if_that_gains() -> None:
    """A plan of several tiers beats every single tier in quarter turns by more than 1 %."""
    several = 0
    for car in random_cars(9, 5):
        planned = plan(car)
        if len(planned.left_out) == len(car.drum) - 1:
            continue
        several += 1
        every = every_winding(car)
        single = every[np.count_nonzero(every, axis=1) == 1]
        assert planned.best.distance_m > 1.009 * best(car, FLAT, Goal(), Limits(), single)
    assert several >= 1


def test_a_roll_back_has_two_distances() -> None:
    """The furthest point lies on the rise; the car rests where it rolled back to."""
    rest, furthest = (plan(scenario.sandpiper(), STEEP, Goal(counts=counts)) for counts in Counts)
    assert furthest.prediction.furthest_m > rest.prediction.furthest_m
    assert rest.prediction.distance_m > furthest.prediction.distance_m
    own = predict(scenario.sandpiper(), STEEP)
    assert furthest.gain_m == pytest.approx(furthest.prediction.furthest_m - own.furthest_m)
    assert rest.gain_m == pytest.approx(rest.prediction.distance_m - own.distance_m)


@pytest.mark.parametrize("step", [0.0, -1.0, 9.0, float("nan")])
def test_steps_that_no_hand_winds(step: float) -> None:
    with pytest.raises(InputError, match="--turn-step"):
        plan(scenario.sandpiper(), FLAT, turn_step=step)


def test_a_mark_is_not_measured_at_the_furthest_point() -> None:
    with pytest.raises(InputError, match="--counts"):
        Goal(Aim.REACH, 3.0, Counts.FURTHEST)


def test_a_tapered_car_is_planned() -> None:
    car = scenario.sandpiper()
    first, run = car.drum
    tapered = replace(car, drum=(replace(first, end_radius_m=run.radius_m), run))
    planned = plan(tapered, scenario.corridor())
    held(planned.car, planned.track, planned.limits)
    assert planned.gain_m >= 0.0
    assert values_of(planned, PlanCode.TAPER_ASSUMED) == {"tier": first.name}


def test_unknown_margins_are_said() -> None:
    car = replace(scenario.sandpiper(), geometry=None, breaking_load_n=None)
    planned = plan(car)
    assert planned.prediction.traction_margin is None
    found = {finding.code for finding in planned.findings}
    assert {PlanCode.TRACTION_NOT_KNOWN, PlanCode.STRING_STRENGTH_NOT_KNOWN} <= found


def test_a_mark_out_of_reach_is_said() -> None:
    planned = plan(scenario.sandpiper(), FLAT, Goal(Aim.REACH, 60.0))
    farthest = plan(scenario.sandpiper(), FLAT)
    assert planned.prediction.distance_m >= 0.995 * farthest.prediction.distance_m
    past_m = planned.prediction.distance_m - 60.0
    assert values_of(planned, PlanCode.MARK_MISSED) == {"past_m": past_m, "mark_m": 60.0}


def test_a_mark_that_is_hit_is_not_missed() -> None:
    planned = plan(scenario.sandpiper(), FLAT, Goal(Aim.REACH, 6.0))
    assert PlanCode.MARK_MISSED not in {finding.code for finding in planned.findings}


def test_a_mark_far_out_of_reach_is_approached_as_near_as_can_be() -> None:
    planned = plan(scenario.sandpiper(), FLAT, Goal(Aim.REACH, 5000.0))
    farthest = plan(scenario.sandpiper(), FLAT)
    assert planned.prediction.distance_m >= 0.995 * farthest.prediction.distance_m
    assert planned.binding == farthest.binding


FREE = Losses(0.0, 0.0, 0.0, 0.9, 0.0, 0.6)


def test_a_car_that_nothing_stops_can_still_be_fast() -> None:
    car = replace(scenario.sandpiper(), losses=FREE)
    planned = plan(car, FLAT, Goal(Aim.FASTEST, 40.0))
    brute = best(car, FLAT, planned.goal, Limits(), every_winding(car))
    assert planned.mark_s is not None
    assert planned.mark_s <= 1.005 * brute
    assert planned.most_informative is None


@pytest.mark.parametrize(
    ("changes", "goal", "limits", "reason", "named"),
    [
        ({"weight_mass_kg": 0.01}, Goal(), Limits(), Infeasible.NOTHING_STARTS, "start_margin"),
        ({}, Goal(Aim.FASTEST, 50.0), Limits(), Infeasible.MARK_OUT_OF_REACH, None),
        ({}, Goal(), Limits(string_margin=20.0), Infeasible.LIMITS_OUT_OF_REACH, "string_margin"),
        ({}, Goal(), Limits(start_margin=9.0), Infeasible.LIMITS_OUT_OF_REACH, "start_margin"),
        ({"drop_m": 0.005}, Goal(), Limits(), Infeasible.DROP_TOO_SHORT, None),
        ({"losses": FREE}, Goal(), Limits(), Infeasible.NEVER_STOPS, None),
        ({"losses": FREE}, Goal(Aim.REACH, 3.0), Limits(), Infeasible.NEVER_STOPS, None),
    ],
)
def test_what_cannot_be_is_refused_with_its_reason(
    changes: dict[str, object],
    goal: Goal,
    limits: Limits,
    reason: Infeasible,
    named: str | None,
) -> None:
    with pytest.raises(InfeasiblePlanError) as caught:
        plan(replace(scenario.sandpiper(), **changes), FLAT, goal, limits)
    assert caught.value.reason is reason
    assert caught.value.limits == ((named,) if named else ())


def test_a_limit_out_of_reach_is_said_with_the_best_value() -> None:
    with pytest.raises(InfeasiblePlanError, match=r"best start margin is 4\.54 and 9\.00 is asked"):
        plan(scenario.sandpiper(), FLAT, Goal(), Limits(start_margin=9.0))


def test_limits_that_only_together_stop_every_winding_are_named() -> None:
    """The large tier tips the car and the small one does not start it."""
    car = scenario.sandpiper()
    tippy = replace(car.geometry, centre_of_mass_to_driven_axle_m=0.01)
    limits = Limits(start_margin=3.5, tipping_margin=1.6)
    with pytest.raises(InfeasiblePlanError) as caught:
        plan(replace(car, geometry=tippy), FLAT, Goal(), limits)
    assert caught.value.reason is Infeasible.LIMITS_TOGETHER
    assert caught.value.limits == ("start_margin", "tipping_margin")


@pytest.mark.parametrize("mark", [None, 0.0, -1.0, float("nan"), float("inf")])
def test_goals_with_no_mark_ahead(mark: float | None) -> None:
    for aim in (Aim.FASTEST, Aim.REACH):
        with pytest.raises(InputError, match="--distance"):
            Goal(aim, mark)


def test_a_goal_without_a_mark_takes_none() -> None:
    with pytest.raises(InputError, match="farthest has none"):
        Goal(Aim.FARTHEST, 3.0)


def test_limits_below_one_are_refused_together() -> None:
    with pytest.raises(InputError, match=r"--start-margin.*; --string-margin") as caught:
        Limits(start_margin=0.9, string_margin=float("nan"))
    assert len(caught.value.faults) == 2
