"""Shelf: the store's runs, read once and kept, for pages that ask for the same run again."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from threading import Lock

from unspool.car import FLAT, Car, Track, parse_car, parse_track
from unspool.car.winding import counted_turns
from unspool.errors import InputError, UnspoolError
from unspool.events.types import Reading
from unspool.pulses.train import PulseTrain
from unspool.store import RunRow, Store, StoredRun

# A reading is its edges and a curve, some 200 kB: this many stay well below a laptop's memory.
KEPT = 200

# Edges, car, track, and the turns counted on each tier or None: what a reading is made from.
ReadRun = Callable[[PulseTrain, Car, Track, tuple[float, ...] | None], Reading]


@dataclass(frozen=True)
class Told:
    """A stored run and what it tells."""

    run: StoredRun
    car: Car
    reading: Reading


@dataclass(frozen=True)
class Entry:
    """A run in the list: told is None where it cannot be read, and why says the reason."""

    row: RunRow
    told: Told | None
    why: str = ""


class Shelf:
    """Safe to use from several threads; two that ask for a new run at once both read it."""

    def __init__(self, store: Store, read: ReadRun) -> None:
        self._store, self._read = store, read
        self._kept: OrderedDict[tuple[str, int], Told] = OrderedDict()
        self._lock = Lock()

    def stored(self, run_id: str) -> StoredRun:
        """Raises InputError when the store has no such run, StoreError when it cannot be read."""
        return self._store.run(run_id)

    def tell(self, run: StoredRun) -> Told:
        """Raises UnspoolError when the run cannot be read: it has no car, or hardly an edge."""
        key = (run.id, len(run.train))  # a run that is found again may have grown
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        told = self._told(run)
        with self._lock:
            self._kept[key] = told
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
        return told

    def newest(self, skip: int, count: int) -> tuple[list[Entry], int]:
        """`count` entries after the `skip` newest, newest first, and how many runs there are."""
        rows = sorted(self._store.runs(), key=lambda row: row.started_at, reverse=True)
        return [self._entry(row) for row in rows[skip : skip + count]], len(rows)

    def _entry(self, row: RunRow) -> Entry:
        try:
            return Entry(row, self.tell(self.stored(row.id)))
        except UnspoolError as error:
            return Entry(row, None, str(error))

    def _told(self, run: StoredRun) -> Told:
        if run.car_text is None:
            raise InputError("This run was recorded without a car, so it cannot be read.")
        car = parse_car(run.car_text, f"the car of run {run.id}")
        track = FLAT
        if run.track_text is not None:
            track = parse_track(run.track_text, f"the track of run {run.id}")
        winding = None
        if run.winding:
            winding = counted_turns(car, run.winding.turns, run.winding.steps)
        return Told(run, car, self._read(run.train, car, track, winding))
