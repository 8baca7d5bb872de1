"""A tone in the acceleration: the tower or the hanging weight swings, and the car with it.

A swinging tower adds a cos(w t + phase) e^(-t/tau) to the acceleration. It does so from the launch
on, or from the end of the drive, when it springs back. A weight that swings on the string adds a
tone that falls in pitch as the string grows, w^2 = g / length. That tone ends with the drive. Each
becomes two columns of distances, integrated twice, and what the law can mimic is taken out. The
gain in the sum of squares is held against noise: (1 - gain)^(nu/2) is the chance that white noise
gains as much at one frequency. (Scargle 1982, Astrophysical Journal 263, in its form for a variance
that is estimated.) That chance is multiplied by the number of tones looked at. Residuals of a law
that is not quite true are not white: so a tone must also stand clear of its neighbours in
frequency. A wheel's own unevenness repeats with its angle, not in time: the slot pattern has it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.reading.edges.wheel_edges import WheelEdges
from unspool.reading.events.law_fit import LawFit
from unspool.reading.events.law_problem import Problem

Array = NDArray[np.float64]

# Slower, the law mimics a tone. Faster, its way a / w^2 is below what edges can resolve.
LOWEST_HZ, HIGHEST_HZ = 0.8, 10.0
LONGEST_S = 20.0  # within which a tone that does not die down keeps its beat
DECAYS_S = (0.7, 2.5, float("inf"))  # first guesses only: the fading is fitted
OVERSAMPLED = 3.0  # frequencies looked at, over those that noise can separate
FEWEST_EDGES = 30  # fewer leave little to judge a tone by once the law has its numbers
MOMENT_S = 0.015  # a small part of the fastest tone
FEWEST_CYCLES = 3.0  # a tone of fewer looks like a changepoint
FAMILIES = 7  # each of the decays from the launch and from the drive's end, and the weight's
FEWEST_LOOKED_AT = 8  # frequencies: fewer have no neighbours to stand clear of
# From a weight close under its pulley to one on a long string.
FIRST_STRING_M = np.geomspace(0.02, 1.0, 14)
FEWEST_SWINGS = 2.0  # cycles; fewer than of a tower, for drives are short and swings slow
# A law with a changepoint too few leaves something like a slow swing: that must be beyond doubt.
SWING_GAIN, SWING_FALSE_ALARM = 0.1, 1e-12
STEPS = 301  # over the drive: thirty to a swing of 3 Hz in a drive of three seconds
SLOWEST_FADE, MOST_TRIES = 1e-3, 60  # 1/s, as good as none; evaluations for two numbers
FALSE_ALARM = 1e-5  # for all frequencies of a run together
CLEAR = 12.0  # times the median of its neighbours' gains
NEIGHBOURS = 2.0  # a factor in frequency to either side


@dataclass(frozen=True)
class Tone:
    """A sway from begin to end, in s on the train's clock, with its frequencies there.

    amplitude_m_s2 is that where it begins; false_alarm the chance that noise looks like it.
    """

    begin_s: float
    end_s: float
    hz: tuple[float, float]
    amplitude_m_s2: float
    false_alarm: float

    @property
    def of_weight(self) -> bool:
        """Whether it falls in pitch as the string grows."""
        return self.hz[0] != self.hz[1]


@dataclass(frozen=True)
class Drive:
    """When the drive ended, and how far the weight had fallen (m, n) at times (s, n) until then."""

    begin_s: float
    end_s: float
    fallen_m: Callable[[Array], Array]


@dataclass(frozen=True)
class _Noise:
    """What the law leaves of the edges' places, in moments of MOMENT_S, weighted to unit noise.

    The slot pattern was taken out of law and rest before. A fast tone is no pattern, so that
    nothing is taken out of it: what of it the pattern had is not claimed back. A slow one may be.
    """

    edges: WheelEdges
    weight: Array  # (n,)
    starts: NDArray[np.intp]  # (m,) the first edge of each moment
    time_s: Array  # (m,)
    root: Array  # (m,) of the weights
    law: Array  # (m, q), orthonormal
    left: Array  # (m,)

    @classmethod
    def of(cls, problem: Problem, fit: LawFit, begins_s: list[float]) -> _Noise:
        """begins_s: where a sway may begin, and with it an offset of the speed that lasts."""
        time_s, weight = problem.edges.time_s, fit.weight
        moment = ((time_s - time_s[0]) / MOMENT_S).astype(np.int64)
        starts = np.flatnonzero(np.diff(moment, prepend=-1))
        since = [np.maximum(time_s - begin, 0.0) for begin in begins_s]
        offsets = problem.edges.projection(weight).residuals(np.column_stack(since))
        told = np.column_stack([time_s, fit.residual_m, fit.columns, offsets])
        told = _means(told, weight, starts)
        root = np.sqrt(np.add.reduceat(weight, starts))
        law = np.linalg.qr(root[:, None] * told[:, 2:])[0]
        left = root * told[:, 1]
        left -= law @ (law.T @ left)
        return cls(problem.edges, weight, starts, told[:, 0], root, law, left)

    def thinned(self, tones: NDArray[np.complex128]) -> NDArray[np.complex128]:
        """Tones over the edges (n, k) without the pattern that they may look like, over moments.

        They are weighted by the root.
        """
        parts = np.concatenate([tones.real, tones.imag], axis=1)
        free = self.edges.projection(self.weight).residuals(parts)
        real, imag = np.split(_means(free, self.weight, self.starts), 2, axis=1)
        return np.asarray(self.root[:, None] * (real + 1j * imag))

    def gains(self, tones: NDArray[np.complex128]) -> tuple[Array, Array]:
        """Shares of the sum of squares that tones (m, k) explain, and their amplitudes, (k,).

        The tones are weighted by the root.
        """
        # What is left of a column without the law's share is never formed: only its products are.
        u, v = tones.real.copy("K"), tones.imag.copy("K")
        of_u, of_v = self.law.T @ u, self.law.T @ v
        uu, vv, uv = (
            np.einsum("nk,nk->k", a, b) - np.einsum("qk,qk->k", c, d)
            for a, b, c, d in ((u, u, of_u, of_u), (v, v, of_v, of_v), (u, v, of_u, of_v))
        )
        ur, vr = self.left @ u, self.left @ v
        free = uu * vv - uv**2
        told = free > 1e-6 * uu * vv
        free = np.where(told, free, 1.0)
        p, q = (vv * ur - uv * vr) / free, (uu * vr - uv * ur) / free
        gain = np.where(told, (p * ur + q * vr) / float(self.left @ self.left), 0.0)
        return np.clip(gain, 0.0, 1.0 - 1e-12), np.hypot(p, q)

    def chance(self, gain: float, looked_at: int) -> float:
        """That the best of so many tones gains as much in white noise."""
        moments, numbers = self.law.shape
        return float(looked_at * (1.0 - gain) ** (0.5 * max(moments - numbers - 2, 1)))


def _means(columns: Array, weight: Array, starts: NDArray[np.intp]) -> Array:
    """Weighted means of (n, k) columns from each start to the next."""
    sums = np.add.reduceat(weight[:, None] * columns, starts, axis=0)
    return np.asarray(sums / np.add.reduceat(weight, starts)[:, None])


def find_tone(problem: Problem, fit: LawFit, drive: Drive | None) -> Tone | None:
    """The tone least likely to be noise, or None if noise may do as well."""
    if len(problem.edges.time_s) < FEWEST_EDGES:
        return None
    begins = [fit.law.launch_s] + ([drive.end_s] if drive else [])
    noise = _Noise.of(problem, fit, begins)
    found = [_clearest(noise, begin, decay) for begin in begins for decay in DECAYS_S]
    if drive:
        found.append(_swinging(noise, drive))
    tones = [tone for tone in found if tone is not None]
    return min(tones, key=lambda tone: tone.false_alarm, default=None)


def _clearest(noise: _Noise, begin_s: float, decay_s: float) -> Tone | None:
    length = min(float(noise.time_s[-1]) - begin_s, LONGEST_S)
    if length <= 0.0:
        return None
    heard = min(length, 2.0 * decay_s)
    lowest = max(LOWEST_HZ, FEWEST_CYCLES / heard)
    count = int((HIGHEST_HZ - lowest) * heard * OVERSAMPLED) + 1
    if count < FEWEST_LOOKED_AT:
        return None
    hz = np.linspace(lowest, HIGHEST_HZ, count)
    since = np.maximum(noise.time_s - begin_s, 0.0)
    gain, _ = noise.gains(_towers(noise.root, since, hz, decay_s))
    best = int(np.argmax(gain))
    chance = noise.chance(float(gain[best]), count * FAMILIES)
    clear = gain[best] > CLEAR * _around(hz, gain, best, heard)
    if best == 0 or chance > FALSE_ALARM or not clear:
        return None
    first, fade, amplitude = _refined(noise, since, float(hz[best]), decay_s)
    end = begin_s + min(length, 2.0 / fade)
    return Tone(begin_s, end, (first, first), amplitude, chance)


def _refined(noise: _Noise, since: Array, hz: float, decay_s: float) -> tuple[float, float, float]:
    """Frequency, fading (1/s) and amplitude of the tone nearby that explains most."""

    def tone(numbers: Array) -> NDArray[np.complex128]:
        fade = max(abs(float(numbers[1])), SLOWEST_FADE)
        return noise.root[:, None] * _tower(since, numbers[:1], 1.0 / fade)

    from scipy.optimize import minimize  # slow to load, and few cars sway

    start = np.array([hz, max(1.0 / decay_s, 0.2)])

    def lost(numbers: Array) -> float:
        return -float(noise.gains(tone(numbers))[0][0])

    tries: Any = {"maxfev": MOST_TRIES, "xatol": 1e-3}
    answer = minimize(lost, start, method="Nelder-Mead", options=tries)
    amplitude = float(noise.gains(tone(answer.x))[1][0])
    return float(answer.x[0]), max(abs(float(answer.x[1])), SLOWEST_FADE), amplitude


def _swinging(noise: _Noise, drive: Drive) -> Tone | None:
    """A weight that swings on its string until the drive ends, for strings of several lengths."""
    t = np.linspace(drive.begin_s, drive.end_s, STEPS)
    fallen = drive.fallen_m(t)
    tones, pitches = [], []
    for first_m in FIRST_STRING_M:
        string = first_m + fallen
        turning = np.sqrt(STANDARD_GRAVITY / string)
        phase = _summed(turning, t)
        # What a slowly lengthening pendulum keeps is its energy over its frequency.
        pull = (string / first_m) ** -0.75 * np.exp(1j * phase)
        tones.append(_rolled(pull, t, noise.edges.time_s))
        pitches.append(np.array([turning[0], turning[-1], phase[-1]]) / (2.0 * np.pi))
    gain, amplitude = noise.gains(noise.thinned(np.column_stack(tones)))
    gain = np.where(np.array(pitches)[:, 2] > FEWEST_SWINGS, gain, 0.0)
    best = int(np.argmax(gain))
    chance = noise.chance(float(gain[best]), len(gain) * FAMILIES)
    if chance > SWING_FALSE_ALARM or gain[best] < SWING_GAIN:
        return None
    first, last, _ = pitches[best].tolist()
    return Tone(drive.begin_s, drive.end_s, (first, last), float(amplitude[best]), chance)


def _rolled(pull: NDArray[np.complex128], t: Array, time_s: Array) -> NDArray[np.complex128]:
    """Distances at time_s under an acceleration over t, nothing pulling any more after t."""
    speed = _summed(pull, t)
    way = _summed(speed, t)
    inside = np.clip(time_s, t[0], t[-1])
    late = np.maximum(time_s - t[-1], 0.0)
    return np.asarray(
        np.interp(inside, t, way.real) + 1j * np.interp(inside, t, way.imag) + speed[-1] * late
    )


def _summed(value: NDArray[Any], t: Array) -> NDArray[Any]:
    """(n,) the integral up to each of n evenly spaced t, n odd: parabolas through three each."""
    first, middle, last = value[:-1:2], value[1::2], value[2::2]
    part = np.empty(len(value) - 1, dtype=value.dtype)
    part[::2] = 5.0 * first + 8.0 * middle - last
    part[1::2] = 5.0 * last + 8.0 * middle - first
    step = (t[-1] - t[0]) / (len(t) - 1) / 12.0
    return np.concatenate([np.zeros(1), np.cumsum(part) * step])


def _tower(since: Array, hz: Array, decay_s: float) -> NDArray[np.complex128]:
    """Distances over a unit acceleration e^(s t), except an offset of place and speed; (n, k)."""
    s = 2j * np.pi * hz - 1.0 / decay_s
    return np.asarray(np.exp(since[:, None] * s) / s**2)


def _towers(root: Array, since: Array, hz: Array, decay_s: float) -> NDArray[np.complex128]:
    """The same for many frequencies, evenly spaced: each is the one before, turned by a step.

    Weighted by the root, and each up to a factor of its own, which changes no gain.
    """
    turns = np.empty((len(hz), len(since)), dtype=np.complex128)
    turns[0] = root * np.exp(since * (2j * np.pi * hz[0] - 1.0 / decay_s))
    step = np.exp(since * (2j * np.pi * (hz[1] - hz[0])))
    for before, here in pairwise(turns):
        np.multiply(before, step, out=here)
    return turns.T


def _around(hz: Array, gain: Array, best: int, heard_s: float) -> float:
    """The median gain of the frequencies near the best one, but clear of it."""
    near = (hz > hz[best] / NEIGHBOURS) & (hz < hz[best] * NEIGHBOURS)
    near &= np.abs(hz - hz[best]) > 2.0 / heard_s
    return float(np.median(gain[near])) if np.count_nonzero(near) > 4 else float(np.median(gain))
