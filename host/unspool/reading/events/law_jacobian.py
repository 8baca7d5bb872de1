"""Derivatives of a law's motion over its parameters.

Within a piece they are closed forms over the piece's own numbers (see piece.py). How these follow
from the law's parameters is a closed form, too (see law_gradients.py). A law with a taper has none:
there it is taken by differences, on the few numbers of its pieces alone.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from unspool.reading.events.law_gradients import LawGradients, law_gradients
from unspool.reading.events.law_parameters import LawParameters
from unspool.reading.events.law_problem import Problem
from unspool.reading.events.piecewise_law import PiecewiseLaw
from unspool.reading.events.trace import Instants, Trace

Array = NDArray[np.float64]

STEP = 1e-6  # of differences, in s, 1/m, m and m/s2: each far below what edges can resolve


def way_derivatives(
    problem: Problem, parameters: LawParameters, law: PiecewiseLaw, trace: Trace, there: Instants
) -> Array:
    """(n, q) of the distances at these instants, good enough to descend by."""
    if law.taper:
        table = _forward_differences(problem, parameters, law, trace)
    else:
        table = law_gradients(problem, parameters, law, trace).of_pieces
    return _chained(there.which, there.distance_derivatives(), table)


def all_derivatives(
    problem: Problem, parameters: LawParameters, law: PiecewiseLaw, trace: Trace, there: Instants
) -> tuple[Array, Array, Array]:
    """Of distances (n, q), speeds (n, q) and the derived quantities (m, q)."""
    take = _central_differences if law.taper else law_gradients
    of = take(problem, parameters, law, trace)
    return (
        _chained(there.which, there.distance_derivatives(), of.of_pieces),
        _chained(there.which, there.speed_derivatives(), of.of_pieces),
        of.of_derived,
    )


def _forward_differences(
    problem: Problem, parameters: LawParameters, law: PiecewiseLaw, trace: Trace
) -> Array:
    numbers = parameters.vector(law)
    moved = [problem.trace(parameters.law(_moved(numbers, i, STEP))) for i in range(len(numbers))]
    return np.stack([_difference(one, trace) / STEP for one in moved], axis=-1)


def _central_differences(
    problem: Problem, parameters: LawParameters, law: PiecewiseLaw, trace: Trace
) -> LawGradients:
    numbers = parameters.vector(law)
    tables, derived = [], []
    for i in range(len(numbers)):
        laws = [parameters.law(_moved(numbers, i, sign * STEP)) for sign in (1.0, -1.0)]
        up, down = (problem.trace(one) for one in laws)
        tables.append((_difference(up, trace) - _difference(down, trace)) / (2.0 * STEP))
        with np.errstate(invalid="ignore"):
            of_these = parameters.derived(laws[0], up) - parameters.derived(laws[1], down)
        derived.append(of_these / (2.0 * STEP))
    # What is infinite on both sides does not depend on the parameter.
    return LawGradients(np.stack(tables, axis=-1), np.nan_to_num(np.column_stack(derived)))


def _moved(numbers: Array, which: int, step: float) -> Array:
    moved = numbers.copy()
    moved[which] += step
    return moved


def _difference(moved: Trace, trace: Trace) -> Array:
    """(pieces, 6) what the step did to each piece's numbers; a piece that it never reached: 0."""
    change = np.zeros_like(trace.table)
    both = min(len(moved.table), len(change))
    change[:both] = moved.table[:both] - trace.table[:both]
    return change


def _chained(which: NDArray[np.intp], of_piece: Array, table: Array) -> Array:
    """(n, q) from (n, 6) over a piece's numbers and (pieces, 6, q) of these; `which` rises."""
    out = np.empty((len(which), table.shape[2]))
    bounds = np.searchsorted(which, np.arange(len(table) + 1))
    for i, piece in enumerate(table):
        part = slice(bounds[i], bounds[i + 1])
        out[part] = of_piece[part] @ piece
    return out
