"""The law's closed forms against scipy's integrators."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from unspool.car import FLAT, Track
from unspool.reading.events.masses import GradeAcceleration, Masses
from unspool.reading.events.piecewise_law import PiecewiseLaw, follow_law
from unspool.virtual.truth import random_car


def test_levers_are_found_back_from_accelerations() -> None:
    masses = Masses.of(random_car(np.random.default_rng(0)))
    for lever in (0.05, 0.2, 0.45):
        assert masses.lever(masses.acceleration(lever, -0.1), -0.1) == pytest.approx(lever)
    assert masses.lever(-0.2, -0.1) == 0.0


def test_a_catch_keeps_the_momentum_along_the_string() -> None:
    masses = Masses(free_kg=1.5, caught_kg=0.5, pull_n=4.9, rolling_kg=1.4)
    # (1.5 v + 0.5 (0.4 v) 0.2) / (1.5 + 0.5 0.2^2) with v = 1
    assert masses.after_catch(1.0, 0.4, 0.2, 1.0) == pytest.approx(1.54 / 1.52)
    assert masses.after_catch(1.0, 0.4, 0.2, 0.5) == pytest.approx(1.52 / 1.51)
    assert masses.after_catch(1.0, 0.2, 0.4, 1.0) == 1.0
    assert masses.after_catch(1.0, 0.2, 0.0, 1.0) == 1.0


def test_a_law_on_a_slope_against_an_integrator() -> None:
    car = random_car(np.random.default_rng(3))
    masses = Masses.of(car)
    track = Track("ramp", (0.0, 2.0, 4.0), (0.0, 0.05, 0.05), 1.2)
    law = PiecewiseLaw(5.0, 0.0, (1.5,), (0.6, -0.1), 0.008)
    trace = follow_law(law, GradeAcceleration.of(track, car, masses), masses)
    slope, rolling = 0.025, car.losses.rolling_coefficient
    pull = -9.80665 * (slope + rolling * (np.sqrt(1 - slope**2) - 1)) * masses.rolling_kg
    share = masses.free_share(masses.lever(0.6, -0.1))

    def motion(_: float, y: np.ndarray) -> list[float]:
        grade = pull / masses.free_kg if y[0] < 2.0 else 0.0
        driven = y[0] < 1.5
        part = share if driven else 1.0
        return [y[1], (0.6 if driven else -0.1) + part * (grade - 0.008 * y[1] ** 2)]

    times = np.array([1.0, 2.0, 3.5, 5.0])
    solved = solve_ivp(motion, (0, 5), [0.0, 0.0], max_step=1e-3, rtol=1e-9, t_eval=times)
    distance, speed = trace.at(5.0 + times)
    assert distance == pytest.approx(solved.y[0], abs=1e-3)
    assert speed == pytest.approx(solved.y[1], abs=1e-3)


def test_a_way_back_sees_the_track_the_other_way_round() -> None:
    car = random_car(np.random.default_rng(3))
    masses = Masses.of(car)
    track = Track("ramp", (0.0, 10.0, 14.0), (0.0, 0.0, 0.4), 1.2)
    out, back = (
        GradeAcceleration.of(track, car, masses),
        GradeAcceleration.of(track, car, masses, 12.0, -1),
    )
    assert back.from_m[1:] == pytest.approx((-2.0, 2.0, 12.0))
    assert back.acceleration_at(1.0) > 0.0 > out.acceleration_at(11.0)
    assert back.acceleration_at(3.0) == out.acceleration_at(5.0) == 0.0
    assert GradeAcceleration.of(FLAT, car, masses).acceleration == (0.0,)
