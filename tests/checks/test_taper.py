"""A tapered tier against Newton's law by scipy's solver, and as the limit of many small steps.

Source: Newton's second law for a car and a weight that a string on a cone joins, from the weight's
virtual work. The solver is DOP853 of Hairer, Norsett and Wanner, as scipy has it.
"""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from plain import plain_car
from unspool.car import Car, Tier
from unspool.model import predict

G = 9.80665
FIRST, LAST, TURNS = 0.012, 0.006, 4.0
MASS_KG, WEIGHT_KG, ROLLING = 1.0, 0.5, 0.02


def _cone() -> Car:
    return plain_car(drum=(Tier("cone", FIRST, TURNS, LAST),), drop_m=10.0)


def _stepped(steps: int) -> Car:
    """As many equal tiers, each with the cone's mean radius over its turns."""
    middles = FIRST + (LAST - FIRST) * (np.arange(steps) + 0.5) / steps
    drum = tuple(Tier(str(i), r, TURNS / steps, r) for i, r in enumerate(middles.tolist()))
    return plain_car(drum=drum, drop_m=10.0)


def test_a_cone_against_scipys_solver() -> None:
    """Energy M v^2 / 2 + m (rho v)^2 / 2 gains m g rho - c M g a metre, rho the cone's lever."""
    car = _cone()
    wheel = car.driven_wheel.radius_m
    assert (car.total_mass_kg, car.weight_mass_kg) == (MASS_KG, WEIGHT_KG)
    length = 2.0 * pi * wheel * TURNS

    def rates(_: float, y: np.ndarray) -> list[float]:
        rho = (FIRST + (LAST - FIRST) * y[0] / length) / wheel
        change = (LAST - FIRST) / length / wheel
        force = WEIGHT_KG * G * rho - ROLLING * MASS_KG * G
        force -= WEIGHT_KG * rho * change * y[1] ** 2
        return [y[1], force / (MASS_KG + WEIGHT_KG * rho**2)]

    def off(_: float, y: np.ndarray) -> float:
        return float(y[0]) - length

    off.terminal = True  # type: ignore[attr-defined]  # as solve_ivp wants it
    solved = solve_ivp(
        rates, (0.0, 60.0), [0.0, 0.0], method="DOP853", events=off, rtol=1e-11, atol=1e-12
    )
    release = next(event for event in predict(car).events if event.kind == "release")
    assert release.time_s == pytest.approx(solved.t[-1], rel=1e-7)
    assert release.speed_m_s == pytest.approx(solved.y[1, -1], rel=1e-7)


def test_a_cone_is_the_limit_of_many_steps() -> None:
    """All catches of n steps together lose as 1/n: twice the steps are half as far off."""
    whole = predict(_cone()).distance_m
    off = [abs(predict(_stepped(n)).distance_m - whole) for n in (20, 40)]
    assert off[1] == pytest.approx(0.5 * off[0], rel=0.1)
    assert off[1] < 0.002 * whole
