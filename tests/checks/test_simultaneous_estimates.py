"""Unknowns that are estimated together: JCGM 100 H.2, and a general least-squares library."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from math import pi

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import least_squares

from study.calibration.hidden_runs import hidden
from unspool.car import Car
from unspool.reading.events import analyse
from unspool.study.calibration import Calibration, CalibrationRun, calibrate
from unspool.study.calibration.run_summary import integrated_out
from unspool.virtual.truth import Imperfections, TrueRun, random_car, run

# JCGM 100:2008, table H.2: five sets of voltage in V, current in A and phase in rad (from memory).
VOLT = np.array([5.007, 4.994, 5.005, 4.990, 4.999])
AMPERE = 1e-3 * np.array([19.663, 19.639, 19.640, 19.685, 19.678])
PHASE = np.array([1.0456, 1.0438, 1.0468, 1.0428, 1.0433])


def resistance_and_reactance() -> tuple[np.ndarray, np.ndarray]:
    """R and X in ohm with their covariance; the current is a third unknown that nobody asks for."""
    sets = np.stack([VOLT, AMPERE, PHASE])
    volt, ampere, phase = sets.mean(axis=1)
    white = np.linalg.inv(np.linalg.cholesky(np.cov(sets) / sets.shape[1]))
    r, x = volt / ampere * np.cos(phase), volt / ampere * np.sin(phase)
    z = np.hypot(r, x)
    by_unknown = np.array(
        [[ampere * r / z, ampere * x / z, z], [0.0, 0.0, 1.0], [-x / z**2, r / z**2, 0.0]]
    )
    current, asked, open_sd = np.array([2]), np.array([0, 1]), np.array([1e6])
    root, rest, _ = integrated_out(
        white @ by_unknown, np.zeros(3), current, asked, open_sd, np.zeros(1)
    )
    assert rest == pytest.approx([0.0, 0.0])
    return np.array([r, x]), np.linalg.inv(root.T @ root)


def test_resistance_reactance_and_impedance_of_the_guide() -> None:
    """JCGM 100:2008, H.2.4: R 127.732 (0.071), X 219.847 (0.295), Z 254.260 (0.236); r(R, X)
    -0.588, r(R, Z) -0.485, r(X, Z) 0.993.
    """
    value, covariance = resistance_and_reactance()
    z = float(np.hypot(*value))
    both = np.vstack([np.eye(2), value / z])
    full = both @ covariance @ both.T
    sd = np.sqrt(np.diag(full))
    assert [*value, z] == pytest.approx([127.732, 219.847, 254.260], abs=5e-4)
    assert sd == pytest.approx([0.071, 0.295, 0.236], abs=6e-4)  # 0.2956 in full
    correlation = full / np.outer(sd, sd)
    found = [correlation[0, 1], correlation[0, 2], correlation[1, 2]]
    assert found == pytest.approx([-0.588, -0.485, 0.993], abs=5e-4)


SHARP = Imperfections(jitter_s=20e-6)
EXACT = 1e-6  # a share by which a value may be off that is as good as exact


@lru_cache(maxsize=1)
def runs() -> tuple[TrueRun, ...]:
    """Two windings and two masses of a car with every kind of drag."""
    car = random_car(np.random.default_rng(21), tiers=1)
    losses = replace(car.losses, constant_drag_n=0.012, linear_drag_n_s_per_m=0.02)
    light = replace(car, losses=losses)
    heavy = replace(light, body_mass_kg=2.0 * car.body_mass_kg)
    short = light.wound((0.7 * car.drum[0].turns,))
    return tuple(
        run(one, imperfections=SHARP, seed=i) for i, one in enumerate((light, heavy, short))
    )


def known_exactly(car: Car) -> Car:
    """The file of a builder who measured everything but the losses without an error."""
    (tier,) = car.drum
    wheels = tuple(
        replace(w, radius_sd_m=EXACT * w.radius_m, inertia_sd_kg_m2=EXACT * w.inertia_kg_m2)
        for w in car.wheels
    )
    return replace(
        hidden(car), wheels=wheels, body_mass_sd_kg=EXACT, weight_mass_sd_kg=EXACT, drop_sd_m=EXACT,
        drum=(replace(tier, radius_sd_m=EXACT * tier.radius_m, turns_sd=EXACT),),
    )  # fmt: skip


@lru_cache(maxsize=1)
def calibrated() -> Calibration:
    given = []
    for one in runs():
        file = known_exactly(one.car)
        given.append(CalibrationRun(analyse(one.train, file), file, name=str(one.seed)))
    return calibrate(given)


def way(car: Car, p: np.ndarray, time_s: np.ndarray) -> np.ndarray:
    """Where the car is, by a plain solver: p is rolling, constant, linear, area and efficiency."""
    (tier,), wheel = car.drum, car.driven_wheel.radius_m
    arm, rolled, gravity = tier.radius_m / wheel, 2.0 * pi * wheel * tier.turns, 9.80665
    pulley = car.pulley.inertia_kg_m2 / car.pulley.radius_m**2 if car.pulley else 0.0
    driven = min(rolled, car.drop_m / arm)

    def rates(_: float, y: np.ndarray, lever: float) -> list[float]:
        speed = max(y[1], 0.0)
        drag = p[0] * car.total_mass_kg * gravity + p[1] + (p[2] + 0.6 * AIR * p[3] * speed) * speed
        pull = p[4] * car.weight_mass_kg * gravity * lever
        mass = car.total_mass_kg + car.rotating_mass_kg
        mass += (p[4] * car.weight_mass_kg + pulley) * lever**2
        return [speed, (pull - drag) / mass if speed > 0.0 or lever else 0.0]

    def gone(_: float, y: np.ndarray, lever: float) -> float:
        return float(y[0]) - driven if lever else 1.0

    gone.terminal = True  # type: ignore[attr-defined]  # solve_ivp asks for it this way
    end, at = (0.0, float(time_s[-1]) + 0.1), {"rtol": 1e-9, "atol": 1e-10, "method": "DOP853"}
    pulled = solve_ivp(rates, end, [0.0, 0.0], args=(arm,), events=gone, dense_output=True, **at)
    left = float(pulled.t[-1])
    coast = solve_ivp(rates, (left, end[1]), pulled.y[:, -1], args=(0.0,), dense_output=True, **at)
    return np.where(time_s < left, pulled.sol(time_s)[0], coast.sol(time_s)[0])


AIR = 1.1993138954744933 / 1.2  # over 1.2 kg/m3, as way() halves it


def library() -> np.ndarray:
    """The same losses by scipy's least squares, with a launch and an origin for each run."""

    def misses(p: np.ndarray) -> np.ndarray:
        rows = []
        for i, one in enumerate(runs()):
            since = np.maximum(one.train.time_s - one.launch_s - p[5 + i], 0.0)
            off = np.arange(len(since)) * one.car.metres_per_edge - way(one.car, p, since)
            rows.append((off - off.mean()) / 1e-4)
        return np.concatenate(rows)

    start = np.array([0.012, 0.005, 0.005, 0.015, 0.85, 0.0, 0.0, 0.0])
    scale = [0.01, 0.01, 0.01, 0.01, 0.1, 0.01, 0.01, 0.01]
    return np.asarray(least_squares(misses, start, x_scale=scale, diff_step=1e-5, max_nfev=60).x)


def test_losses_are_those_of_a_general_least_squares_library() -> None:
    """scipy.optimize.least_squares over scipy.integrate.solve_ivp, on the same three runs."""
    found, told = library(), calibrated()
    names = ("linear_drag_n_s_per_m", "drag_area_m2", "drive_efficiency")
    for name, value in zip(names, found[2:5], strict=True):
        term = told.term(name)
        assert term.value == pytest.approx(value, rel=0.02)
        assert term.low < value < term.high
    weight = 9.80665 * runs()[0].car.total_mass_kg
    assert told.resistance.value == pytest.approx(found[0] * weight + found[1], rel=0.005)
