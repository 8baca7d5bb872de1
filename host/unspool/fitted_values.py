"""FittedValues: what a fit has estimated, by name, with the covariance of all of it.

Parameters and quantities derived from them stand side by side. A derived quantity's covariance
follows from its gradient over the parameters (JCGM 102:2011, section 6.2, propagation to first
order).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import sqrt

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class FittedValue:
    """An estimate and its standard deviation, in the unit that its name ends in."""

    value: float
    sd: float


@dataclass(frozen=True)
class FittedValues:
    """value: (k,) in the order of names; covariance: (k, k)."""

    names: tuple[str, ...]
    value: Array
    covariance: Array

    def __getitem__(self, name: str) -> FittedValue:
        """Raises KeyError if nothing of that name was fitted."""
        i = self._index[name]
        return FittedValue(float(self.value[i]), sqrt(max(float(self.covariance[i, i]), 0.0)))

    def __contains__(self, name: str) -> bool:
        return name in self._index

    def covariance_of(self, one: str, other: str) -> float:
        """Raises KeyError if nothing of that name was fitted."""
        return float(self.covariance[self._index[one], self._index[other]])

    def difference(self, one: str, less: str) -> FittedValue:
        """The first less the second, as sure as their covariance makes it."""
        variance = self.covariance_of(one, one) + self.covariance_of(less, less)
        variance -= 2.0 * self.covariance_of(one, less)
        return FittedValue(self[one].value - self[less].value, sqrt(max(variance, 0.0)))

    def with_derived(
        self, names: Sequence[str], value: Sequence[float], gradient: Array
    ) -> FittedValues:
        """These and others that follow from them; gradient: (m, k) of the others over these.

        A gradient too large for a double gives an infinite variance.
        """
        with np.errstate(over="ignore", invalid="ignore"):
            across = gradient @ self.covariance
            covariance = np.block([[self.covariance, across.T], [across, across @ gradient.T]])
        covariance = np.nan_to_num(covariance, nan=np.inf, posinf=np.inf, neginf=-np.inf)
        return FittedValues((*self.names, *names), np.r_[self.value, value], covariance)

    @cached_property
    def _index(self) -> dict[str, int]:
        return {name: i for i, name in enumerate(self.names)}
