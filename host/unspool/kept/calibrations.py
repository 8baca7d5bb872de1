"""Calibrations: one of stored runs is fitted once, and kept until what it rests on changes."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from unspool.kept.codec import plain
from unspool.kept.place import Place

if TYPE_CHECKING:
    from unspool.store import Store
    from unspool.study.calibration import Calibration
    from unspool.study.measured_run import MeasuredRun


class Calibrations:
    """Of measured runs; store: where those of its runs are kept, None to keep none."""

    def __init__(self, store: Store | None) -> None:
        self._store = store

    def calibration(
        self, runs: Sequence[MeasuredRun], make: Callable[[], Calibration]
    ) -> Calibration:
        """The kept one of these runs in this order, or else what `make` returns, or raises."""
        if self._store is None or not runs or any(run.stored is None for run in runs):
            return make()
        place = Place(self._store, str(runs[0].stored), _key(runs), {})
        found: Calibration | None = place.find()
        if found is not None:
            return found
        made = make()
        place.keep(made)
        return made


def _key(runs: Sequence[MeasuredRun]) -> str:
    """A digest of everything that the result rests on, apart from the code."""
    each = tuple(
        (run.name, run.train, run.car, run.track, run.counted, run.turns_from, run.taped_m)
        for run in runs
    )
    return hashlib.sha256(plain(("calibration", each))).hexdigest()
