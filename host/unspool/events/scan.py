"""Where kinks may be, for every number of them: a linear stand-in for the law, searched on a grid.

With the smooth motion's v(t) known well enough, air and slope can be taken out of the way: what is
left, x + int int (b v^2 - grade) dt dt, is a parabola of time on each stretch. Kinks at given
instants make it linear in everything else,

    c0 + c1 t + c2 t^2 + c3 int int v^2 + pattern
       + sum_i change_i (1/2 (t - t_i)+^2 + jump_i (t - t_i)+),

so that the best set of k instants out of a grid is a choice of columns. Each instant brings its
kink and what shifting that kink a little does, for kinks lie between the grid's instants. The
choice is made by forward selection with exchange (each chosen one may be swapped for a better one
until none is), on the columns' Gram matrix, where trying an instant costs next to nothing (Miller
2002, "Subset Selection in Regression").
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.events.law import GRAVITY_M_S2, Law
from unspool.events.likelihood import SLOT_SD, Problem
from unspool.motion.types import Motion

Array = NDArray[np.float64]

INSTANTS = 140
DRIVEN_SHARE = 0.75  # of the instants, before the peak speed and a little beyond
MOST_KINKS = 7
NEAR_REST = 0.08  # of the peak speed: the stand-in leaves out what is slower
PLACE_SLOTS = 0.002
RIDGE = 1e-9  # on columns of length 1: keeps look-alikes apart


@dataclass(frozen=True)
class Candidate:
    """A set of kinks and what it leaves unexplained; laws to start a fit from."""

    law: Law
    twice_log_likelihood: float


@dataclass(frozen=True)
class _Columns:
    """The stand-in's data and columns, the slot pattern taken out, weighted to unit noise."""

    data: Array  # (n,)
    always: Array  # (n, 4)
    kinks: Array  # (n, k)
    shifts: Array  # (n, k), what moving each kink by a second earlier does, over its change


def candidates(motion: Motion, problem: Problem, start: Law) -> list[Candidate]:
    """The best set for each number of kinks from 1 on; empty when too few edges move."""
    n = len(problem.edges.time_s)
    speed = motion.speed_m_s[:n]
    top = float(speed.max(initial=0.0))
    moving = np.flatnonzero(speed > NEAR_REST * top)
    if len(moving) < 8:
        return []
    part = slice(int(moving[0]), int(moving[-1]) + 1)
    instants = _instants(problem.edges.time_s[part], speed[part])
    columns = _columns(motion, problem, start, part, instants)
    return _select(columns, motion, problem, start, part, instants)


def _instants(time_s: Array, speed: Array) -> Array:
    """The grid: dense while the car may be driven, sparse on the coast."""
    peak = time_s[int(np.argmax(speed))]
    first, last = time_s[0], time_s[-1]
    driven_end = min(peak + 0.1 * (peak - first) + 0.2, last)
    dense = round(INSTANTS * DRIVEN_SHARE)
    driven = np.linspace(first, driven_end, dense + 2)[1:-1]
    coasting = np.linspace(driven_end, last, INSTANTS - dense + 2)[1:-1]
    return np.concatenate([driven, coasting])


def _columns(
    motion: Motion, problem: Problem, start: Law, part: slice, instants: Array
) -> _Columns:
    edges = problem.edges
    t, v = edges.time_s[part], np.maximum(motion.speed_m_s[part], 0.0)
    slot = edges.slot[part]
    place = PLACE_SLOTS * edges.pitch_m
    weight = 1.0 / (place**2 + (v * motion.jitter_s) ** 2)
    root = np.sqrt(weight)
    s = t - t[0]
    air = _twice_integrated(v * v, t)
    data = edges.way_m[part] - edges.way_m[part][0]
    data = data + problem.drag_per_m * air - _slope_way(t, motion.distance_m[part], problem)
    since = np.maximum(t[:, None] - instants, 0.0)
    kinks = 0.5 * since**2 + _jumps(motion, problem, start, part, instants) * since
    total: Array = np.bincount(slot, weight, edges.pulses).astype(np.float64)
    total += (SLOT_SD * edges.pitch_m) ** -2

    def out(matrix: Array) -> Array:
        return root[:, None] * _without_slots(matrix, slot, weight, total)

    return _Columns(
        data=out(data[:, None])[:, 0],
        always=out(np.column_stack([np.ones_like(s), s, s * s, air])),
        kinks=out(kinks),
        shifts=out(since),
    )


def _without_slots(matrix: Array, slot: NDArray[np.int64], weight: Array, total: Array) -> Array:
    """Columns less each slot's mean."""
    order = np.argsort(slot, kind="stable")
    used, starts = np.unique(slot[order], return_index=True)
    sums = np.add.reduceat((weight[:, None] * matrix)[order], starts, axis=0)
    means = np.zeros((len(total), matrix.shape[1]))
    means[used] = sums / total[used, None]
    return np.asarray(matrix - means[slot])


def _twice_integrated(value: Array, t: Array) -> Array:
    def once(f: Array) -> Array:
        return np.concatenate([np.zeros(1), np.cumsum(0.5 * (f[1:] + f[:-1]) * np.diff(t))])

    return once(once(value))


def _slope_way(t: Array, distance: Array, problem: Problem) -> Array:
    """The way that the slope alone has moved the car, a slope changing between edges too."""
    grade = problem.grade
    inside = [place for place in grade.from_m[1:] if distance[0] < place < distance[-1]]
    if len(grade.from_m) == 1:
        return np.zeros_like(t)
    at = np.unique(np.concatenate([t, np.interp(inside, distance, t)]))
    middle = np.interp(0.5 * (at[1:] + at[:-1]), t, distance)
    pull = np.array(grade.acceleration)[np.searchsorted(grade.from_m, middle, side="right") - 1]
    step = np.diff(at)
    speed = np.concatenate([np.zeros(1), np.cumsum(pull * step)])
    way = np.cumsum(speed[:-1] * step + 0.5 * pull * step**2)
    moved: Array = np.interp(t, at, np.concatenate([np.zeros(1), way]))
    return moved


def _jumps(motion: Motion, problem: Problem, start: Law, part: slice, instants: Array) -> Array:
    """Jump of the speed for a unit change of acceleration: -v rho / g, rho what is left after it.

    The lever comes from the smooth acceleration a little later, the coast's from the first guess.
    """
    t = motion.time_s[part]
    v = np.interp(instants, t, motion.speed_m_s[part])
    later = instants + 0.05 * (t[-1] - t[0])
    a = np.interp(later, t, motion.acceleration_m_s2[part])
    coast = start.acceleration[-1]
    lever = np.array([problem.masses.lever(one, coast) for one in a.tolist()])
    return np.asarray(-v * np.clip(lever, 0.0, 0.6) / GRAVITY_M_S2)


def _select(
    columns: _Columns,
    motion: Motion,
    problem: Problem,
    start: Law,
    part: slice,
    instants: Array,
) -> list[Candidate]:
    basis = np.linalg.qr(columns.always)[0]
    data = columns.data - basis @ (basis.T @ columns.data)
    pairs = np.concatenate([columns.kinks, columns.shifts], axis=1)
    pairs -= basis @ (basis.T @ pairs)
    pairs /= np.maximum(np.sqrt(np.einsum("nk,nk->k", pairs, pairs)), 1e-12)
    gram = pairs.T @ pairs
    gram[np.diag_indices_from(gram)] += RIDGE
    pull = pairs.T @ data
    chosen: list[int] = []
    out = []
    for _ in range(min(MOST_KINKS, len(data) // 6)):
        chosen = _exchange(gram, pull, [*chosen, -1])
        if -1 in chosen:
            break
        candidate = _candidate(columns, motion, problem, start, part, instants, sorted(chosen))
        if candidate is not None:
            out.append(candidate)
    return out


def _exchange(gram: Array, pull: Array, chosen: list[int]) -> list[int]:
    """Swap each chosen instant for the best one until no swap helps; -1 is a place still free."""
    for _ in range(10):
        before = list(chosen)
        for i in reversed(range(len(chosen))):
            others = [c for j, c in enumerate(chosen) if j != i and c >= 0]
            chosen[i] = _best(gram, pull, others)
        if chosen == before:
            break
    return chosen


def _best(gram: Array, pull: Array, others: list[int]) -> int:
    """The instant whose kink and shift explain most beside the others'; -1 when none is free."""
    k = len(pull) // 2
    taken = [*others, *(k + i for i in others)]
    free, energy = pull, gram
    if taken:
        mimic = np.linalg.solve(gram[np.ix_(taken, taken)], gram[taken])
        free = pull - mimic.T @ pull[taken]
        energy = gram - gram[:, taken] @ mimic
    i = np.arange(k)
    kink, shift, both = energy[i, i], energy[k + i, k + i], energy[i, k + i]
    found = kink * shift - both**2
    score = shift * free[:k] ** 2 + kink * free[k:] ** 2 - 2.0 * both * free[:k] * free[k:]
    score = np.where(found > RIDGE**2, score / np.maximum(found, RIDGE**2), -1.0)
    for other in others:
        score[max(other - 1, 0) : other + 2] = -1.0  # its shift has taken these places already
    return int(np.argmax(score)) if score.max() > 0.0 else -1


def _candidate(
    columns: _Columns,
    motion: Motion,
    problem: Problem,
    start: Law,
    part: slice,
    instants: Array,
    chosen: list[int],
) -> Candidate | None:
    """The law of a choice. Kinks lie between the grid's instants, so each may shift a little."""
    k = len(chosen)
    full = np.column_stack([columns.always, columns.kinks[:, chosen], columns.shifts[:, chosen]])
    solution, _, _, _ = np.linalg.lstsq(full, columns.data)
    left = columns.data - full @ solution
    changes, shifts = solution[4 : 4 + k], solution[4 + k :]
    acceleration = 2.0 * solution[2] + np.concatenate([np.zeros(1), np.cumsum(changes)])
    step = np.diff(instants).max()
    earlier = np.clip(shifts / np.where(changes == 0.0, 1.0, changes), -step, step)
    t, distance = motion.time_s[part], motion.distance_m[part]
    place = np.interp(instants[chosen] - earlier, t, distance)
    if np.any(np.diff(np.concatenate([np.zeros(1), place])) < 1e-3):
        return None
    law = Law(
        launch_s=start.launch_s,
        launch_speed=start.launch_speed,
        kink_m=tuple(place.tolist()),
        acceleration=tuple(acceleration.tolist()),
        drag_per_m=max(problem.drag_per_m - float(solution[3]), 0.0),
    )
    return Candidate(law, -len(left) * float(np.log(max(left @ left, 1e-12))))
