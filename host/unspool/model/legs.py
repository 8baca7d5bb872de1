"""Legs: stretches of a run under one law of motion, in closed form or solved.

A leg knows its way way_m >= 0 along the travel, its speeds v0 and v1 >= 0 at the ends, its duration
and the work of the drags that depend on speed. The closed form serves constant forces; a taper,
whose lever changes along the way, and a drag that is linear in the speed go to scipy's solver.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from unspool.model import segments

Floats = NDArray[np.float64]
_RTOL, _ATOL = 1e-11, 1e-13
_LONGEST_S = 1e5
# Nearer to the terminal speed than this share of the force, a speed no longer changes.
SETTLED = 1e-12


@dataclass(frozen=True, slots=True)
class Law:
    """Forces along the travel: net_n + pull_per_m s - linear v - drag v^2, moved mass
    mass_kg + moving_kg (lever + lever_per_m s)^2.

    pull_per_m and lever_per_m are 0 but on a taper; then mass_kg is the coasting mass.
    """

    net_n: float
    drag_kg_m: float
    mass_kg: float
    linear_n_s_m: float = 0.0
    pull_per_m: float = 0.0
    moving_kg: float = 0.0
    lever: float = 0.0
    lever_per_m: float = 0.0

    @property
    def closed(self) -> bool:
        """Whether the closed form holds."""
        return self.linear_n_s_m == 0.0 and self.lever_per_m == 0.0

    def settled(self, v: float) -> bool:
        """Whether v is the terminal speed, to what the closed form can tell."""
        return self.net_n > 0.0 and abs(self.net_n - self.drag_kg_m * v * v) <= SETTLED * self.net_n

    def acceleration(self, s: float, v: float) -> float:
        lever = self.lever + self.lever_per_m * s
        force = self.net_n + self.pull_per_m * s - (self.linear_n_s_m + self.drag_kg_m * v) * v
        # The weight must be slowed as the lever shrinks: its way is the integral of the lever.
        force -= self.moving_kg * lever * self.lever_per_m * v * v
        return force / (self.mass_kg + self.moving_kg * lever * lever)


@dataclass(frozen=True, slots=True)
class ClosedLeg:
    law: Law
    way_m: float
    v0: float
    v1: float
    time_s: float
    air_j: float
    linear_j: float = 0.0

    def time_to(self, s: float) -> float:
        """Time in s from the leg's start to way s in m."""
        if s <= 0.0:
            return 0.0
        law, v0 = self.law, self.v0
        if law.settled(v0):
            return s / v0
        u = segments.speed_squared(s, v0 * v0, law.net_n, law.drag_kg_m, law.mass_kg)
        v1 = sqrt(max(u, 0.0))
        return segments.duration(s, v0, v1, law.net_n, law.drag_kg_m, law.mass_kg)

    def samples(self, count: int) -> tuple[Floats, Floats, Floats]:
        """(count,) times in s, ways in m and speeds in m/s, both ends included."""
        # Close together at both ends, where a speed may start or end as a square root.
        s = self.way_m * 0.5 * (1.0 - np.cos(np.linspace(0.0, np.pi, count)))
        s[-1] = self.way_m
        if self.law.settled(self.v0):
            return s / self.v0, s, np.full(count, self.v0)
        net, drag, mass = (
            np.full(1, x) for x in (self.law.net_n, self.law.drag_kg_m, self.law.mass_kg)
        )
        v0 = np.full(1, self.v0)
        v = np.sqrt(np.maximum(segments.speed_squared(s, v0 * v0, net, drag, mass), 0.0))
        v[0], v[-1] = self.v0, self.v1
        t = np.zeros(count)
        t[1:] = segments.duration(s[1:], v0, v[1:], net, drag, mass)
        t[-1] = self.time_s
        return t, s, v


@dataclass(frozen=True, slots=True)
class SolvedLeg:
    law: Law
    way_m: float
    v0: float
    v1: float
    time_s: float
    air_j: float
    linear_j: float
    solution: Any  # scipy's OdeSolution: time -> way, speed, air and linear work

    def time_to(self, s: float) -> float:
        """Time in s from the leg's start to way s in m."""
        if not 0.0 < s < self.way_m:
            return 0.0 if s <= 0.0 else self.time_s
        return float(brentq(lambda t: self.solution(t)[0] - s, 0.0, self.time_s, xtol=1e-14))

    def samples(self, count: int) -> tuple[Floats, Floats, Floats]:
        """(count,) times in s, ways in m and speeds in m/s, both ends included."""
        t = np.linspace(0.0, self.time_s, count)
        s, v = self.solution(t)[:2]
        s[-1], v[-1] = self.way_m, self.v1
        return t, s, v


Leg = ClosedLeg | SolvedLeg


def roll(law: Law, v0: float, way_m: float) -> Leg:
    """The leg from speed v0 over way_m, or to a standstill where that comes first."""
    return _closed(law, v0, way_m) if law.closed else _solved(law, v0, way_m)


def _closed(law: Law, v0: float, way_m: float) -> ClosedLeg:
    net, drag, mass = law.net_n, law.drag_kg_m, law.mass_kg
    u0 = v0 * v0
    if net < 0.0:
        stop = segments.way_to_speed(u0, 0.0, net, drag, mass)
        if stop <= way_m:
            time = segments.time_to_speed(v0, 0.0, net, drag, mass)
            return ClosedLeg(
                law, stop, v0, 0.0, time, segments.drag_work(stop, u0, net, drag, mass)
            )
    if law.settled(v0):
        return ClosedLeg(law, way_m, v0, v0, way_m / v0, net * way_m)
    v1 = sqrt(segments.speed_squared(way_m, u0, net, drag, mass))
    time = segments.duration(way_m, v0, v1, net, drag, mass)
    return ClosedLeg(law, way_m, v0, v1, time, segments.drag_work(way_m, u0, net, drag, mass))


def _solved(law: Law, v0: float, way_m: float) -> SolvedLeg:
    def motion(_: float, y: Floats) -> list[float]:
        s, v = float(y[0]), float(y[1])
        air, linear = law.drag_kg_m * v * v * v, law.linear_n_s_m * v * v
        return [v, law.acceleration(s, v), air, linear]

    answer = solve_ivp(
        motion,
        (0.0, _LONGEST_S),
        [0.0, v0, 0.0, 0.0],
        method="DOP853",
        dense_output=True,
        events=[_End(0, way_m, 1), _End(1, 0.0, -1)],
        rtol=_RTOL,
        atol=_ATOL,
    )
    path = answer.sol
    if path is None or answer.t_events is None or not answer.success:
        raise ArithmeticError(f"the solver gave up: {answer.message}")
    time = float(answer.t[-1])
    if float(answer.y[0, -1]) > way_m:
        # The solver's step ran past the end, to the standstill and back, and saw only the latter.
        time = brentq(lambda t: path(t)[0] - way_m, 0.0, time, xtol=1e-14)
    elif len(answer.t_events[1]):
        way_m = float(answer.y[0, -1])
    _, v, air, linear = (float(x) for x in path(time))
    stopped = bool(len(answer.t_events[1])) and time == answer.t[-1]
    return SolvedLeg(law, way_m, v0, 0.0 if stopped else v, time, air, linear, path)


@dataclass(frozen=True)
class _End:
    """A state's row passing a value ends the leg, as solve_ivp wants it told."""

    row: int
    value: float
    direction: int
    terminal: bool = True

    def __call__(self, _: float, y: Floats) -> float:
        return float(y[self.row]) - self.value if self.value < float("inf") else -1.0
