"""The search for the law under which the edges are most likely, with fixed weights.

Damped Gauss-Newton steps (Levenberg 1944, Marquardt 1963). The damping's schedule is Nielsen's,
1999, with a larger fall. Origin and pattern are linear and drop out of every column (see
reading/edges). So the search varies the law's own parameters alone, and the origin beside them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.reading.edges.slot_pattern import PatternProjection
from unspool.reading.events.law_jacobian import way_derivatives
from unspool.reading.events.law_parameters import LawParameters
from unspool.reading.events.law_problem import Problem
from unspool.reading.events.piecewise_law import PiecewiseLaw
from unspool.reading.events.trace import Instants, Trace

Array = NDArray[np.float64]

# Damping over the parameters' own information: nearly undamped at first, given up when a step is
# a billionth of the undamped one.
FIRST_DAMPING, LEAST_DAMPING, MOST_DAMPING = 1e-6, 1e-12, 1e9
# The first law of a tapered drum is far from the likeliest one, and an undamped step from there
# ends where no other comes back.
FIRST_OF_TAPERS = 1e-4
LARGEST_FALL = 0.1  # of the damping in a step
_LEAST_VALUE = 1e-13  # of the information, whose largest is about 1: keeps undamped steps finite


@dataclass(frozen=True)
class LawPoint:
    """A law compared with the edges. Arrays are (n,), slot_m is (P,).

    Of the edges, there is the motion, and gap is their way less the law's. The residual is the gap
    without origin and pattern. The cost is the weighted sum of squares with the priors' share.
    """

    law: PiecewiseLaw
    trace: Trace
    there: Instants
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
    there = trace.instants(problem.edges.time_s)
    gap = problem.edges.way_m - there.distance_m
    origin = projection.origin(gap)
    slot_m = projection.pattern(gap - origin)
    residual = gap - origin - slot_m[problem.edges.slot]
    # Minimised over the pattern, r' W r + s' s / prior is r' W g with g the gap less the origin.
    cost = float((projection.weight * residual) @ (gap - origin))
    cost += misfit(problem, law)
    return LawPoint(law, trace, there, gap, origin, residual, slot_m, cost)


def misfit(problem: Problem, law: PiecewiseLaw) -> float:
    """How far, in squares of sds, the law is from what is known beforehand."""
    parameters = LawParameters(law, problem.from_rest)
    named = dict(zip(parameters.names, parameters.vector(law).tolist(), strict=True))
    return sum(one.misfit(named[name]) for name, one in problem.known.items() if name in named)


def descend(
    problem: Problem, start: LawPoint, projection: PatternProjection, enough: float, most: int
) -> LawPoint:
    """From a possible law to the nearest one that no step improves.

    enough: a gain in the sum of squares, in variances of the residuals. The search ends when the
    best step promises no more, or a damped one gains no more. most: how many steps it may take.
    """
    point, backing = start, 2.0
    damping = FIRST_OF_TAPERS if start.law.taper else FIRST_DAMPING
    parameters = LawParameters(start.law, problem.from_rest)
    for _ in range(most):
        columns = way_derivatives(problem, parameters, point.law, point.trace, point.there)
        normal = Normal.of(problem, parameters, projection, columns)
        downhill = normal.downhill(problem, parameters, point)
        steps = normal.steps(downhill)
        least = enough * point.cost / len(projection.weight)
        if steps.promised(0.0) < least:
            return point
        numbers = parameters.vector(point.law)
        better = None
        while damping < MOST_DAMPING:
            step = steps.at(damping)
            better = compare(problem, parameters.law(numbers + step[:-1]), projection)
            if better is not None and better.cost <= point.cost:
                break
            better, damping, backing = None, damping * backing, backing * 2.0
        if better is None:
            return point
        gain = point.cost - better.cost
        promised = steps.promised(damping)
        # Trust grows with how much of the promised gain was kept.
        damping *= max(LARGEST_FALL, 1.0 - (2.0 * gain / max(promised, 1e-30) - 1.0) ** 3)
        damping, backing, point = max(damping, LEAST_DAMPING), 2.0, better
        if gain < least:
            return point
    return point


@dataclass(frozen=True)
class Steps:
    """Steps of any damping, by the eigenvectors of the information in units of own sds.

    Arrays are (q + 1,). A unit is one over the sd of a parameter while all others are known. Each
    value is that of a column of the vectors, and the pull is downhill along it.
    """

    unit: Array
    value: Array
    vector: Array
    pull: Array

    def at(self, damping: float) -> Array:
        """(q + 1,) the damped step."""
        return np.asarray(self.vector @ (self.pull / (self.value + damping)) / self.unit)

    def promised(self, damping: float) -> float:
        """What the step should take from the sum of squares."""
        damped = self.value + damping
        return float((self.pull**2 * (1.0 + damping / damped) / damped).sum())


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

    def steps(self, downhill: Array) -> Steps:
        """downhill: (q + 1,) as downhill() gives it."""
        unit = np.sqrt(self.scale)
        value, vector = np.linalg.eigh(self.information / np.outer(unit, unit))
        return Steps(unit, np.maximum(value, _LEAST_VALUE), vector, vector.T @ (downhill / unit))

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
