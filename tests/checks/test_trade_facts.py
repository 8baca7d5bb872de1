"""What builders of such cars hold to be so (common practice), against model and plan."""

from __future__ import annotations

from dataclasses import replace

import pytest

from plain import plain_car
from unspool.car import FLAT, Car, Losses, Tier, Track
from unspool.model import predict
from unspool.model.outcome import EventKind
from unspool.study.plan import Goal, Limits
from unspool.study.plan.evaluate import PlanningTask
from unspool.study.plan.search import search

GRAVITY = 9.80665


def on_tier(radius_m: float, **changes: object) -> Car:
    """The plain car with all of its 0.5 m of string on one tier."""
    turns = 0.5 / (2 * 3.141592653589793 * radius_m)
    return plain_car(drum=(Tier("only", radius_m, turns, radius_m),), **changes)


def test_gearing_does_not_buy_distance_against_rolling_alone() -> None:
    """Distance is eta m g h over the resistance, less what the landing takes, for every tier."""
    losses = Losses(0.02, 0.0, 0.0, 0.9, 0.02, 0.6)
    for radius in (0.005, 0.008, 0.012):
        told = predict(on_tier(radius, losses=losses))
        driven = 0.5 * GRAVITY * 0.5 - (told.energy.drive or 0.0) - (told.energy.landing or 0.0)
        assert told.distance_m == pytest.approx(driven / (0.02 * 1.0 * GRAVITY), rel=1e-9)
        assert told.distance_m == pytest.approx(0.9 * 0.5 * 0.5 / 0.02, rel=0.03)


def test_a_larger_tier_pulls_harder() -> None:
    margins = [predict(on_tier(radius)).start_margin for radius in (0.006, 0.012)]
    assert margins[1] == pytest.approx(2.0 * margins[0])


def test_a_weight_on_board_costs_nothing_to_carry_on_the_flat() -> None:
    """At a constant coefficient the coast from one speed is as long for any mass."""
    coasts = []
    for body in (0.5, 1.5):
        told = predict(on_tier(0.01, body_mass_kg=body))
        assert told.release_m is not None
        coasts.append((told.distance_m - told.release_m) / told.peak_speed_m_s**2)
    assert coasts[0] == pytest.approx(1.0 / (2 * 0.02 * GRAVITY), rel=1e-9)
    assert coasts[1] == pytest.approx(coasts[0], rel=1e-9)


def test_a_slope_at_the_end_stops_cars_and_returns_them() -> None:
    gentle, steep = (Track("end", (0.0, 6.0, 16.0), (0.0, 0.0, h), 1.2) for h in (0.15, 0.5))
    level = predict(plain_car()).distance_m
    stopped, returned = predict(plain_car(), gentle), predict(plain_car(), steep)
    assert 6.0 < stopped.distance_m < level
    assert stopped.distance_m == stopped.furthest_m
    assert returned.distance_m < returned.furthest_m < stopped.furthest_m
    assert EventKind.ROLLBACK in [event.kind for event in returned.events]


def test_a_large_tier_starts_what_a_small_one_cannot() -> None:
    """The small one still takes nearly all of the string."""
    large, small = Tier("large", 0.012, 1.0, 0.012), Tier("small", 0.006, 1.0, 0.006)
    sticky = Losses(0.02, 0.0, 0.0, 1.0, 0.055, 0.6)
    alone = plain_car(drum=(small,), losses=sticky)
    assert search(PlanningTask(alone, FLAT, Goal(), Limits()), 5000) is None
    car = replace(alone, drum=(large, small), frontal_area_m2=0.02, drag_coefficient=1.0)
    found = search(PlanningTask(car, FLAT, Goal(), Limits()), 5000)
    assert found is not None
    assert found.turns[0] == 0.5, "the least that is worth winding"
    assert found.turns[1] > 12.0
