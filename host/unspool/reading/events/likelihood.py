"""The law that makes the edges most likely, and how sure each of its numbers is.

Edge k at boundary b_k of slot j = b_k mod P passes where the law says: the way from the launch is

    p (b_k + s_j) - origin = d(t_k) + noise,   noise sd^2 = place^2 + (v jitter)^2,

p the pitch, s the slot pattern, origin the launch's place on the disc. The law's numbers are found
by damped Gauss-Newton steps (Levenberg 1944, Marquardt 1963). Origin and pattern enter linearly and
each edge has one slot, so that the pattern is projected out of every column at the cost of two sums
(variable projection, Golub & Pereyra 1973). The pattern's weak prior (SLOT_SD) only matters before
each slot was seen twice.

At the maximum the inverse of the Fisher information J' W J is the covariance of the law's numbers
and, through their gradients, of when and where things happened. jitter and place are themselves the
ones that make the residuals most likely."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.reading.edges.noise import EdgeNoise, likeliest_noise
from unspool.reading.edges.slot_pattern import PatternProjection
from unspool.reading.edges.wheel_edges import WheelEdges
from unspool.reading.events.law import Grade, Law, Masses, Trace, follow_law

Array = NDArray[np.float64]

MOST_STEPS = 30
STEP = 1e-6  # of central differences, in s, 1/m, m and m/s^2: each far below what edges can tell
ENOUGH = 0.01  # gain in the sum of squares, in variances, below which a step ends the search
LEAST_STRETCH_M = 1e-5
# Beyond any car that a falling weight drives or a hand pushes.
MOST_DRAG_PER_M, MOST_SPEED_M_S, MOST_ACCELERATION_M_S2 = 2.0, 100.0, 200.0
MOST_ROUNDS = 8
BRAKE = 2  # the place of a brake's speed among the law's numbers, where there is one
SHARPER = 30.0

FIRST_NOISE = EdgeNoise(place=3e-4, jitter_s=100e-6)


@dataclass(frozen=True)
class Problem:
    """What a law is fitted to. drag_per_m and its sd are what is known of b beforehand."""

    edges: WheelEdges
    grade: Grade
    masses: Masses
    drag_per_m: float
    drag_sd: float
    from_rest: bool = True

    def trace(self, law: Law) -> Trace:
        return follow_law(law, self.grade, self.masses)


@dataclass(frozen=True)
class Fit:
    """The most likely law. cost is the weighted sum of squares with the priors' share.

    Outputs are launch time, kink places, kink times, stop time, stop place and the a's, in that
    order; gradients (m, q) of them over the q numbers of the law, covariance (q, q) of these.
    """

    law: Law
    trace: Trace
    noise: EdgeNoise
    residual_m: Array
    weight: Array
    pattern: Array  # in slots
    origin_m: float
    cost: float
    covariance: Array
    gradients: Array
    columns: Array  # (n, q + 1) of the edges, the last one the origin's, pattern projected out
    speed_gradients: Array  # (n, q) of the speeds at the edges over the law's numbers

    @property
    def output_sd(self) -> Array:
        variance = np.einsum("mq,qr,mr->m", self.gradients, self.covariance, self.gradients)
        return np.asarray(np.sqrt(np.maximum(variance, 0.0)))

    @property
    def speed_sd(self) -> Array:
        """(n,) of the speed at each edge."""
        g = self.speed_gradients
        variance = np.einsum("nq,qr,nr->n", g, self.covariance, g)
        return np.asarray(np.sqrt(np.maximum(variance, 0.0)))


def _pack(law: Law, from_rest: bool) -> Array:
    first = law.launch_s if from_rest else law.launch_speed
    brake = [] if law.brake_kink is None else [law.brake_speed]
    return np.array([first, law.drag_per_m, *brake, *law.kink_m, *law.acceleration])


def _unpack(numbers: Array, like: Law, from_rest: bool) -> Law:
    k = len(like.kink_m)
    values = numbers.tolist()
    values[1] = max(values[1], 0.0)
    brake = 0.0 if like.brake_kink is None else values.pop(BRAKE)
    return Law(
        launch_s=values[0] if from_rest else like.launch_s,
        launch_speed=0.0 if from_rest else values[0],
        drag_per_m=values[1],
        kink_m=tuple(values[2 : 2 + k]),
        acceleration=tuple(values[2 + k :]),
        begin_m=like.begin_m,
        brake_kink=like.brake_kink,
        brake_speed=brake,
    )


def possible(law: Law, reach_m: float) -> bool:
    """Whether a law's numbers could be a run's: kinks in order, where edges are, no explosion."""
    kinks = np.array([law.begin_m, *law.kink_m])
    return bool(
        np.all(np.diff(kinks) > LEAST_STRETCH_M)
        and kinks[-1] < law.begin_m + reach_m
        and 0.0 <= law.drag_per_m < MOST_DRAG_PER_M
        and 0.0 <= law.launch_speed < MOST_SPEED_M_S
        and np.all(np.abs(law.acceleration) < MOST_ACCELERATION_M_S2)
        and np.isfinite(law.launch_s)
    )


def _followed(problem: Problem, law: Law) -> Trace | None:
    """The law driven, None where it cannot be the run or stops before its last kink."""
    if not possible(law, problem.edges.reach_m):
        return None
    trace = problem.trace(law)
    return trace if all(np.isfinite(trace.kink_s)) else None


def _outputs(law: Law, trace: Trace) -> Array:
    stop_s, stop_m = trace.stop_s, trace.stop_m
    return np.array([law.launch_s, *law.kink_m, *trace.kink_s, stop_s, stop_m, *law.acceleration])


@dataclass(frozen=True)
class _Point:
    """A law compared with the edges."""

    law: Law
    trace: Trace
    speed: Array
    gap: Array  # way - distance, before origin and pattern
    origin: float
    residual: Array  # after both
    slot_m: Array
    cost: float


def _compare(problem: Problem, law: Law, projection: PatternProjection) -> _Point | None:
    trace = _followed(problem, law)
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
    return _Point(law, trace, speed, gap, origin, residual, slot_m, cost)


def _forward(problem: Problem, point: _Point) -> Array:
    """Derivatives of the distances over the law's numbers, (n, q), good enough to descend by."""
    numbers = _pack(point.law, problem.from_rest)
    here = problem.edges.way_m - point.gap
    columns = np.empty((len(here), len(numbers)))
    for i in range(len(numbers)):
        moved = numbers.copy()
        moved[i] += STEP
        law = _unpack(moved, point.law, problem.from_rest)
        columns[:, i] = (problem.trace(law).at(problem.edges.time_s)[0] - here) / STEP
    return columns


def _central(problem: Problem, point: _Point) -> tuple[Array, Array, Array]:
    """Derivatives of distances (n, q), speeds (n, q) and outputs (m, q) over the law's numbers."""
    numbers = _pack(point.law, problem.from_rest)
    time_s = problem.edges.time_s
    distances, speeds, outputs = [], [], []
    step = STEP
    for i in range(len(numbers)):
        sides = []
        for sign in (1.0, -1.0):
            moved = numbers.copy()
            moved[i] += sign * step
            law = _unpack(moved, point.law, problem.from_rest)
            trace = problem.trace(law)
            sides.append((*trace.at(time_s), _outputs(law, trace)))
        distances.append((sides[0][0] - sides[1][0]) / (2.0 * step))
        speeds.append((sides[0][1] - sides[1][1]) / (2.0 * step))
        with np.errstate(invalid="ignore"):
            outputs.append((sides[0][2] - sides[1][2]) / (2.0 * step))
    columns = (np.column_stack(parts) for parts in (distances, speeds, outputs))
    of_distance, of_speed, of_outputs = columns
    return of_distance, of_speed, np.nan_to_num(of_outputs)


def _descend(problem: Problem, start: _Point, projection: PatternProjection) -> _Point:
    """Damped Gauss-Newton from a sound law to the nearest one that nothing small improves."""
    point, damping, backing = start, 1e-4, 2.0
    for _ in range(MOST_STEPS):
        information, downhill = _slope(problem, point, projection)
        scale = np.maximum(np.diag(information), 1e-12)
        numbers = _pack(point.law, problem.from_rest)
        better = None
        while damping < 1e9:
            step = np.linalg.lstsq(information + damping * np.diag(scale), downhill)[0]
            law = _unpack(numbers + step[:-1], point.law, problem.from_rest)
            better = _compare(problem, law, projection)
            if better is not None and better.cost <= point.cost:
                break
            better, damping, backing = None, damping * backing, backing * 2.0
        if better is None:
            return point
        gain = point.cost - better.cost
        promised = float(step @ (damping * scale * step + downhill))
        # Nielsen 1999: trust grows with how much of the promised gain was kept.
        damping *= max(1.0 / 3.0, 1.0 - (2.0 * gain / max(promised, 1e-30) - 1.0) ** 3)
        damping, backing, point = max(damping, 1e-12), 2.0, better
        if gain < ENOUGH * (1.0 + point.cost / len(projection.weight)):
            return point
    return point


def _slope(problem: Problem, point: _Point, projection: PatternProjection) -> tuple[Array, Array]:
    """Fisher information of the law's numbers and the origin, and the downhill direction."""
    columns = _forward(problem, point)
    full = np.column_stack([columns, np.ones(len(columns))])
    out = np.column_stack([projection.residual(column) for column in full.T])
    weighted = full * projection.weight[:, None]
    information, downhill = weighted.T @ out, weighted.T @ point.residual
    information[1, 1] += problem.drag_sd**-2
    downhill[1] += (problem.drag_per_m - point.law.drag_per_m) / problem.drag_sd**2
    return information, downhill


def fit_law(problem: Problem, start: Law, noise: EdgeNoise | None = None) -> Fit | None:
    """Fit a law from a starting guess; None when the guess cannot be a run.

    The first search takes edges for as badly placed as FIRST_NOISE says, or noise where given: near
    rest an edge is worth so much that only a guess close to the answer can bear it. Then the noise
    is estimated anew, by no more than a factor SHARPER a round, until it stays.
    """
    law, noise = start, noise or FIRST_NOISE
    for _ in range(MOST_ROUNDS):
        trace = _followed(problem, law)
        if trace is None:
            return None
        weight = noise.weight(trace.at(problem.edges.time_s)[1])
        projection = problem.edges.projection(weight)
        first = _compare(problem, law, projection)
        assert first is not None
        point = _descend(problem, first, projection)
        law = point.law
        spent = len(law.kink_m) * 2 + 4 + min(problem.edges.pulses, len(weight) // 2)
        sharper = likeliest_noise(point.residual, point.speed, spent, noise)
        if sharper.place > 0.8 * noise.place and abs(sharper.jitter_s / noise.jitter_s - 1) < 0.1:
            break
        noise = EdgeNoise(
            place=max(sharper.place, noise.place / SHARPER),
            jitter_s=max(sharper.jitter_s, noise.jitter_s / SHARPER),
        )
    return _finish(problem, point, noise, projection)


def _finish(
    problem: Problem, point: _Point, noise: EdgeNoise, projection: PatternProjection
) -> Fit:
    columns, speed_gradients, gradients = _central(problem, point)
    full = np.column_stack([columns, np.ones(len(columns))])
    out = np.column_stack([projection.residual(column) for column in full.T])
    information = (full * projection.weight[:, None]).T @ out
    information[1, 1] += problem.drag_sd**-2
    covariance: Array = np.asarray(
        np.linalg.pinv(information, hermitian=True)[:-1, :-1], dtype=np.float64
    )
    return Fit(
        law=point.law,
        trace=point.trace,
        noise=noise,
        residual_m=point.residual,
        weight=projection.weight,
        pattern=-point.slot_m / problem.edges.pitch_m,
        origin_m=point.origin,
        cost=point.cost,
        covariance=covariance,
        gradients=gradients,
        columns=out,
        speed_gradients=speed_gradients,
    )


def log_likelihood(fit: Fit) -> float:
    """Up to a constant."""
    return float(0.5 * np.log(fit.weight).sum() - 0.5 * fit.cost)
