"""Which differences are large: those in joules among joules, others beside their own mean."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from unspool.study.compare.types import Comparison, Difference

ENERGY = "J"


def by_size(comparison: Comparison, differences: tuple[Difference, ...]) -> list[Difference]:
    """The differences, the largest first.

    An energy counts as a share of the largest mean energy, anything else as a share of its own
    largest mean. So a joule of ten is as much as a metre of ten.
    """
    return sorted(differences, key=lambda d: _share(comparison, d), reverse=True)


def _share(comparison: Comparison, d: Difference) -> float:
    if d.quantity.unit == ENERGY:
        scale = max(_means(comparison, lambda unit, _key: unit == ENERGY), default=0.0)
    else:
        scale = max(_means(comparison, lambda _unit, key: key == d.quantity.key), default=0.0)
    return abs(d.estimate.value) / scale if scale > 0.0 else 0.0


def _means(comparison: Comparison, wanted: Callable[[str, str], bool]) -> Iterator[float]:
    for group in comparison.groups:
        for s in group.summaries:
            if s.mean is not None and wanted(s.quantity.unit, s.quantity.key):
                yield abs(s.mean.value)
