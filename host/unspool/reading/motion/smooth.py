"""Position as a smooth function of time and the slots' own pattern, estimated together.

Edge k passes at time t_k; the slot it bounds lies at b_k + s_j, in slots, j = b_k mod P. The
wheel's position is a cubic spline X(t), so that

    b_k = X(t_k) - s_j + noise,     noise sd_k^2 = place^2 + (speed_k * jitter)^2,

is linear in the spline's coefficients and in the pattern s, and one least-squares solution gives
both (edges, pattern, noise and prior are those of `unspool.reading.edges`). The pattern repeats
every turn and the speed's own shape does not, so that the one is not mistaken for the other after
two turns. Before that the pattern's prior keeps the even pitch.

Smoothness is a penalty on the third derivative, so that constant acceleration costs nothing (Eilers
& Marx 1996, Statistical Science 11, "P-splines", here with the derivative's own Gram matrix). Its
weight is the one that makes the edges most likely: the marginal likelihood of the equivalent
Gaussian prior (Wahba 1985, Annals of Statistics 13, "generalized maximum likelihood").
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import LinAlgError, cho_factor, cho_solve

from unspool.errors import InputError
from unspool.language import _, later
from unspool.reading.edges.noise import USUAL_JITTER_S, USUAL_PLACE_SLOTS, EdgeNoise
from unspool.reading.edges.slot_pattern import SLOT_SD, PatternProjection

Array = NDArray[np.float64]

FEWEST_EDGES = 6  # fewer have no smooth curve, only differences
MOST_PIECES = 100  # bounds the time, which grows with the cube
EDGES_A_PIECE = 4  # finer than any change; the penalty makes the curve smooth
AROUND = 16  # edges whose residuals are looked at together
# Variance of the third derivative, in (peak acceleration per second)^2 seconds. At 1 the whole
# acceleration changes within about a second.
ROUGHNESS = (0.001, 0.01, 0.1, 1.0, 10.0)
UNEVEN = later(
    "time_s: found times too uneven for a rolling wheel, expected the edges of one run in seconds;"
    " check the file's clock, and cut away what is not the run"
)


@dataclass(frozen=True)
class Smooth:
    """All (n,), in slots and seconds; pattern is (P,), in slots, sum 0."""

    position: Array
    speed: Array
    speed_sd: Array
    acceleration: Array
    acceleration_sd: Array
    pattern: Array
    jitter_s: float | None  # None when there are too few edges for a curve


@dataclass(frozen=True)
class _Basis:
    """The four B-splines that are not zero at each edge, with derivatives, and where they start."""

    first: NDArray[np.intp]  # (n,)
    value: Array  # (n, 4)
    slope: Array
    bend: Array
    gram: Array  # (m, m), of the third derivative

    @classmethod
    def over(cls, t: Array, pieces: int) -> _Basis:
        width = (t[-1] - t[0]) / pieces
        place = np.clip((t - t[0]) / width, 0.0, np.nextafter(pieces, 0.0))
        first = place.astype(np.intp)
        u = (place - first)[:, None]
        matrix = _uniform_cubic()
        value = u ** np.arange(4) @ matrix
        slope = u ** np.arange(3) @ (matrix[1:] * np.array([[1.0], [2.0], [3.0]])) / width
        bend = u ** np.arange(2) @ (matrix[2:] * np.array([[2.0], [6.0]])) / width**2
        third = np.zeros((pieces, pieces + 3))
        rows = np.arange(pieces)
        for i in range(4):
            third[rows, rows + i] = 6.0 * matrix[3, i] / width**3
        return cls(first, value, slope, bend, width * third.T @ third)


def _uniform_cubic() -> Array:
    """Powers of u (rows) of the four cubic B-splines on a unit interval (columns)."""
    return (
        np.array(
            [
                [1.0, 4.0, 1.0, 0.0],
                [-3.0, 0.0, 3.0, 0.0],
                [3.0, -6.0, 3.0, 0.0],
                [-1.0, 3.0, -3.0, 1.0],
            ]
        )
        / 6.0
    )


@dataclass(frozen=True)
class _Normal:
    """Normal equations of spline (first m unknowns) and pattern (last P); a weight is 1/sd^2."""

    matrix: Array
    right: Array
    total: float  # weighted sum of squares of the data
    prior: float  # precision of the pattern, already in matrix

    @classmethod
    def of(cls, basis: _Basis, edges: PatternProjection, y: Array) -> _Normal:
        m, pulses, w = len(basis.gram), len(edges.total), edges.weight
        size = m + pulses
        matrix = np.zeros((size, size))
        right = np.zeros(size)
        for i in range(4):
            at, value = basis.first + i, w * basis.value[:, i]
            right += np.bincount(at, value * y, size)
            cross = np.bincount(at * pulses + edges.slot, value, m * pulses).reshape(m, pulses)
            matrix[:m, m:] -= cross
            for j in range(i, 4):
                band = np.bincount(basis.first, value * basis.value[:, j], m)[: m - 3]
                matrix[np.arange(m - 3) + i, np.arange(m - 3) + j] += band
        matrix += np.triu(matrix, 1).T
        matrix[m:, m:] += np.diag(edges.total)
        right[m:] -= edges.sums(y)
        return cls(matrix, right, float(w @ (y * y)), edges.prior)


@dataclass(frozen=True)
class _Fit:
    coefficients: Array
    covariance: Array
    scale: float  # variance of the noise over what the weights say
    free: float  # how many numbers the edges really showed


def _fit(normal: _Normal, gram: Array, edges: int) -> _Fit:
    """The penalty under which the edges are most likely, and its solution."""
    m, size = len(gram), len(normal.right)
    best: tuple[float, tuple[Array, bool], Array, float, float] | None = None
    for roughness in ROUGHNESS:
        matrix = normal.matrix.copy()
        matrix[:m, :m] += gram / roughness
        factor = _factor(matrix)
        if factor is None:
            continue
        solution = cho_solve(factor, normal.right, check_finite=False)
        scale = max(normal.total - float(normal.right @ solution), 1e-12) / max(edges - 3, 1)
        unlikely = (
            (edges - 3) * np.log(scale)
            + 2.0 * float(np.log(np.diag(factor[0])).sum())
            + (m - 3) * np.log(roughness)
        )
        if best is None or unlikely < best[0]:
            best = (unlikely, factor, solution, scale, roughness)
    if best is None:
        raise InputError(_(UNEVEN))
    _unlikely, factor, solution, scale, roughness = best
    inverse = cho_solve(factor, np.eye(size), check_finite=False)
    penalised = float(np.einsum("ij,ij->", inverse[:m, :m], gram)) / roughness
    free = size - penalised - normal.prior * float(np.trace(inverse[m:, m:]))
    return _Fit(solution, scale * inverse, scale, free)


def _factor(matrix: Array) -> tuple[Array, bool] | None:
    """None if times over too many powers of ten leave the equations without a solution."""
    try:
        factor: tuple[Array, bool] = cho_factor(matrix, lower=True)
    except (LinAlgError, ValueError):
        return None
    return factor


def smooth(
    t: Array, position: NDArray[np.int64], pulses: int, jitter_s: float = USUAL_JITTER_S
) -> Smooth:
    """Smooth speed and acceleration, and the slot pattern, of edges at boundaries `position`.

    t: (n,) s, not decreasing, from first to last over 0; position: (n,) counted slots, any sign.
    n at least FEWEST_EDGES; jitter_s: sd of the times. Raises InputError if no smooth curve goes
    through such times.
    """
    y = position.astype(float)
    pieces = int(np.clip(len(t) // EDGES_A_PIECE, 1, MOST_PIECES))
    basis = _Basis.over(t, pieces)
    speed = _rough_speed(t, y)
    weight = EdgeNoise(USUAL_PLACE_SLOTS, jitter_s).weight(speed)
    centre = y.mean()  # keeps the sums of squares well conditioned
    edges = PatternProjection.of(np.mod(position, pulses), pulses, weight, SLOT_SD)
    normal = _Normal.of(basis, edges, y - centre)
    third = _third_derivative(t, speed)
    fit = _fit(normal, basis.gram / third, len(t))
    m = len(basis.gram)
    at = basis.first[:, None] + np.arange(4)
    coefficients = fit.coefficients[:m][at]
    blocks = fit.covariance[at[:, :, None], at[:, None, :]]
    pattern = fit.coefficients[m:]
    place = (basis.value * coefficients).sum(axis=1) + centre
    off = y + pattern[edges.slot] - place
    kept = max(1.0 - fit.free / len(t), 0.1)
    doubt = _doubt(off**2 * weight / (fit.scale * kept))
    return Smooth(
        position=place,
        speed=(basis.slope * coefficients).sum(axis=1),
        speed_sd=_sd(basis.slope, blocks) * doubt,
        acceleration=(basis.bend * coefficients).sum(axis=1),
        acceleration_sd=_sd(basis.bend, blocks) * doubt,
        pattern=pattern - pattern.mean(),
        jitter_s=float(np.sqrt((off @ off) / max(float(speed @ speed), 1e-12) / kept)),
    )


def _doubt(square: Array) -> Array:
    """How many times the sd is too small where the residuals nearby say that the curve is stiff.

    square: (n,) squared residuals over their variance. The curve bends less sharply than a change
    of tier.
    """
    around = min(AROUND, len(square))
    near = np.convolve(square, np.ones(around), mode="same")
    counted = np.convolve(np.ones_like(square), np.ones(around), mode="same")
    doubt: Array = np.sqrt(np.maximum(near / counted, 1.0))
    return doubt


def _third_derivative(t: Array, speed: Array) -> float:
    """Unit of ROUGHNESS: the peak acceleration, over a second, squared, over that second."""
    peak = int(np.argmax(np.abs(speed)))
    rise = abs(float(speed[peak])) / max(float(t[peak] - t[0]), float(t[-1] - t[0]) / 20.0)
    return max(rise, 1e-6) ** 2


def _rough_speed(t: Array, y: Array) -> Array:
    reach = min(4, len(t) - 1)
    i = np.arange(len(t))
    low, high = np.maximum(i - reach, 0), np.minimum(i + reach, len(t) - 1)
    speed: Array = (y[high] - y[low]) / np.maximum(t[high] - t[low], 1e-6)
    return speed


def _sd(row: Array, blocks: Array) -> Array:
    sd: Array = np.sqrt(np.maximum(np.einsum("ni,nij,nj->n", row, blocks, row), 0.0))
    return sd
