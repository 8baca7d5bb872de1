"""RunCache: the readings of stored runs, kept for pages that ask for the same run again."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from threading import Lock
from typing import TYPE_CHECKING, Generic, TypeVar

from unspool.app.attempt_names import called
from unspool.errors import StoreWaitError, UnspoolError, own_faults
from unspool.kept.calibrations import Calibrations
from unspool.kept.readings import Readings
from unspool.reading.events.types import Reading
from unspool.reading.motion import Motion
from unspool.runs import stored_run
from unspool.store import RunRow, Store, StoredRun
from unspool.study.measured_run import MeasuredRun

if TYPE_CHECKING:
    from unspool.kept.readings import Analyse
    from unspool.study.calibration import Calibration

# No study takes more runs than query.MOST_RUNS. One's edges, estimates and curve take some 200 kB.
KEPT = 64

T = TypeVar("T")


@dataclass(frozen=True)
class AnalysedRun:
    """A stored run with its reading."""

    stored: StoredRun
    measured: MeasuredRun
    reading: Reading


@dataclass(frozen=True)
class ListedRun:
    """A run in a list. If it cannot be read, measured is None."""

    row: RunRow
    measured: MeasuredRun | None

    @property
    def name(self) -> str:
        return called(self.row.id, self.row.attempt)


class RunCache:
    """Safe to use from several threads. Two that ask for a new run at once both read it.

    analyse: as Readings takes it.
    """

    def __init__(self, store: Store, analyse: Analyse | None = None) -> None:
        self._store, self._readings = store, Readings(store, analyse)
        self._calibrations = Calibrations(None if analyse else store)
        self._analysed: _Cache[AnalysedRun] = _Cache()
        self._motions: _Cache[Motion] = _Cache()

    @property
    def store(self) -> Store:
        return self._store

    def stored(self, run_id: str) -> StoredRun:
        """Raises InputError if the store has no such run, StoreError if it cannot be read."""
        return self._store.run(run_id)

    def measured(self, run_id: str) -> MeasuredRun:
        """The run with its car and track. Raises InputError also if it has no car."""
        return stored_run(self.stored(run_id))

    def analysed(self, run_id: str) -> AnalysedRun:
        """Raises UnspoolError if the run cannot be read: it has no car, or hardly an edge."""
        run = self.stored(run_id)
        kept = self._analysed.get(state_of(run), lambda: self._read(run))
        # What was said since then beside the reading, such as a note, does not change it.
        return replace(kept, stored=run, measured=stored_run(run))

    def calibration(
        self, runs: Sequence[MeasuredRun], make: Callable[[], Calibration]
    ) -> Calibration:
        """The one that the store keeps of these runs, or else what `make` returns, or raises."""
        return self._calibrations.calibration(runs, make)

    def reading(self, run_id: str) -> Reading | None:
        """The reading of a run, None if it cannot be read. Raises StoreWaitError."""
        try:
            return self.analysed(run_id).reading
        except StoreWaitError:
            raise
        except UnspoolError:
            return None

    def motion(self, run: StoredRun) -> Motion:
        """How the wheel moved, known much sooner than the whole reading. Raises as `analysed`."""
        return self._motions.get(state_of(run), lambda: self._follow(run))

    def choices(self, count: int) -> list[ListedRun]:
        """The `count` newest that count, newest first."""
        rows = sorted(self._store.runs(), key=lambda row: row.started_at, reverse=True)
        return [self._listed(row) for row in [row for row in rows if not row.discarded][:count]]

    def name(self, run_id: str) -> str:
        """What a run is called: "Sandpiper, 27 Nov, 3rd". Of a damaged one, only its number."""
        return called(run_id, self._store.attempt(run_id))

    def _listed(self, row: RunRow) -> ListedRun:
        try:
            return ListedRun(row, stored_run(self.stored(row.id)))
        except UnspoolError:
            return ListedRun(row, None)

    def _read(self, run: StoredRun) -> AnalysedRun:
        with own_faults(f"run {run.id}"):
            measured = stored_run(run)
            return AnalysedRun(run, measured, self._readings.reading(measured))

    def _follow(self, run: StoredRun) -> Motion:
        with own_faults(f"run {run.id}"):
            return self._readings.motion(stored_run(run))


class _Cache(Generic[T]):
    """The last KEPT results, by key."""

    def __init__(self) -> None:
        self._results: OrderedDict[Hashable, T] = OrderedDict()
        self._lock = Lock()

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """The result for the key. If it is not kept, it is made, outside the lock."""
        with self._lock:
            if key in self._results:
                self._results.move_to_end(key)
                return self._results[key]
        made = make()
        with self._lock:
            self._results[key] = made
            while len(self._results) > KEPT:
                self._results.popitem(last=False)
        return made


def state_of(run: StoredRun) -> Hashable:
    """What its reading rests on: a run may have grown or been corrected since it was read."""
    recorded = (len(run.train), run.train.lost_before, run.ending, run.winding, run.clock)
    wheel = (run.circumference_mm, run.circumference_sd_mm)
    return run.id, recorded, run.car_text, run.track_text, run.said_turns, run.weight_g, wheel
