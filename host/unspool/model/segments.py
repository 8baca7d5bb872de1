"""Segments: parts of a run under one set of forces, in closed form or solved.

A segment knows its length_m >= 0 along the travel, the speeds v0 and v1 >= 0 at its ends, its
duration, and the work of the drags that depend on speed. The closed forms serve constant forces, a
drag that is linear in the speed included. Only a taper, whose lever changes along the way, needs
scipy's solver.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt
from typing import Any

import numpy as np

from unspool.model import closed_form
from unspool.model.number import Floats
from unspool.model.three_term_law import ThreeTermLaw

# Tolerances of the solver: a run comes out right to nine digits, as the outside values ask.
_RTOL, _ATOL = 1e-11, 1e-13
# A day: no run lasts as long.
_LONGEST_S = 1e5
# In s: resolves a time of a run to the last digit.
_TIME_TOLERANCE_S = 1e-14


@dataclass(frozen=True, slots=True)
class Dynamics:
    """The equation of motion of a segment, over the distance s from its start, at speed v.

    force = net_n + pull_per_m s - linear_n_s_m v - drag_kg_m v^2
    mass = mass_kg + moving_kg (lever + lever_per_m s)^2

    pull_per_m, moving_kg, lever and lever_per_m are 0 except on a taper, where mass_kg is the
    coasting mass.
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
    def only_square_drag(self) -> bool:
        """Whether nothing but a drag as the speed's square changes along the way."""
        return self.linear_n_s_m == 0.0 and self.lever_per_m == 0.0

    def at_terminal_speed(self, v: float) -> bool:
        return closed_form.at_terminal_speed(v, self.net_n, self.drag_kg_m)

    def acceleration(self, s: float, v: float) -> float:
        """In m/s2."""
        lever = self.lever + self.lever_per_m * s
        force = self.net_n + self.pull_per_m * s - (self.linear_n_s_m + self.drag_kg_m * v) * v
        # As the lever shrinks, the weight must be slowed: its fall is the integral of the lever.
        force -= self.moving_kg * lever * self.lever_per_m * v * v
        return force / (self.mass_kg + self.moving_kg * lever * lever)


@dataclass(frozen=True, slots=True)
class ClosedSegment:
    """A segment under constant forces."""

    dynamics: Dynamics
    length_m: float
    v0: float
    v1: float
    time_s: float
    air_j: float
    linear_j: float = 0.0

    def time_to(self, s: float) -> float:
        """Time in s from the segment's start to the distance s in m."""
        if s <= 0.0:
            return 0.0
        d, v0 = self.dynamics, self.v0
        if d.at_terminal_speed(v0):
            return s / v0
        u = closed_form.speed_squared(s, v0 * v0, d.net_n, d.drag_kg_m, d.mass_kg)
        v1 = sqrt(max(u, 0.0))
        return closed_form.duration(s, v0, v1, d.net_n, d.drag_kg_m, d.mass_kg)

    def samples(self, count: int) -> tuple[Floats, Floats, Floats]:
        """(count,) times in s, distances in m and speeds in m/s, both ends included."""
        # Close together at both ends, where a speed may start or end as a square root.
        s = self.length_m * 0.5 * (1.0 - np.cos(np.linspace(0.0, np.pi, count)))
        s[-1] = self.length_m
        d = self.dynamics
        if d.at_terminal_speed(self.v0):
            return s / self.v0, s, np.full(count, self.v0)
        net, drag, mass, v0 = (np.full(1, x) for x in (d.net_n, d.drag_kg_m, d.mass_kg, self.v0))
        v = np.sqrt(np.maximum(closed_form.speed_squared(s, v0 * v0, net, drag, mass), 0.0))
        v[0], v[-1] = self.v0, self.v1
        t = np.zeros(count)
        t[1:] = closed_form.duration(s[1:], v0, v[1:], net, drag, mass)
        t[-1] = self.time_s
        return t, s, v


@dataclass(frozen=True, slots=True)
class LinearSegment:
    """A segment under constant forces and a drag that is linear in the speed."""

    dynamics: Dynamics
    length_m: float
    v0: float
    v1: float
    time_s: float
    air_j: float
    linear_j: float
    law: ThreeTermLaw

    def time_to(self, s: float) -> float:
        """Time in s from the segment's start to the distance s in m."""
        if not 0.0 < s < self.length_m:
            return 0.0 if s <= 0.0 else self.time_s
        return min(float(self.law.passing_s(np.array([s]))[0]), self.time_s)

    def samples(self, count: int) -> tuple[Floats, Floats, Floats]:
        """(count,) times in s, distances in m and speeds in m/s, both ends included."""
        t = np.linspace(0.0, self.time_s, count)
        s, v = self.law.at(t)
        s[-1], v[-1] = self.length_m, self.v1
        return t, s, v


@dataclass(frozen=True, slots=True)
class SolvedSegment:
    """A segment that the solver integrated."""

    dynamics: Dynamics
    length_m: float
    v0: float
    v1: float
    time_s: float
    air_j: float
    linear_j: float
    solution: Any  # scipy's OdeSolution: time -> distance, speed, air work and linear work

    def time_to(self, s: float) -> float:
        """Time in s from the segment's start to the distance s in m."""
        if not 0.0 < s < self.length_m:
            return 0.0 if s <= 0.0 else self.time_s
        from scipy.optimize import brentq  # slow to load, and only tapers take it

        return float(
            brentq(lambda t: self.solution(t)[0] - s, 0.0, self.time_s, xtol=_TIME_TOLERANCE_S)
        )

    def samples(self, count: int) -> tuple[Floats, Floats, Floats]:
        """(count,) times in s, distances in m and speeds in m/s, both ends included."""
        t = np.linspace(0.0, self.time_s, count)
        s, v = self.solution(t)[:2]
        s[-1], v[-1] = self.length_m, self.v1
        return t, s, v


Segment = ClosedSegment | LinearSegment | SolvedSegment


def solve_segment(dynamics: Dynamics, v0: float, length_m: float) -> Segment:
    """The segment from speed v0 over length_m, or to a standstill if that comes first.

    Raises ArithmeticError if the solver fails.
    """
    if dynamics.lever_per_m != 0.0:
        return _integrated(dynamics, v0, length_m)
    if dynamics.linear_n_s_m != 0.0:
        return _against_linear_drag(dynamics, v0, length_m)
    return _in_closed_form(dynamics, v0, length_m)


def _in_closed_form(dynamics: Dynamics, v0: float, length_m: float) -> ClosedSegment:
    net, drag, mass = dynamics.net_n, dynamics.drag_kg_m, dynamics.mass_kg
    u0 = v0 * v0
    if net < 0.0:
        stop = closed_form.distance_to_speed(u0, 0.0, net, drag, mass)
        if stop <= length_m:
            time = closed_form.time_to_speed(v0, 0.0, net, drag, mass)
            air = closed_form.drag_work(stop, u0, net, drag, mass)
            return ClosedSegment(dynamics, stop, v0, 0.0, time, air)
    if dynamics.at_terminal_speed(v0):
        return ClosedSegment(dynamics, length_m, v0, v0, length_m / v0, net * length_m)
    v1 = sqrt(closed_form.speed_squared(length_m, u0, net, drag, mass))
    time = closed_form.duration(length_m, v0, v1, net, drag, mass)
    air = closed_form.drag_work(length_m, u0, net, drag, mass)
    return ClosedSegment(dynamics, length_m, v0, v1, time, air)


def _against_linear_drag(dynamics: Dynamics, v0: float, length_m: float) -> LinearSegment:
    d = dynamics
    numbers = (v0, d.net_n, d.linear_n_s_m, d.drag_kg_m, d.mass_kg)
    law = ThreeTermLaw.of(*(np.array([number]) for number in numbers))
    time = law.passing_s(np.array([length_m]))
    stops = not bool(np.isfinite(time[0]))
    if stops:
        time = law.standstill_s()
    (way,), (v1,) = law.at(time)
    (square,), (cube,) = law.powers(time)
    v1, length = (0.0, float(way)) if stops else (float(v1), length_m)
    air, linear = d.drag_kg_m * float(cube), d.linear_n_s_m * float(square)
    return LinearSegment(d, length, v0, v1, float(time[0]), air, linear, law)


def _integrated(dynamics: Dynamics, v0: float, length_m: float) -> SolvedSegment:
    from scipy.integrate import solve_ivp  # slow to load, and only tapers take it
    from scipy.optimize import brentq

    def rates(_: float, y: Floats) -> list[float]:
        s, v = float(y[0]), float(y[1])
        air, linear = dynamics.drag_kg_m * v * v * v, dynamics.linear_n_s_m * v * v
        return [v, dynamics.acceleration(s, v), air, linear]

    answer = solve_ivp(
        rates,
        (0.0, _LONGEST_S),
        [0.0, v0, 0.0, 0.0],
        method="DOP853",
        dense_output=True,
        events=[_Passes(0, length_m, 1), _Passes(1, 0.0, -1)],
        rtol=_RTOL,
        atol=_ATOL,
    )
    path = answer.sol
    if path is None or answer.t_events is None or not answer.success:
        raise ArithmeticError(f"the solver failed: {answer.message}")
    time = float(answer.t[-1])
    if float(answer.y[0, -1]) > length_m:
        # The solver's step ran past the end, to the standstill and back, and saw only the latter.
        time = brentq(lambda t: path(t)[0] - length_m, 0.0, time, xtol=_TIME_TOLERANCE_S)
    elif len(answer.t_events[1]):
        length_m = float(answer.y[0, -1])
    _, v, air, linear = (float(x) for x in path(time))
    stopped = bool(len(answer.t_events[1])) and time == answer.t[-1]
    return SolvedSegment(dynamics, length_m, v0, 0.0 if stopped else v, time, air, linear, path)


@dataclass(frozen=True)
class _Passes:
    """Ends the integration when a row of the state passes a value, in solve_ivp's own form."""

    row: int
    value: float
    direction: int
    terminal: bool = True

    def __call__(self, _: float, y: Floats) -> float:
        return float(y[self.row]) - self.value if self.value < inf else -1.0
