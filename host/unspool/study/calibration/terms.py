"""Terms with their intervals, and whether the runs showed them."""

from __future__ import annotations

import numpy as np

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.intervals import HALF_IN_SDS, HIGH, LOW
from unspool.study.calibration.priors import Prior
from unspool.study.calibration.types import (
    CONSTANT,
    DRAG,
    LINEAR,
    ROLLING,
    SHOWN_SHARE,
    TERMS,
    Array,
    Draws,
    Resistance,
    SpeedDrag,
    Term,
)

# A term is known if its interval is at most this share of what was known before the runs, and is
# narrow enough to act on. Half of it must be at most this share of the value, by the runs alone,
# too.
SHARE_OF_PRIOR, SHARE_OF_VALUE = 0.35, 0.3


def terms_of(draws: Draws, prior: Prior, alone: Array) -> tuple[Term, ...]:
    """One term a column of the draws: the draws' centre, and the interval that holds 90 % of them.

    alone (5,) is the standard deviation by which the runs alone leave each term.
    """
    columns, centre = draws.terms.T, draws.centre
    return tuple(
        _term(i, float(centre[i]), columns[i], prior, float(alone[i])) for i in range(len(TERMS))
    )


def resistance_of(draws: Draws, total_kg: float) -> Resistance:
    """Rolling and constant drag together at this mass, which is known though its parts are not."""
    weight = total_kg * STANDARD_GRAVITY
    sums = weight * draws.terms[:, ROLLING] + draws.terms[:, CONSTANT]
    low, value, high = np.quantile(sums, [LOW, 0.5, HIGH]).tolist()
    return Resistance(value, low, high, total_kg, 0.5 * (high - low) < SHARE_OF_VALUE * value)


def speed_drag_of(draws: Draws, air_density: float, fastest_m_s: float) -> SpeedDrag:
    """Linear drag and air drag together, at the speed at which the runs show their sum best."""
    speeds = fastest_m_s * np.linspace(0.2, 1.0, 17)
    squares = 0.5 * air_density * draws.terms[:, DRAG]
    sums = draws.terms[:, LINEAR, None] * speeds + squares[:, None] * speeds**2
    low, value, high = np.quantile(sums, [LOW, 0.5, HIGH], axis=0)
    best = int(np.argmin((high - low) / np.maximum(value, 1e-12)))
    ends = float(value[best]), float(low[best]), float(high[best])
    known = 0.5 * (ends[2] - ends[1]) < SHARE_OF_VALUE * ends[0]
    return SpeedDrag(*ends, float(speeds[best]), known)


def _term(which: int, value: float, values: Array, prior: Prior, alone: float) -> Term:
    low, high = np.quantile(values, [LOW, HIGH]).tolist()
    before_low, before_high = _prior_interval(which, prior)
    floor = float(prior.lower[which])
    # If nothing speaks against the least possible value, the interval begins there.
    if floor < 1e-4 and low - floor < SHOWN_SHARE * (float(np.mean(values)) - floor):
        low, high = floor, float(np.quantile(values, HIGH - LOW))
    half, before = 0.5 * (high - low), 0.5 * (before_high - before_low)
    own = HALF_IN_SDS * alone
    known = half < SHARE_OF_PRIOR * before and max(half, own) < SHARE_OF_VALUE * abs(value)
    if known:
        # What is said to be found by the runs has the interval that the runs alone leave.
        low = min(low, max(value - own, floor))
        high = max(high, min(value + own, float(prior.upper[which])))
    return Term(TERMS[which], min(max(value, low), high), low, high, known)


def _prior_interval(which: int, prior: Prior) -> tuple[float, float]:
    from scipy.stats import truncnorm  # slow to load, and many commands do without it

    mean, sd = float(prior.mean[which]), float(prior.sd[which])
    cut = ((float(prior.lower[which]) - mean) / sd, (float(prior.upper[which]) - mean) / sd)
    low, high = np.asarray(truncnorm.ppf([LOW, HIGH], *cut, loc=mean, scale=sd))
    return float(low), float(high)


def correlation_of(draws: Draws) -> Array:
    """(5, 5) correlations of the terms; 0 with one that does not vary."""
    covariance = np.cov(draws.terms.T)
    sd = np.sqrt(np.maximum(np.diag(covariance), 1e-300))
    correlation = covariance / np.outer(sd, sd)
    np.fill_diagonal(correlation, 1.0)
    return np.asarray(correlation)
