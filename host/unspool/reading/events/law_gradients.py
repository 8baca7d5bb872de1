"""How the numbers of a law's pieces follow from the law's parameters, in closed form.

Let p be a parameter. A piece ends at the place x1 when x(t1; p) = x1. So its end moves by
dt1 = (dx1 - dx) / v1, and the speed there by dv + a dt1. The next piece begins with these. A law
with a taper has pieces that are no closed forms; law_jacobian.py has those.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from unspool.reading.events.law_parameters import (
    BRAKE,
    CATCH,
    DRAG,
    LAUNCH_S,
    LAUNCH_SPEED,
    LINEAR,
    LawParameters,
    acceleration,
    changepoint_m,
)
from unspool.reading.events.law_problem import LONGEST_S, Problem
from unspool.reading.events.masses import Masses
from unspool.reading.events.piece import Flow
from unspool.reading.events.piecewise_law import LEAST_DRAG_PER_M, Part, PiecewiseLaw, parts_of
from unspool.reading.events.trace import Trace

Array = NDArray[np.float64]

LEAST_SPEED = 1e-9  # m/s: keeps a piece that ends where it began from dividing by 0


@dataclass(frozen=True)
class LawGradients:
    """of_pieces: (pieces, 6, q) of each piece's numbers; of_derived: (m, q)."""

    of_pieces: Array
    of_derived: Array


def law_gradients(
    problem: Problem, parameters: LawParameters, law: PiecewiseLaw, trace: Trace
) -> LawGradients:
    """Over the parameters, of a law without tapers that was followed to `trace`."""
    walk = _Walk(problem.masses.driven(law.drive), law, _units(parameters), _Ends.of(trace))
    for part in islice(parts_of(law, problem.grade, walk.levers), len(trace.pieces)):
        walk.pass_by(part)
    launch = [] if parameters.from_rest else [walk.none]
    rest = walk.rest() if trace.stop_s < LONGEST_S else (walk.none, walk.none)
    derived = [*launch, *walk.changepoint_s, *rest]
    return LawGradients(np.array(walk.table), np.array(derived))


def _units(parameters: LawParameters) -> dict[str, Array]:
    return dict(zip(parameters.names, np.eye(len(parameters.names)), strict=True))


@dataclass(frozen=True)
class _Ends:
    """All pieces at their ends; way and speed are their derivatives, (pieces, 6) each."""

    way: Array
    of_speed: Array
    speed: list[float]
    acceleration: list[float]

    @classmethod
    def of(cls, trace: Trace) -> _Ends:
        begin = trace.table[:, 0]
        end = np.append(begin[1:], trace.stop_s)
        since = np.where(end < LONGEST_S, end - begin, 0.0)
        flow = Flow.of(since, *trace.table[:, 2:].T)
        return cls(
            flow.distance_derivatives(),
            flow.speed_derivatives(),
            flow.speed.tolist(),
            flow.acceleration.tolist(),
        )


class _Walk:
    """From piece to piece; time, way and speed are gradients (q,) at the begin of the next one."""

    def __init__(
        self, masses: Masses, law: PiecewiseLaw, unit: dict[str, Array], ends: _Ends
    ) -> None:
        self.masses, self.law, self.unit, self.ends = masses, law, unit, ends
        self.table: list[Array] = []
        self.none = np.zeros(len(unit))
        self.time, self.way = self._of(LAUNCH_S), self.none
        self.speed = self._of(LAUNCH_SPEED)
        a, coast = law.acceleration, law.acceleration[-1]
        self.levers = [masses.lever(one, coast) for one in a]
        self.of_lever = [self._of_lever(i) for i in range(len(a))]
        self.changepoint_s = [self.none] * len(self.law.changepoint_m)

    def _of(self, name: str) -> Array:
        return self.unit.get(name, self.none)

    def _of_lever(self, stretch: int) -> Array:
        a, coast = self.law.acceleration[stretch], self.law.acceleration[-1]
        of_own, of_coast = self.masses.lever_derivatives(a, coast)
        last = len(self.law.changepoint_m)
        return np.asarray(
            of_own * self._of(acceleration(stretch)) + of_coast * self._of(acceleration(last))
        )

    def pass_by(self, part: Part) -> None:
        number = len(self.table)
        row = np.array([self.time, self.way, self.speed, *self._of_numbers(part)])
        self.table.append(row)
        if number == len(self.ends.speed) - 1:
            return
        of_way, of_speed = self.ends.way[number] @ row, self.ends.of_speed[number] @ row
        changes = part.is_changepoint
        self.way = self._of(changepoint_m(part.stretch)) if changes else self.none
        speed = self.ends.speed[number]
        self.time = (self.way - of_way) / max(speed, LEAST_SPEED)
        self.speed = of_speed + self.ends.acceleration[number] * self.time
        if changes:
            self.changepoint_s[part.stretch] = self.time
            self.speed = self._of_speed_after(part.stretch, speed)

    def _of_numbers(self, part: Part) -> tuple[Array, Array, Array]:
        """Of the piece's a, b and f; at the least drag, of more."""
        masses, law, rho = self.masses, self.law, self.levers[part.stretch]
        share, drag = masses.free_share(rho), max(law.drag_per_m, LEAST_DRAG_PER_M)
        falls = -2.0 * masses.caught_kg * rho * share**2 / masses.free_kg
        of_share = falls * self.of_lever[part.stretch]
        return (
            self._of(acceleration(part.stretch)) + part.slope * of_share,
            share * self._of(DRAG) + drag * of_share,
            share * self._of(LINEAR) + law.linear_per_s * of_share,
        )

    def _of_speed_after(self, stretch: int, speed: float) -> Array:
        """Of the speed after a changepoint's catch and brake."""
        before, after = self.levers[stretch], self.levers[stretch + 1]
        out = self.speed
        if 0.0 < after < before:
            caught, free = self.law.catch * self.masses.caught_kg, self.masses.free_kg
            least = free + caught * after * after
            share = (free + caught * before * after) / least
            of_most = caught * (after * self.of_lever[stretch])
            of_most = of_most + caught * (before - 2.0 * share * after) * self.of_lever[stretch + 1]
            of_catch = self.masses.caught_kg * after * (before - share * after)
            out = share * out + speed / least * (of_most + of_catch * self._of(CATCH))
        if stretch == self.law.brake_changepoint:
            out = out - self._of(BRAKE)
        return np.asarray(out)

    def rest(self) -> tuple[Array, Array]:
        """Of the time and the place of the standstill."""
        row = self.table[-1]
        time = -(self.ends.of_speed[-1] @ row) / self.ends.acceleration[-1]
        return time, self.ends.way[-1] @ row + self.ends.speed[-1] * time
