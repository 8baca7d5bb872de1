"""A trial changes what it names and nothing else, and predicts as everything else does."""

from __future__ import annotations

import pytest

from unspool.car.other_parts import with_weight
from unspool.errors import InputError
from unspool.model import predict
from unspool.study.plan.trial import Trial, run_of, tried
from unspool.virtual.demo.scenario import corridor, sandpiper


def test_a_trial_of_nothing_is_the_car_itself() -> None:
    car = sandpiper()
    same = Trial(car.weight_mass_kg, car.driven_wheel.radius_m, {"run": car.drum[1].radius_m})
    assert tried(car, Trial()) == car
    assert tried(car, same) == car


def test_a_heavier_weight_and_other_turns() -> None:
    car = sandpiper()
    got = tried(car, Trial(weight_kg=1.2 * car.weight_mass_kg, turns={"start": 2.0}))
    heavier = with_weight(car, 1.2 * car.weight_mass_kg)
    assert got == heavier.wound((2.0, *(tier.turns for tier in car.drum[1:])))
    assert run_of(got, corridor(), None).distance_m == predict(got, corridor()).distance_m


def test_another_tier_changes_its_radius_at_both_ends() -> None:
    got = tried(sandpiper(), Trial(tiers_m={"run": 0.006})).drum[1]
    assert (got.radius_m, got.end_radius_m) == (0.006, 0.006)


@pytest.mark.parametrize(
    "trial",
    [
        Trial(weight_kg=0.0),
        Trial(wheel_m=-0.1),
        Trial(tiers_m={"run": 0.0}),
        Trial(turns={"run": -1.0}),
    ],
)
def test_what_no_car_can_have_is_refused(trial: Trial) -> None:
    with pytest.raises(InputError):
        tried(sandpiper(), trial)
