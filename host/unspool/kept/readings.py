"""Readings: those of stored runs are made once, and kept until what they rest on changes."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

from unspool.kept.codec import plain
from unspool.kept.place import Place

if TYPE_CHECKING:
    from unspool.car import Car, Track
    from unspool.reading.edges.pulse_train import PulseTrain
    from unspool.reading.events.types import Reading
    from unspool.reading.motion.types import Motion
    from unspool.store import Store
    from unspool.study.measured_run import MeasuredRun

    # Makes a reading from edges, car, track, and the turns counted on each tier or None.
    Analyse = Callable[[PulseTrain, Car, Track, tuple[float, ...] | None], Reading]

T = TypeVar("T", "Reading", "Motion")


class Readings:
    """Of measured runs; store: where those of its runs are kept, None to keep none.

    analyse: another way to read runs than unspool's own; then nothing is kept.
    """

    def __init__(self, store: Store | None, analyse: Analyse | None = None) -> None:
        self._store = None if analyse else store
        self._analyse = analyse

    def reading(self, run: MeasuredRun) -> Reading:
        """What happened, with the turns that were counted, if any were. Raises as `analyse`."""
        return self._kept_or_made("reading", run, self._analysed)

    def motion(self, run: MeasuredRun) -> Motion:
        """How the wheel moved, known much sooner than the whole reading. Raises as `follow`."""
        return self._kept_or_made("motion", run, _followed)

    def _kept_or_made(self, kind: str, run: MeasuredRun, make: Callable[[MeasuredRun], T]) -> T:
        if self._store is None or run.stored is None:
            return make(run)
        place = Place(self._store, run.stored, _key(kind, run), {"train": run.train})
        found: T | None = place.find()
        if found is not None:
            return found
        made = make(run)
        place.keep(made)
        return made

    def _analysed(self, run: MeasuredRun) -> Reading:
        analyse = self._analyse or _own_analyse()
        return analyse(run.train, run.car, run.track, run.counted)


def _key(kind: str, run: MeasuredRun) -> str:
    """A digest of everything that the result rests on, apart from the code."""
    return hashlib.sha256(plain((kind, run.train, run.car, run.track, run.counted))).hexdigest()


def _own_analyse() -> Analyse:
    from unspool.reading.events import analyse  # takes long to load, and kept readings need it not

    return analyse


def _followed(run: MeasuredRun) -> Motion:
    from unspool.reading.motion import follow

    return follow(run.train, run.car)
