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
from unspool.reading.events.law_jacobian import forward_derivatives
from unspool.reading.events.law_parameters import LawParameters
from unspool.reading.events.law_problem import Problem
from unspool.reading.events.piecewise_law import PiecewiseLaw
from unspool.reading.events.trace import Trace

Array = NDArray[np.float64]

MOST_STEPS = 30  # a search that has not ended by then wanders along a valley without a floor
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
    cost += misfit(problem, law)
    return LawPoint(law, trace, speed, gap, origin, residual, slot_m, cost)


def misfit(problem: Problem, law: PiecewiseLaw) -> float:
    """How far, in squares of sds, the law is from what is known beforehand."""
    parameters = LawParameters(law, problem.from_rest)
    named = dict(zip(parameters.names, parameters.vector(law).tolist(), strict=True))
    return sum(one.misfit(named[name]) for name, one in problem.known.items() if name in named)


def descend(problem: Problem, start: LawPoint, projection: PatternProjection) -> LawPoint:
    """From a possible law to the nearest one that nothing small improves."""
    point, damping, backing = start, FIRST_DAMPING, 2.0
    parameters = LawParameters(start.law, problem.from_rest)
    for _ in range(MOST_STEPS):
        columns = forward_derivatives(problem, parameters, point.law, point.trace)
        normal = Normal.of(problem, parameters, projection, columns)
        downhill = normal.downhill(problem, parameters, point)
        scale = normal.scale
        numbers = parameters.vector(point.law)
        better = None
        while damping < MOST_DAMPING:
            step = normal.step(downhill, damping)
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

    information: (q + 1, q + 1) is Fisher's, with what is known beforehand. weighted: (n, q + 1)
    columns times the edges' weights; projected: (n, q + 1) columns without the pattern.
    """

    information: Array
    weighted: Array
    projected: Array
    names: tuple[str, ...]

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
        projected = projection.residuals(full)
        weighted = full * projection.weight[:, None]
        information, names = weighted.T @ projected, parameters.names
        for i, name in enumerate(names):
            if name in problem.known:
                information[i, i] += problem.known[name].sd ** -2
        return cls(information, weighted, projected, names)

    @property
    def scale(self) -> Array:
        """(q + 1,) the parameters' own information."""
        return np.maximum(np.diag(self.information), 1e-12)

    def step(self, downhill: Array, damping: float) -> Array:
        """(q + 1,) the damped step; solved in units of each parameter's own sd."""
        unit = np.sqrt(self.scale)
        damped = self.information / np.outer(unit, unit) + damping * np.eye(len(unit))
        return np.asarray(np.linalg.lstsq(damped, downhill / unit)[0] / unit)

    def covariance(self) -> Array:
        """(q, q) of the law's parameters, whatever the origin is."""
        unit = np.sqrt(self.scale)
        inverse = np.linalg.pinv(self.information / np.outer(unit, unit), hermitian=True)
        return np.asarray((inverse / np.outer(unit, unit))[:-1, :-1])

    def downhill(self, problem: Problem, parameters: LawParameters, point: LawPoint) -> Array:
        """(q + 1,) half the negative gradient of the cost."""
        downhill = self.weighted.T @ point.residual
        for i, value in enumerate(parameters.vector(point.law).tolist()):
            one = problem.known.get(self.names[i])
            if one is not None:
                downhill[i] += (one.mean - value) / one.sd**2
        return np.asarray(downhill)
