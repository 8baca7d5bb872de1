"""The Cramer-Rao bound of a true run's changepoints: no unbiased reading of its edges can be surer.

For piecewise motion with the true run's numbers: dv/dt = a_k - f_k v - b_k v^2 on stretch k, with a
catch's jump between tiers. Unknown are the launch's time, the changepoints' places, the a's and the
slots' pattern. Both drags and the catch's strength are known as widely as the reading knows them.
Edge positions carry a noise of jitter x speed. The motion is solved by scipy and its derivatives
are taken by differences. None of the reading's formulas is used.
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


# As the reading knows them before it has seen an edge: see reading/events/known.py.
DRAG_SHARE, LINEAR_N_S_M, CATCH_SHARE = 0.3, 0.04, 0.22


@dataclass(frozen=True)
class Pieces:
    """changepoint_m (k,), a (k + 1,); the numbers that each of them shares follow.

    share: (k + 1,) of the mass that rolls in all that is accelerated. rho: (k + 1,) levers, 0 last.
    """

    launch_s: float
    changepoint_m: Array
    a: Array
    drag_per_m: float
    linear_per_s: float
    catch: float
    share: Array
    rho: Array
    hung_over_free: float

    @property
    def jump(self) -> Array:
        """(k,) speed after over speed before."""
        mu, rho = self.catch * self.hung_over_free, self.rho
        jump = (1.0 + mu * rho[:-1] * rho[1:]) / (1.0 + mu * rho[1:] ** 2)
        return np.where(rho[1:] > 0.0, jump, 1.0)


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
    drag = 0.5 * truth.track.air_density_kg_m3 * car.drag_area_m2
    return Pieces(
        launch_s=0.0,
        changepoint_m=np.array([e.distance_m for e in seen]),
        a=(falling * GRAVITY * rho - hold) / mass,
        drag_per_m=drag / free,
        linear_per_s=car.losses.linear_drag_n_s_per_m / free,
        catch=truth.imperfections.catch,
        share=free / mass,
        rho=rho,
        hung_over_free=(falling + pulley) / free,
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
    rolling = truth.car.total_mass_kg + truth.car.rotating_mass_kg
    known = [DRAG_SHARE * pieces.drag_per_m, LINEAR_N_S_M / rolling, CATCH_SHARE * pieces.catch]
    information[-3:, -3:] += np.diag(np.array(known) ** -2.0)
    unit = np.sqrt(np.diag(information))
    inverse = np.linalg.inv(information / np.outer(unit, unit)) / np.outer(unit, unit)
    return np.sqrt(np.diag(inverse)[1 : 1 + k])


def _derivatives(pieces: Pieces, t: Array) -> Array:
    """Of the distance at each time over launch time, changepoints, a's, drags and catch: (n, q)."""
    k = len(pieces.changepoint_m)
    columns = []
    for i in range(2 * k + 5):
        sides = [_distance(_moved(pieces, i, sign * STEP), t) for sign in (1.0, -1.0)]
        columns.append((sides[0] - sides[1]) / (2.0 * STEP))
    return np.column_stack(columns)


def _moved(pieces: Pieces, i: int, step: float) -> Pieces:
    k = len(pieces.changepoint_m)
    if i == 0:
        return replace(pieces, launch_s=pieces.launch_s + step)
    if i <= k:
        return replace(pieces, changepoint_m=pieces.changepoint_m + step * (np.arange(k) == i - 1))
    if i <= 2 * k + 1:
        return replace(pieces, a=pieces.a + step * (np.arange(k + 1) == i - 1 - k))
    name = ("drag_per_m", "linear_per_s", "catch")[i - 2 * k - 2]
    return replace(pieces, **{name: getattr(pieces, name) + step})


def _drag(pieces: Pieces, v: float) -> float:
    return (pieces.linear_per_s + pieces.drag_per_m * v) * v


def _distance(pieces: Pieces, t: Array) -> Array:
    out = np.zeros_like(t)
    begin, state = pieces.launch_s, np.array([0.0, 0.0])
    for i, (a, share) in enumerate(zip(pieces.a, pieces.share, strict=True)):
        end = pieces.changepoint_m[i] if i < len(pieces.changepoint_m) else np.inf

        def reached(_: float, y: Array, end: float = end) -> float:
            return float(y[0]) - end

        def rested(_: float, y: Array) -> float:
            return float(y[1])

        reached.terminal = rested.terminal = True
        rested.direction = -1
        solved = solve_ivp(
            lambda _, y, a=a, share=share: [y[1], a - share * _drag(pieces, y[1])],
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
