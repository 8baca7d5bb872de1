"""What one run shows by itself: the forces that fit its edges best, and how surely.

Edge k is boundary b_k of the disc, passing at t_k. With X the model's way from a launch at t_0, s
the slot's own place and d the length of a slot,

    b_k + s_j - X(t_k - t_0; resistance, drag area, efficiency) / d = noise,   j = b_k mod P.

The slots' places and the way rolled before the first edge are linear and drop out by projection
(variable projection); the rest is a least-squares fit. Around its end the edges' likelihood is a
quadratic in the forces. So an information matrix and a score hold all that a run says (Fisher's
sufficient summary). Pooling runs goes on with those alone.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from unspool.car import Car
from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model.params import Params
from unspool.reading.edges.noise import USUAL_JITTER_S, USUAL_PLACE_SLOTS, EdgeNoise
from unspool.reading.edges.slot_pattern import SLOT_SD, PatternProjection
from unspool.reading.edges.wheel_edges import WheelEdges
from unspool.reading.motion import Motion
from unspool.study.calibration.trajectory import DRIVE, FORCES, Force, places
from unspool.study.calibration.types import Array

Mask = NDArray[np.bool_]

# Only the ratio of its two parts matters here: the fit finds the size.
EDGE_NOISE = EdgeNoise(USUAL_PLACE_SLOTS, USUAL_JITTER_S)
FEWEST_EDGES = 12  # three forces, the launch, the origin, and about as many to judge them by
OUTLIER = 6.0  # residuals beyond so many sd do not count
LEAST_SLOTS = 1e-4  # no disc is cut finer than this share of a slot
OPEN_SD = 1.0  # of an efficiency of which nothing is believed
_STEP = 1e-4  # of a force, for derivatives: far above rounding, far below its error
# Keeps a run that cannot show a force from wandering off; the summary is free of it.
_STEADY = np.array([2.0, 0.02, 0.15, np.inf])


@dataclass(frozen=True)
class RunFit:
    """A run's summary: near `force` (3,) in N, m2 and 1, minus twice the log-likelihood is

        constant + (f - force) information (f - force) - 2 score (f - force).

    rms_slots: what the edges are off the model by; slower is the factor by which neighbouring
    residuals that go together lessen the information.
    """

    force: Array
    information: Array
    score: Array
    launch_s: float
    rms_slots: float
    slower: float

    @property
    def tells(self) -> bool:
        """Whether the edges say anything of the forces."""
        return bool(np.all(np.isfinite(self.information)) and np.all(np.isfinite(self.score)))

    def without_drive(self) -> RunFit:
        """The summary with the efficiency left open, for a drive that was not the winding's.

        It is integrated out under a prior that is wider than any doubt (OPEN_SD), so that edges
        that say nothing of it leave the other forces alone.
        """
        h, other = self.information, np.arange(FORCES) != DRIVE
        held = h[DRIVE, DRIVE] + OPEN_SD**-2
        share = np.where(other, h[:, DRIVE], 0.0) / held
        information = np.where(np.outer(other, other), h - held * np.outer(share, share), 0.0)
        score = np.where(other, self.score - share * self.score[DRIVE], 0.0)
        return replace(self, information=information, score=score)


@dataclass(frozen=True)
class RunTask:
    """One run's edges on the way out, their speeds (n,), and the car and floor that made them.

    The edges' times count from the launch that the reading found.
    """

    edges: WheelEdges
    speed_m_s: Array
    machine: Params
    air_density: float

    @classmethod
    def of(
        cls, motion: Motion, car: Car, machine: Params, air_density: float, begin_m: float = 0.0
    ) -> RunTask:
        """The edges from begin_m on: from the first one if that is 0."""
        beyond = motion.distance_m[: motion.way_out] >= begin_m
        first = int(np.argmax(beyond)) if begin_m > 0.0 else 0
        out = slice(first, motion.way_out if beyond.any() else first)
        edges = WheelEdges(
            time_s=motion.time_s[out] - motion.launch_s,
            boundary=motion.slot[out],
            pulses=car.encoder.pulses_per_turn,
            pitch_m=car.metres_per_edge,
        )
        return cls(edges, np.abs(motion.speed_m_s[out]), machine, air_density)

    def residuals(self, force: Array, launch_s: float) -> tuple[Array, Array]:
        """Boundaries less the model's way, in slots, and the model's speed in slots/s; (n,)."""
        tried = Force(*force.tolist()).in_machine(self.machine, self.air_density)
        x, v = places(tried, self.edges.time_s - launch_s)
        pitch = self.edges.pitch_m
        return self.edges.boundary - x / pitch, v / pitch

    def weight(self) -> Array:
        """(n,) one over the variance of each edge's place, in slots, before the fit scales it."""
        return EDGE_NOISE.weight(self.speed_m_s / self.edges.pitch_m)

    def projection(self, kept: Mask) -> PatternProjection:
        """Eliminates pattern and origin from columns in slots; edges that are not kept have no
        weight.
        """
        weight = np.where(kept, self.weight(), 0.0)
        return PatternProjection.of(self.edges.slot, self.edges.pulses, weight, SLOT_SD)


def fit_run(task: RunTask, start: Array) -> RunFit:
    """The fit from these forces (3,) on."""
    force, launch = _fit(task, start, 0.0, np.ones(len(task.edges), dtype=bool))
    kept, _ = sound_edges(task, force, launch)
    if not kept.all():
        force, launch = _fit(task, force, launch, kept)
    return summarise(task, force, launch)


def summarise(task: RunTask, force: Array, launch_s: float) -> RunFit:
    """The run's summary around these forces."""
    kept, _ = sound_edges(task, force, launch_s)
    projection = task.projection(kept)
    value, by_force, by_launch = linear(task, force, launch_s)
    projected = projection.whitened(np.column_stack([value, by_force, by_launch]))
    r, jacobian = projected[:, 0], projected[:, 1:]
    count = int(kept.sum())
    free = max(count - FORCES - 1 - min(task.edges.pulses, count // 2), 1)
    least = LEAST_SLOTS * float(np.sqrt(np.median(task.weight())))
    noise = max(float(r @ r) / free, least**2)
    slower = correlation_length(r[: len(kept)][kept])
    normal = jacobian.T @ jacobian / (noise * slower)
    gradient = -jacobian.T @ r / (noise * slower)
    # The launch's time is nobody's loss: it is integrated out. If it moves nothing, the model's
    # car does not even start with these forces, and the edges say nothing of them.
    inner, timed = slice(0, FORCES), float(normal[FORCES, FORCES]) or np.nan
    cross = normal[inner, FORCES] / timed
    return RunFit(
        force=force,
        information=normal[inner, inner] - np.outer(cross, normal[FORCES, inner]),
        score=gradient[inner] - cross * gradient[FORCES],
        launch_s=launch_s + float(gradient[FORCES] / timed),
        rms_slots=float(np.sqrt(np.mean(projection.misplaced(value)[kept] ** 2))),
        slower=slower,
    )


def sound_edges(task: RunTask, force: Array, launch_s: float) -> tuple[Mask, Array]:
    """Which edges (n,) are no outliers under these forces, and the weighted residuals of all."""
    everything = task.projection(np.ones(len(task.edges), dtype=bool))
    misplaced = everything.misplaced(task.residuals(force, launch_s)[0])
    r = np.sqrt(everything.weight) * misplaced
    return np.abs(r) <= OUTLIER * max(_spread(r), 1e-12), r


def _spread(r: Array) -> float:
    """A standard deviation that outliers do not move."""
    return 1.4826 * float(np.median(np.abs(r - np.median(r))))


def linear(task: RunTask, force: Array, launch_s: float) -> tuple[Array, Array, Array]:
    """Residuals (n,), their derivatives by the forces, (n, 3), and by the launch's time, (n,)."""
    value, speed = task.residuals(force, launch_s)
    columns = []
    for i in range(FORCES):
        step = _STEP * max(abs(float(force[i])), 0.002)
        moved = force.copy()
        moved[i] += step
        columns.append((task.residuals(moved, launch_s)[0] - value) / step)
    return value, np.column_stack(columns), speed


def _fit(task: RunTask, start: Array, launch_s: float, kept: Mask) -> tuple[Array, float]:
    scale = np.array([start[0], 0.01, 1.0, 0.1])
    steady = 1.0 / (_STEADY * np.array([1.0, 1.0, 1.0, 1.0]))
    steady[1] *= scale[1]
    z0 = np.r_[start, launch_s] / scale
    projection = task.projection(kept)

    def residual(z: Array) -> Array:
        p = z * scale
        r, _ = task.residuals(p[:FORCES], float(p[FORCES]))
        return np.concatenate([projection.whitened(r[:, None])[:, 0], steady * (z - z0)])

    def slope(z: Array) -> Array:
        p = z * scale
        _, by_force, by_launch = linear(task, p[:FORCES], float(p[FORCES]))
        columns = np.column_stack([by_force, by_launch])
        return np.concatenate([projection.whitened(columns * scale), np.diag(steady)])

    return _solve(residual, slope, z0, scale)


def _solve(
    residual: Callable[[Array], Array], slope: Callable[[Array], Array], z0: Array, scale: Array
) -> tuple[Array, float]:
    bounds = np.array([[0.01, 0.0, 0.05, -50.0], [50.0, 100.0, 1.5, 50.0]])
    answer = least_squares(
        residual, np.clip(z0, *bounds), slope, bounds=tuple(bounds), x_scale="jac", max_nfev=60
    )
    p = answer.x * scale
    return p[:FORCES], float(p[FORCES])


def correlation_length(r: Array) -> float:
    """How many residuals count as one: 1 + 2 x the sum of their correlations, up to where these
    are lost in noise (Geyer's initial sequence, Statistical Science 7 (1992) 473).
    """
    n = len(r)
    if n < 4 or not np.any(r):
        return 1.0
    r = r - r.mean()
    size = 1 << (2 * n - 1).bit_length()
    spectrum = np.fft.rfft(r, size)
    correlation = np.fft.irfft(spectrum * np.conj(spectrum), size)[: n // 2]
    correlation = correlation / correlation[0]
    pairs = correlation[: len(correlation) // 2 * 2].reshape(-1, 2).sum(axis=1)
    negative = np.flatnonzero(pairs <= 0.0)
    end = int(negative[0]) if len(negative) else len(pairs)
    return float(np.clip(2.0 * pairs[:end].sum() - 1.0, 1.0, n / 4.0))


def first_guess(task: RunTask, drag_area_m2: float, efficiency: float) -> Array:
    """Forces (3,) from energy alone: of the coast for the resistance, of the drive for the rest."""
    edges, m = task.edges, task.machine
    peak = int(np.argmax(task.speed_m_s))
    u = float(task.speed_m_s[peak]) ** 2
    way = (edges.boundary - edges.boundary[0]) * edges.pitch_m
    coast = max(float(way[-1] - way[peak]), edges.pitch_m)
    rise = np.interp(way[[0, peak, -1]], m.level_m, m.height_m) * m.total_kg * STANDARD_GRAVITY
    air = 0.25 * task.air_density * drag_area_m2 * u
    resistance = (0.5 * m.coasting_kg * u - (rise[2] - rise[1])) / coast - air
    resistance = float(np.clip(resistance, 0.001 * m.total_kg * STANDARD_GRAVITY, None))
    used = min(m.drop_m, sum(_string(m)))
    given = m.weight_kg * STANDARD_GRAVITY * used
    taken = 0.5 * m.coasting_kg * u + resistance * float(way[peak]) + (rise[1] - rise[0])
    guess = taken / given if given > 0.0 else efficiency
    return np.array([resistance, drag_area_m2, float(np.clip(guess, 0.3, 1.0))])


def _string(m: Params) -> list[float]:
    return [tier.paid_at(tier.end_m) - tier.paid_m for tier in m.tiers]
