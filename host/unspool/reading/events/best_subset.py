"""The best few of many groups of columns for a least-squares fit, by selection with exchange.

Groups are taken one after the other. The next is always the one that explains most of what is left.
After each, the chosen ones are swapped, one at a time, for better ones until no swap helps (Miller
2002, "Subset Selection in Regression"). All of it happens on the columns' Gram matrix, where a
trial costs next to nothing. A group has one column, or two that belong together: a changepoint and
what shifts it.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

RIDGE = 1e-9  # on columns of length 1: keeps look-alikes apart
NO_GROUP = -1  # a place still free: no group has this number
MOST_SWEEPS = 10  # exchanges end after two or three; this ends a cycle between equals


def best_subsets(
    columns: Array, data: Array, groups: int, most: int, apart: int = 1
) -> Iterator[list[int]]:
    """The chosen groups, sorted, for 1, 2, ... up to `most` of them.

    columns: (n, groups) or (n, 2 * groups), the second columns of all groups after the first ones;
    data: (n,). Groups closer than `apart` numbers to a chosen one are not chosen.
    """
    size = np.sqrt(np.einsum("nk,nk->k", columns, columns))
    unit = columns / np.maximum(size, 1e-12)
    gram = unit.T @ unit
    gram[np.diag_indices_from(gram)] += RIDGE
    search = _Search(gram, unit.T @ data, groups, apart)
    chosen: list[int] = []
    for _ in range(most):
        chosen = search.exchanged([*chosen, NO_GROUP])
        if NO_GROUP in chosen:
            return
        yield sorted(chosen)


class _Search:
    def __init__(self, gram: Array, pull: Array, groups: int, apart: int) -> None:
        self.gram, self.pull, self.groups, self.apart = gram, pull, groups, apart
        self.paired = len(pull) == 2 * groups

    def exchanged(self, chosen: list[int]) -> list[int]:
        """Swap each chosen group for the best one until no swap helps; NO_GROUP is still free."""
        for _ in range(MOST_SWEEPS):
            before = list(chosen)
            for i in reversed(range(len(chosen))):
                others = [c for j, c in enumerate(chosen) if j != i and c != NO_GROUP]
                chosen[i] = self._best(others)
            if chosen == before:
                break
        return chosen

    def _best(self, others: list[int]) -> int:
        """The group that explains most beside the others; NO_GROUP when none is free to."""
        free, energy, both = self._beside(others)
        if self.paired:
            score = self._pair_scores(free, energy, both)
        else:
            score = np.where(energy > RIDGE * 10.0, free**2 / np.maximum(energy, RIDGE), -1.0)
        for other in others:
            score[max(other - self.apart, 0) : other + self.apart + 1] = -1.0
        return int(np.argmax(score)) if score.max() > 0.0 else NO_GROUP

    def _beside(self, others: list[int]) -> tuple[Array, Array, Array]:
        """Each column's pull, its energy, and each pair's product, without what others mimic."""
        k, pairs = self.groups, slice(self.groups, None)
        free, energy, both = self.pull, np.diag(self.gram), np.diag(self.gram[:k, pairs])
        taken = [*others, *(k + i for i in others if self.paired)]
        if taken:
            shared = self.gram[taken]
            mimic = np.linalg.solve(shared[:, taken], shared)
            free = free - mimic.T @ self.pull[taken]
            energy = energy - np.einsum("tk,tk->k", shared, mimic)
            if self.paired:
                both = both - np.einsum("tk,tk->k", shared[:, :k], mimic[:, pairs])
        return free, energy, both

    def _pair_scores(self, free: Array, energy: Array, both: Array) -> Array:
        k = self.groups
        one, two = energy[:k], energy[k:]
        found = one * two - both**2
        score = two * free[:k] ** 2 + one * free[k:] ** 2 - 2.0 * both * free[:k] * free[k:]
        return np.where(found > RIDGE**2, score / np.maximum(found, RIDGE**2), -1.0)
