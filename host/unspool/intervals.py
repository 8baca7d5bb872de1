"""Intervals that hold the truth with a stated probability: quantiles, and multiples of an sd."""

from __future__ import annotations

from scipy.special import stdtrit

# The probability of an interval, except for a study that states another one. Quantiles at its ends.
LEVEL = 0.90
LOW, HIGH = 0.05, 0.95
# Half of a Gaussian's LEVEL interval in sds: the standard normal's quantile at HIGH.
HALF_IN_SDS = 1.6448536269514722


def student_factor(freedom: float, level: float) -> float:
    """Half of an interval in standard errors that were estimated with so many degrees of freedom.

    value ± student_factor x standard error holds the truth with probability level (Student's t).
    """
    return float(stdtrit(min(freedom, 1e9), 0.5 + level / 2.0))
