"""The slot pattern: how far each boundary of the disc is from its even place.

The pattern s is a vector of one number a boundary, in slots. It repeats every turn, and its mean
is 0: what all boundaries have in common is the origin, the place of the launch on the disc. Edges
at counted boundaries b pass at the places

    b + s_j - origin,      j = b mod P,  P boundaries a turn.

Before a run nothing is known of s but its size: each s_j is Gaussian around 0 with the sd SLOT_SD.
The prior matters only before each boundary has been seen about twice.

Pattern and origin enter every model of edges linearly, and each edge has one boundary. So they are
eliminated exactly from residuals and derivatives at the cost of two sums (variable projection:
Golub and Pereyra 1973, SIAM Journal on Numerical Analysis 10). With weights w and the prior's
precision q, the pattern that explains a column c best is

    m_j = sum(w c over the edges of j) / (sum(w over the edges of j) + q),

and c - m_j is what a model without the pattern must explain.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# A slot's place before anything was seen, in slots: a judgement. Slots cut by hand are off by some
# 0.02; a tooth twice as wide as its gap puts every other boundary off by 0.17, within two sds.
SLOT_SD = 0.1


def places(boundary: NDArray[np.int64], pattern: Array) -> Array:
    """(n,) where boundaries are, in slots; pattern: (P,)."""
    return np.asarray(boundary + pattern[np.mod(boundary, len(pattern))])


def pitches(pattern: Array) -> Array:
    """(P,) each slot's share of the even pitch, mean 1."""
    return np.asarray(1.0 + np.roll(pattern, -1) - pattern)


@dataclass(frozen=True)
class PatternProjection:
    """Eliminates the pattern, and the origin with it, from columns over the edges.

    `slot` (n,) is each edge's boundary on the disc. `weight` (n,) is one over the variance of its
    place, 0 for an edge that does not count. `prior` is one over the pattern's prior variance, and
    `total` (P,) the weight on each boundary with the prior's. Columns have the unit in which weight
    and prior were given.
    """

    slot: NDArray[np.int64]
    weight: Array
    total: Array
    prior: float

    @classmethod
    def of(
        cls, slot: NDArray[np.int64], pulses: int, weight: Array, pattern_sd: float
    ) -> PatternProjection:
        prior = pattern_sd**-2
        total = np.bincount(slot, weight, pulses) + prior
        return cls(slot, weight, np.asarray(total, dtype=np.float64), prior)

    def sums(self, column: Array) -> Array:
        """(P,) weighted sums of a column (n,) over each boundary's edges."""
        return np.asarray(np.bincount(self.slot, self.weight * column, len(self.total)))

    def pattern(self, column: Array) -> Array:
        """(P,) the pattern that explains a column (n,) best."""
        return np.asarray(self.sums(column) / self.total)

    def residual(self, column: Array) -> Array:
        """(n,) what of a column the pattern cannot explain."""
        return np.asarray(column - self.pattern(column)[self.slot])

    def residuals(self, columns: Array) -> Array:
        """(n, k) the same of many columns; one sorting serves them all."""
        order, used, starts = self._grouped
        sums = np.add.reduceat((self.weight[:, None] * columns)[order], starts, axis=0)
        pattern = np.zeros((len(self.total), columns.shape[1]))
        pattern[used] = sums / self.total[used, None]
        return np.asarray(columns - pattern[self.slot])

    def origin(self, column: Array) -> float:
        """The origin that, with its best pattern, explains a column (n,) best."""
        return float(self._origin_weight @ column / self._origin_weight.sum())

    def misplaced(self, column: Array) -> Array:
        """(n,) what of a column neither origin nor pattern can explain."""
        return self.residual(column - self.origin(column))

    def whitened(self, columns: Array) -> Array:
        """(n + P, k) rows for least squares: origin and pattern eliminated, of unit variance.

        columns: (n, k). The last P rows are the pattern's, measured by its prior.
        """
        return np.column_stack([self._whitened(column) for column in columns.T])

    def _whitened(self, column: Array) -> Array:
        left = column - self.origin(column)
        pattern = self.pattern(left)
        rest = np.sqrt(self.weight) * (left - pattern[self.slot])
        return np.concatenate([rest, np.sqrt(self.prior) * pattern])

    @cached_property
    def _origin_weight(self) -> Array:
        return self.weight * self.residual(np.ones(len(self.slot)))

    @cached_property
    def _grouped(self) -> tuple[NDArray[np.intp], NDArray[np.int64], NDArray[np.intp]]:
        order = np.argsort(self.slot, kind="stable")
        used, starts = np.unique(self.slot[order], return_index=True)
        return order, used, starts
