"""The search for the law under which the edges are most likely, with fixed weights.

Damped Gauss-Newton steps (Levenberg 1944, Marquardt 1963; the damping's schedule is Nielsen's,
1999). Origin and pattern are linear and drop out of every column (see reading/edges), so that the
search varies the law's own parameters alone, and the origin beside them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.reading.edges.slot_pattern import PatternProjection
from unspool.reading.events.law_parameters import DRAG, LawParameters
from unspool.reading.events.law_problem import Problem
from unspool.reading.events.piecewise_law import PiecewiseLaw, Trace

Array = NDArray[np.float64]

MOST_STEPS = 30  # a search that has not ended by then wanders along a valley without a floor
STEP = 1e-6  # of differences, in s, 1/m, m and m/s2: each far below what edges can resolve
ENOUGH = 0.01  # gain in the sum of squares, in variances, below which a step ends the search
# Damping over the parameters' own information: nearly undamped at first, given up when a step is
# a billionth of the undamped one.
FIRST_DAMPING, LEAST_DAMPING, MOST_DAMPING = 1e-4, 1e-12, 1e9


@dataclass(frozen=True)
class LawPoint:
    """A law compared with the edges. Arrays are (n,), slot_m is (P,).

    gap is the edges' way less the law's, residual the same without origin and pattern. cost is the
    weighted sum of squares with the priors' share.
    """

    law: PiecewiseLaw
    trace: Trace
    speed: Array
    gap: Array
    origin: float
    residual: Array
    slot_m: Array
    cost: float


def compare(problem: Problem, law: PiecewiseLaw, projection: PatternProjection) -> LawPoint | None:
    """The law against the edges; None if it cannot be the run."""
    trace = problem.possible_trace(law)
    if trace is None:
        return None
    distance, speed = trace.at(problem.edges.time_s)
    gap = problem.edges.way_m - distance
    origin = projection.origin(gap)
    slot_m = projection.pattern(gap - origin)
    residual = gap - origin - slot_m[problem.edges.slot]
    # Minimised over the pattern, r' W r + s' s / prior is r' W g with g the gap less the origin.
    cost = float((projection.weight * residual) @ (gap - origin))
    cost += ((law.drag_per_m - problem.drag_per_m) / problem.drag_sd) ** 2
    return LawPoint(law, trace, speed, gap, origin, residual, slot_m, cost)


def descend(problem: Problem, start: LawPoint, projection: PatternProjection) -> LawPoint:
    """From a possible law to the nearest one that nothing small improves."""
    point, damping, backing = start, FIRST_DAMPING, 2.0
    parameters = LawParameters(start.law, problem.from_rest)
    for _ in range(MOST_STEPS):
        columns = _forward(problem, parameters, point)
        normal = Normal.of(problem, parameters, projection, columns)
        downhill = normal.downhill(problem, point)
        scale = np.maximum(np.diag(normal.information), 1e-12)
        numbers = parameters.vector(point.law)
        better = None
        while damping < MOST_DAMPING:
            damped = normal.information + damping * np.diag(scale)
            step = np.linalg.lstsq(damped, downhill)[0]
            better = compare(problem, parameters.law(numbers + step[:-1]), projection)
            if better is not None and better.cost <= point.cost:
                break
            better, damping, backing = None, damping * backing, backing * 2.0
        if better is None:
            return point
        gain = point.cost - better.cost
        promised = float(step @ (damping * scale * step + downhill))
        # Trust grows with how much of the promised gain was kept.
        damping *= max(1.0 / 3.0, 1.0 - (2.0 * gain / max(promised, 1e-30) - 1.0) ** 3)
        damping, backing, point = max(damping, LEAST_DAMPING), 2.0, better
        if gain < ENOUGH * (1.0 + point.cost / len(projection.weight)):
            return point
    return point


@dataclass(frozen=True)
class Normal:
    """Normal equations of the law's parameters and, last, the origin.

    information: (q + 1, q + 1) is Fisher's, with the drag's prior. weighted: (n, q + 1) columns
    times the edges' weights; projected: (n, q + 1) columns without the pattern.
    """

    information: Array
    weighted: Array
    projected: Array
    drag: int  # the drag's number among the parameters

    @classmethod
    def of(
        cls,
        problem: Problem,
        parameters: LawParameters,
        projection: PatternProjection,
        columns: Array,
    ) -> Normal:
        """columns: (n, q) derivatives of the distances over the parameters."""
        full = np.column_stack([columns, np.ones(len(columns))])
        projected = np.column_stack([projection.residual(column) for column in full.T])
        weighted = full * projection.weight[:, None]
        information, drag = weighted.T @ projected, parameters.index(DRAG)
        information[drag, drag] += problem.drag_sd**-2
        return cls(information, weighted, projected, drag)

    def downhill(self, problem: Problem, point: LawPoint) -> Array:
        """(q + 1,) half the negative gradient of the cost."""
        downhill = self.weighted.T @ point.residual
        off = problem.drag_per_m - point.law.drag_per_m
        downhill[self.drag] += off / problem.drag_sd**2
        return np.asarray(downhill)


def _forward(problem: Problem, parameters: LawParameters, point: LawPoint) -> Array:
    """Derivatives of the distances over the parameters, (n, q), good enough to descend by."""
    numbers = parameters.vector(point.law)
    here = problem.edges.way_m - point.gap
    columns = np.empty((len(here), len(numbers)))
    for i in range(len(numbers)):
        moved = numbers.copy()
        moved[i] += STEP
        trace = problem.trace(parameters.law(moved))
        columns[:, i] = (trace.at(problem.edges.time_s)[0] - here) / STEP
    return columns


def central_derivatives(
    problem: Problem, parameters: LawParameters, law: PiecewiseLaw
) -> tuple[Array, Array, Array]:
    """Of distances (n, q), speeds (n, q) and the derived quantities (m, q) over the parameters."""
    numbers = parameters.vector(law)
    distances, speeds, derived = [], [], []
    for i in range(len(numbers)):
        sides = []
        for sign in (1.0, -1.0):
            moved = numbers.copy()
            moved[i] += sign * STEP
            tried = parameters.law(moved)
            trace = problem.trace(tried)
            sides.append((*trace.at(problem.edges.time_s), parameters.derived(tried, trace)))
        distances.append((sides[0][0] - sides[1][0]) / (2.0 * STEP))
        speeds.append((sides[0][1] - sides[1][1]) / (2.0 * STEP))
        with np.errstate(invalid="ignore"):
            derived.append((sides[0][2] - sides[1][2]) / (2.0 * STEP))
    # What is infinite on both sides does not depend on the parameter.
    return np.column_stack(distances), np.column_stack(speeds), np.nan_to_num(
        np.column_stack(derived)
    )  # fmt: skip
