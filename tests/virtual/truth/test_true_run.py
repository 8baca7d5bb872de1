"""The truth generator against laws and hand figures, never against the model."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import pi, sqrt

import numpy as np
import pytest

from plain import plain_car
from unspool.car import FLAT, Losses, Tier, Track
from unspool.virtual import truth
from unspool.virtual.demo import scenario

G = 9.80665
HILL = Track("hill", (0.0, 4.0, 9.0), (0.0, 0.0, 0.3), 0.0)


def test_single_tier_by_hand() -> None:
    """Drive 0.5 g 0.2 = 0.1 g less 0.02 g moves 1 + 0.5 x 0.04 = 1.02 kg; then 0.02 g stops it."""
    run = truth.run(plain_car())
    release = run.event("release")
    assert release.distance_m == pytest.approx(2.5, rel=1e-9)
    assert release.speed_m_s == pytest.approx(sqrt(2 * 0.08 * G / 1.02 * 2.5), rel=1e-9)
    assert run.rest_m == pytest.approx(2.5 + 0.08 * 2.5 / 1.02 / 0.02, rel=1e-9)


def test_catch_at_a_step_by_hand() -> None:
    """Momentum along the string: (1 v + 0.5 u 0.1) / (1 + 0.5 0.01), u = 0.2 v."""
    drum = (Tier("a", 0.01, 2.0, 0.01), Tier("b", 0.005, 2.0, 0.005))
    run = truth.run(plain_car(drum=drum))
    before = sqrt(2 * 0.08 * G / 1.02 * 2 * pi * 0.05 * 2)
    change = run.event("tier_change")
    assert change.speed_m_s == pytest.approx(before, rel=1e-9)
    after = before * (1 + 0.5 * 0.2 * 0.1) / (1 + 0.5 * 0.01)
    just_after = np.searchsorted(run.time_s, change.time_s - run.launch_s + 1e-9)
    gain = run.speed_m_s[just_after] - after
    assert 0.0 < gain < 0.01
    assert run.energy.catches == pytest.approx(
        0.5 * (before**2 * (1 + 0.5 * 0.04) - after**2 * (1 + 0.5 * 0.01)), rel=1e-6
    )


def test_two_tiers_equal_to_one_change_nothing() -> None:
    one = plain_car().drum[0]
    halves = (replace(one, name="a", turns=one.turns / 2), replace(one, turns=one.turns / 2))
    assert truth.run(plain_car(drum=halves)).rest_m == pytest.approx(
        truth.run(plain_car()).rest_m, rel=1e-9
    )


def test_taper_is_the_limit_of_many_steps() -> None:
    taper = (Tier("taper", 0.014, 7.0, 0.006),)
    radii = np.linspace(0.014, 0.006, 81)
    steps = tuple(
        Tier(f"{i}", (a + b) / 2, 7.0 / 80, (a + b) / 2) for i, (a, b) in enumerate(pairwise(radii))
    )
    smooth, stepped = truth.run(plain_car(drum=taper)), truth.run(plain_car(drum=steps))
    assert smooth.rest_m == pytest.approx(stepped.rest_m, rel=1e-3)
    assert smooth.energy.catches == 0.0


def test_larger_tier_goes_slack_then_catches() -> None:
    drum = (Tier("small", 0.01, 2.0, 0.01), Tier("large", 0.02, 2.0, 0.02))
    run = truth.run(plain_car(drum=drum))
    assert run.energy.catches > 0.0
    assert run.energy.imbalance == pytest.approx(0.0, abs=1e-9)


def test_weight_lands_first_on_long_string() -> None:
    drum = (Tier("only", 0.01, 0.6 / (2 * pi * 0.01), 0.01),)
    run = truth.run(plain_car(drum=drum))
    assert run.event("landing").distance_m == pytest.approx(2.5)
    assert run.event("release").distance_m == pytest.approx(3.0)
    assert run.energy.left_in_weight == 0.0


def test_hill_returns_the_car() -> None:
    run = truth.run(plain_car(), HILL)
    kinds = [event.kind for event in run.events]
    assert kinds == ["launch", "release", "furthest", "rollback", "stop"]
    assert run.rest_m < run.furthest_m
    assert set(run.train.direction.tolist()) == {1, -1}
    assert run.energy.imbalance == pytest.approx(0.0, abs=1e-9)


def test_too_weak_a_car_does_not_start() -> None:
    run = truth.run(plain_car(losses=Losses(0.02, 0.0, 0.0, 1.0, 0.2, 0.6)))
    assert not run.started
    assert (len(run.train), run.rest_m) == (0, 0.0)
    assert run.energy.left_in_weight == run.energy.stored


@pytest.mark.parametrize(
    "imperfections",
    [
        truth.Imperfections(held_m=0.3),
        truth.Imperfections(slip_s=0.08),
        truth.Imperfections(early_release_m=0.1),
        truth.Imperfections(sway_m_s2=0.2),
        truth.Imperfections(swing_rad=0.1),
    ],
)
def test_each_mishap_closes_its_ledger_and_changes_the_run(
    imperfections: truth.Imperfections,
) -> None:
    car = scenario.sandpiper()
    run, plain = truth.run(car, FLAT, imperfections), truth.run(car)
    assert run.energy.imbalance == pytest.approx(0.0, abs=1e-9)
    assert run.rest_m < plain.rest_m
    in_vain_m = len(run.train) * car.metres_per_edge - run.rest_m
    assert (in_vain_m > 0.02) == (imperfections.slip_s > 0.0)


def test_ledger_closes_for_random_cars() -> None:
    rng = np.random.default_rng(5)
    for seed in range(20):
        run = truth.run(truth.random_car(rng), scenario.corridor(), seed=seed)
        assert run.energy.imbalance == pytest.approx(0.0, abs=1e-8)
        assert [e.kind for e in run.events].count("release") == 1


def test_random_cars_keep_to_their_space() -> None:
    rng = np.random.default_rng(11)
    cars = [truth.random_car(rng) for _ in range(200)]
    assert {len(car.drum) for car in cars} == {1, 2, 3, 4}
    for car in cars:
        radii = np.array([tier.radius_m for tier in car.drum])
        ratios = radii[:-1] / radii[1:]
        assert np.all((ratios > 1.15) & (ratios < 2.5))
        assert 10 <= car.encoder.pulses_per_turn <= 40
