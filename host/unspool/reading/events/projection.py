"""Taking the slot pattern out of columns over the edges.

Each edge has one slot, so the pattern's columns are indicators, and projecting them out is taking
each slot's weighted mean off, drawn towards 0 as far as the pattern's prior says.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Projection:
    """slot, weight: (n,) of the edges; total: (pulses,) weight on each slot with its prior's."""

    slot: NDArray[np.int64]
    weight: Array
    total: Array

    @classmethod
    def of(cls, slot: NDArray[np.int64], pulses: int, weight: Array, prior_sd: float) -> Projection:
        total = np.bincount(slot, weight, pulses) + prior_sd**-2
        return cls(slot, weight, np.asarray(total, dtype=np.float64))

    def means(self, column: Array) -> Array:
        """(pulses,) what of a column the pattern can mimic."""
        sums = np.bincount(self.slot, self.weight * column, len(self.total))
        return np.asarray(sums / self.total)

    def out(self, column: Array) -> Array:
        """A column less what the pattern can mimic."""
        return np.asarray(column - self.means(column)[self.slot])

    def all_out(self, columns: Array) -> Array:
        """(n, k) columns likewise."""
        order = np.argsort(self.slot, kind="stable")
        used, starts = np.unique(self.slot[order], return_index=True)
        sums = np.add.reduceat((self.weight[:, None] * columns)[order], starts, axis=0)
        means = np.zeros((len(self.total), columns.shape[1]))
        means[used] = sums / self.total[used, None]
        return np.asarray(columns - means[self.slot])
