"""Where changepoints may be, for every number of them: a linear stand-in for the law, on a grid.

The smooth motion's v(t) is known well enough to take drags and slope out of the way. What is left,
x + int int (f v + b v^2 - grade) dt dt, is a parabola of time on each stretch. Changepoints at
given instants make it linear in everything else,

    c0 + c1 t + c2 t^2 + c3 int int v^2 + c4 int int v + pattern
       + sum_i change_i (1/2 (t - t_i)+^2 + jump_i (t - t_i)+),

so that the best set of k instants out of a grid is a choice of columns. Each instant has a second
column, what shifting its changepoint a little does, since changepoints lie between the instants.
What is known of the two drags beforehand is two rows more.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.reading.edges.noise import USUAL_JITTER_S, USUAL_PLACE_SLOTS, EdgeNoise
from unspool.reading.edges.slot_pattern import PatternProjection
from unspool.reading.events.best_subset import best_subsets
from unspool.reading.events.law_parameters import DRAG, LINEAR
from unspool.reading.events.law_problem import Problem
from unspool.reading.events.piecewise_law import PiecewiseLaw
from unspool.reading.motion.types import Motion

Array = NDArray[np.float64]

# The grid's instants, and the share of them before the peak speed and a little beyond. A drive of
# two seconds gets one every 20 ms; shifts make up for the rest.
INSTANTS, DRIVEN_SHARE = 140, 0.75
MOST_CHANGEPOINTS = 7  # four tiers with their ends, a slip and a string that held
# Of the peak speed. Near rest the smooth speed is relatively poorest, and an edge is worth most.
NEAR_REST = 0.08
FEWEST_EDGES = 8  # the columns that are always there, and as many edges to judge them by
EDGES_A_CHANGEPOINT = 6  # a stretch of fewer has no parabola with noise to judge it by
LEAST_STRETCH_M = 1e-3  # far below a slot, and above 0, where the law has no stretch
# Of the way out's time: by then the smooth acceleration has left one tier's for the next one's.
LATER_SHARE = 0.05
ALWAYS = 5  # columns: place, speed, acceleration and the two drags
MOST_LEVER = 0.6  # drums are smaller than the wheels that they drive


@dataclass(frozen=True)
class Candidate:
    """A set of changepoints and what it leaves unexplained; laws to start a fit from."""

    law: PiecewiseLaw
    twice_log_likelihood: float


@dataclass(frozen=True)
class _Columns:
    """The stand-in's data and columns, the slot pattern taken out, weighted to unit noise."""

    data: Array  # (n,)
    always: Array  # (n, ALWAYS)
    changepoints: Array  # (n, k)
    shifts: Array  # (n, k), what moving each changepoint by a second earlier does, over its change


@dataclass(frozen=True)
class _Rolling:
    """The part of the way out that is not near rest, and the grid of instants, (k,)."""

    motion: Motion
    problem: Problem
    start: PiecewiseLaw
    part: slice
    instants: Array

    @property
    def time_s(self) -> Array:
        return self.problem.edges.time_s[self.part]

    @property
    def distance_m(self) -> Array:
        return self.motion.distance_m[self.part]

    @property
    def speed(self) -> Array:
        return np.maximum(self.motion.speed_m_s[self.part], 0.0)


def candidates(motion: Motion, problem: Problem, start: PiecewiseLaw) -> list[Candidate]:
    """The best set for each number of changepoints from 1 on; empty when too few edges move."""
    n = len(problem.edges.time_s)
    speed = motion.speed_m_s[:n]
    top = float(speed.max(initial=0.0))
    moving = np.flatnonzero(speed > NEAR_REST * top)
    if len(moving) < FEWEST_EDGES:
        return []
    part = slice(int(moving[0]), int(moving[-1]) + 1)
    instants = _instants(problem.edges.time_s[part], speed[part])
    rolling = _Rolling(motion, problem, start, part, instants)
    return _selected(rolling, _columns(rolling))


def _instants(time_s: Array, speed: Array) -> Array:
    """The grid: dense while the car may be driven, sparse on the coast."""
    peak = time_s[int(np.argmax(speed))]
    first, last = time_s[0], time_s[-1]
    driven_end = min(peak + 0.1 * (peak - first) + 0.2, last)
    dense = round(INSTANTS * DRIVEN_SHARE)
    driven = np.linspace(first, driven_end, dense + 2)[1:-1]
    coasting = np.linspace(driven_end, last, INSTANTS - dense + 2)[1:-1]
    return np.concatenate([driven, coasting])


def _columns(rolling: _Rolling) -> _Columns:
    edges, t, v = rolling.problem.edges, rolling.time_s, rolling.speed
    jitter_s = rolling.motion.jitter_s
    noise = EdgeNoise(
        USUAL_PLACE_SLOTS * edges.pitch_m, USUAL_JITTER_S if jitter_s is None else jitter_s
    )
    weight = noise.weight(v)
    slot = edges.slot[rolling.part]
    projection = PatternProjection.of(slot, edges.pulses, weight, edges.slot_sd * edges.pitch_m)

    def out(matrix: Array) -> Array:
        rows = np.sqrt(weight)[:, None] * projection.residuals(matrix)
        return np.vstack([rows, np.zeros((2, matrix.shape[1]))])

    s, known = t - t[0], rolling.problem.known
    air, linear = _twice_integrated(v * v, t), _twice_integrated(v, t)
    way = edges.way_m[rolling.part]
    expected = known[DRAG].mean * air + known[LINEAR].mean * linear
    data = way - way[0] + expected - _slope_way(rolling)
    since = np.maximum(t[:, None] - rolling.instants, 0.0)
    always = out(np.column_stack([np.ones_like(s), s, s * s, air, linear]))
    always[-2, 3], always[-1, 4] = 1.0 / known[DRAG].sd, 1.0 / known[LINEAR].sd
    return _Columns(
        data=out(data[:, None])[:, 0],
        always=always,
        changepoints=out(0.5 * since**2 + _jumps(rolling) * since),
        shifts=out(since),
    )


def _twice_integrated(value: Array, t: Array) -> Array:
    def once(f: Array) -> Array:
        return np.concatenate([np.zeros(1), np.cumsum(0.5 * (f[1:] + f[:-1]) * np.diff(t))])

    return once(once(value))


def _slope_way(rolling: _Rolling) -> Array:
    """The way that the slope alone has moved the car, a slope changing between edges too."""
    grade, t, distance = rolling.problem.grade, rolling.time_s, rolling.distance_m
    if len(grade.from_m) == 1:
        return np.zeros_like(t)
    inside = [place for place in grade.from_m[1:] if distance[0] < place < distance[-1]]
    at = np.unique(np.concatenate([t, np.interp(inside, distance, t)]))
    middle = np.interp(0.5 * (at[1:] + at[:-1]), t, distance)
    pull = np.array(grade.acceleration)[np.searchsorted(grade.from_m, middle, side="right") - 1]
    step = np.diff(at)
    speed = np.concatenate([np.zeros(1), np.cumsum(pull * step)])
    way = np.cumsum(speed[:-1] * step + 0.5 * pull * step**2)
    moved: Array = np.interp(t, at, np.concatenate([np.zeros(1), way]))
    return moved


def _jumps(rolling: _Rolling) -> Array:
    """Jump of the speed for a unit change of acceleration: -v rho / g, rho what is left after it.

    The lever comes from the smooth acceleration a little later, the coast's from the first guess.
    """
    t, at = rolling.time_s, rolling.instants
    v = np.interp(at, t, rolling.speed)
    later = at + LATER_SHARE * (t[-1] - t[0])
    a = np.interp(later, t, rolling.motion.acceleration_m_s2[rolling.part])
    coast = rolling.start.acceleration[-1]
    lever = np.array([rolling.problem.masses.lever(one, coast) for one in a.tolist()])
    return np.asarray(-v * np.clip(lever, 0.0, MOST_LEVER) / STANDARD_GRAVITY)


def _selected(rolling: _Rolling, columns: _Columns) -> list[Candidate]:
    basis = np.linalg.qr(columns.always)[0]
    data = columns.data - basis @ (basis.T @ columns.data)
    pairs = np.concatenate([columns.changepoints, columns.shifts], axis=1)
    pairs -= basis @ (basis.T @ pairs)
    most = min(MOST_CHANGEPOINTS, len(data) // EDGES_A_CHANGEPOINT)
    subsets = best_subsets(pairs, data, len(rolling.instants), most)
    tried = [_candidate(rolling, columns, chosen) for chosen in subsets]
    return [candidate for candidate in tried if candidate is not None]


def _candidate(rolling: _Rolling, columns: _Columns, chosen: list[int]) -> Candidate | None:
    """The law of a choice; each changepoint may shift by a step of the grid."""
    k, instants, start = len(chosen), rolling.instants, rolling.start
    known = rolling.problem.known
    of_choice = columns.changepoints[:, chosen], columns.shifts[:, chosen]
    full = np.column_stack([columns.always, *of_choice])
    solution, _, _, _ = np.linalg.lstsq(full, columns.data)
    left = columns.data - full @ solution
    changes, shifts = solution[ALWAYS : ALWAYS + k], solution[ALWAYS + k :]
    step = np.diff(instants).max()
    earlier = np.clip(shifts / np.where(changes == 0.0, 1.0, changes), -step, step)
    place = np.interp(instants[chosen] - earlier, rolling.time_s, rolling.distance_m)
    if np.any(np.diff(np.concatenate([[start.begin_m], place])) < LEAST_STRETCH_M):
        return None
    law = PiecewiseLaw(
        launch_s=start.launch_s,
        launch_speed=start.launch_speed,
        changepoint_m=tuple(place.tolist()),
        acceleration=tuple((2.0 * solution[2] + np.cumsum([0.0, *changes])).tolist()),
        drag_per_m=max(known[DRAG].mean - float(solution[3]), 0.0),
        linear_per_s=known[LINEAR].mean - float(solution[4]),
        catch=start.catch,
        begin_m=start.begin_m,
    )
    return Candidate(law, -len(left) * float(np.log(max(left @ left, 1e-12))))
