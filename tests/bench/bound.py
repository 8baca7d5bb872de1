"""The Cramer-Rao bound of a true run's changepoints: no unbiased reading of its edges can be surer.

For piecewise motion with the true run's numbers: dv/dt = a_k - b_k v^2 on stretch k, with a catch's
jump between tiers. The air drag is known. Unknown are the launch's time, the changepoints' places,
the a's and the slots' pattern. Edge positions carry a noise of jitter x speed. The motion is solved
by scipy and its derivatives are taken by differences. None of the reading's formulas is used.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from unspool.virtual.truth import TrueRun

Array = NDArray[np.float64]
GRAVITY = 9.80665
STEP = 2e-5


@dataclass(frozen=True)
class Pieces:
    """changepoint_m (k,), a (k + 1,), b (k + 1,), jump (k,): speed after over speed before."""

    launch_s: float
    changepoint_m: Array
    a: Array
    b: Array
    jump: Array


def true_pieces(truth: TrueRun) -> Pieces:
    """The run as pieces, on a level floor, from the car's numbers."""
    car = truth.car
    seen = [e for e in truth.events if e.kind in ("tier_change", "landing", "release")]
    landed = [i for i, e in enumerate(seen) if e.kind == "landing"]
    if landed:
        seen = seen[: landed[0] + 1]
    levers = [tier.radius_m / car.driven_wheel.radius_m for tier in car.drum][: len(seen)]
    pulley = car.pulley.inertia_kg_m2 / car.pulley.radius_m**2 if car.pulley else 0.0
    falling = car.losses.drive_efficiency * car.weight_mass_kg
    free = car.total_mass_kg + car.rotating_mass_kg
    hold = car.losses.rolling_coefficient * car.total_mass_kg * GRAVITY + car.losses.constant_drag_n
    rho = np.array([*levers, 0.0])
    mass = free + (falling + pulley) * rho**2
    jump = (free + (falling + pulley) * rho[:-1] * rho[1:]) / mass[1:]
    drag = 0.5 * truth.track.air_density_kg_m3 * car.drag_area_m2
    return Pieces(
        launch_s=0.0,
        changepoint_m=np.array([e.distance_m for e in seen]),
        a=(falling * GRAVITY * rho - hold) / mass,
        b=drag / mass,
        jump=np.where(rho[1:] > 0.0, jump, 1.0),
    )


def changepoint_bound(truth: TrueRun) -> Array:
    """The least sd (k,), in m, of each changepoint's distance from the launch, in order."""
    pieces = true_pieces(truth)
    running = truth.edge_time_s > 0.0
    t, slot = truth.edge_time_s[running], truth.edge_slot[running]
    speed = np.interp(t, truth.time_s, truth.speed_m_s)
    weight = 1.0 / (np.maximum(speed, 1e-6) * truth.imperfections.jitter_s) ** 2
    columns = _derivatives(pieces, t)
    pulses = truth.car.encoder.pulses_per_turn
    total = np.bincount(slot, weight, pulses)
    free = np.empty_like(columns)
    for i, column in enumerate(columns.T):
        mean = np.bincount(slot, weight * column, pulses) / np.maximum(total, 1e-300)
        free[:, i] = column - mean[slot]
    information = (columns * weight[:, None]).T @ free
    k = len(pieces.changepoint_m)
    return np.sqrt(np.diag(np.linalg.inv(information))[1 : 1 + k])


def _derivatives(pieces: Pieces, t: Array) -> Array:
    """Of the distance at each time over launch time, changepoints and a's, (n, 2 k + 2)."""
    k = len(pieces.changepoint_m)
    columns = []
    for i in range(2 * k + 2):
        sides = [_distance(_moved(pieces, i, sign * STEP), t) for sign in (1.0, -1.0)]
        columns.append((sides[0] - sides[1]) / (2.0 * STEP))
    return np.column_stack(columns)


def _moved(pieces: Pieces, i: int, step: float) -> Pieces:
    k = len(pieces.changepoint_m)
    if i == 0:
        return replace(pieces, launch_s=pieces.launch_s + step)
    if i <= k:
        return replace(pieces, changepoint_m=pieces.changepoint_m + step * (np.arange(k) == i - 1))
    return replace(pieces, a=pieces.a + step * (np.arange(k + 1) == i - 1 - k))


def _distance(pieces: Pieces, t: Array) -> Array:
    out = np.zeros_like(t)
    begin, state = pieces.launch_s, np.array([0.0, 0.0])
    for i, (a, b) in enumerate(zip(pieces.a, pieces.b, strict=True)):
        end = pieces.changepoint_m[i] if i < len(pieces.changepoint_m) else np.inf

        def reached(_: float, y: Array, end: float = end) -> float:
            return float(y[0]) - end

        def rested(_: float, y: Array) -> float:
            return float(y[1])

        reached.terminal = rested.terminal = True
        rested.direction = -1
        solved = solve_ivp(
            lambda _, y, a=a, b=b: [y[1], a - b * y[1] ** 2],
            (begin, begin + 600.0),
            state,
            method="DOP853",
            events=[reached, rested] if np.isfinite(end) else [rested],
            dense_output=True,
            rtol=1e-11,
            atol=1e-13,
        )
        inside = (t > begin) & (t <= solved.t[-1])
        out[inside] = solved.sol(t[inside])[0]
        begin, state = float(solved.t[-1]), solved.y[:, -1].copy()
        if i < len(pieces.jump):
            state[1] *= pieces.jump[i]
    out[t > begin] = state[0]
    return out
