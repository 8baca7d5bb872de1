"""Shelf: the store's runs, read once and kept, for pages that ask for the same run again."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, replace
from threading import Lock
from typing import Generic, TypeVar

from unspool.car import FLAT, Car, Track, parse_car, parse_track
from unspool.car.winding import counted_turns
from unspool.errors import InputError, UnspoolError
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.events.types import Reading
from unspool.reading.motion import Motion, follow
from unspool.store import RunRow, Store, StoredRun

# What is kept of a run is its edges, estimates and a curve, some 200 kB: this many stay well below
# a laptop's memory.
KEPT = 200

T = TypeVar("T")

# Edges, car, track, and the turns counted on each tier or None: what a reading is made from.
ReadRun = Callable[[PulseTrain, Car, Track, tuple[float, ...] | None], Reading]


@dataclass(frozen=True)
class Subject:
    """A stored run with what ran. wound: the tiers that were wound, with their turns."""

    run: StoredRun
    car: Car
    track: Track
    counted: tuple[float, ...] | None  # turns on each tier, None where the board saw no winding

    @property
    def name(self) -> str:
        return f"run {self.run.id}"

    @property
    def train(self) -> PulseTrain:
        return self.run.train

    @property
    def note(self) -> str:
        return self.run.builder_note

    @property
    def turn(self) -> tuple[str, float] | None:
        return self.run.turn

    @property
    def wound(self) -> tuple[tuple[str, float], ...]:
        turns = self.counted or tuple(tier.turns for tier in self.car.drum)
        return tuple((t.name, n) for t, n in zip(self.car.drum, turns, strict=True) if n > 0.0)


@dataclass(frozen=True)
class Told:
    """A stored run and what it tells."""

    subject: Subject
    reading: Reading


@dataclass(frozen=True)
class Entry:
    """A run in the list. Without subject and motion it could not be read, and why says so."""

    row: RunRow
    subject: Subject | None
    motion: Motion | None
    why: str = ""


class Shelf:
    """Safe to use from several threads; two that ask for a new run at once both read it."""

    def __init__(self, store: Store, read: ReadRun) -> None:
        self._store, self._read = store, read
        self._told: _Kept[Told] = _Kept()
        self._motions: _Kept[Motion] = _Kept()

    def stored(self, run_id: str) -> StoredRun:
        """Raises InputError when the store has no such run, StoreError when it cannot be read."""
        return self._store.run(run_id)

    def subject(self, run: StoredRun) -> Subject:
        """What ran. Raises InputError when that was not recorded."""
        return _subject(run)

    def tell(self, run: StoredRun) -> Told:
        """Raises UnspoolError when the run cannot be read: it has no car, or hardly an edge."""
        told = self._told.have(_key(run), lambda: self._tell(_subject(run)))
        # what was noted since does not change the reading
        return replace(told, subject=replace(told.subject, run=run))

    def reading(self, run_id: str) -> Reading | None:
        """The reading of a run by its id, or None where it cannot be had."""
        try:
            return self.tell(self.stored(run_id)).reading
        except UnspoolError:
            return None

    def motion(self, run: StoredRun) -> Motion:
        """What the wheel did, which is known much sooner than what it means. Raises as `tell`."""
        return self._motions.have(_key(run), lambda: follow(run.train, _subject(run).car))

    def newest(self, skip: int, count: int) -> tuple[list[Entry], int]:
        """`count` entries after the `skip` newest, newest first, and how many runs there are."""
        rows = sorted(self._store.runs(), key=lambda row: row.started_at, reverse=True)
        return [self._entry(row) for row in rows[skip : skip + count]], len(rows)

    def choices(self, count: int) -> list[Entry]:
        """The `count` newest, newest first, without their motion: quick, for lists to choose of."""
        rows = sorted(self._store.runs(), key=lambda row: row.started_at, reverse=True)
        return [self._choice(row) for row in rows[:count]]

    def _choice(self, row: RunRow) -> Entry:
        try:
            return Entry(row, _subject(self.stored(row.id)), None)
        except UnspoolError as error:
            return Entry(row, None, None, str(error))

    def _entry(self, row: RunRow) -> Entry:
        try:
            run = self.stored(row.id)
            return Entry(row, _subject(run), self.motion(run))
        except UnspoolError as error:
            return Entry(row, None, None, str(error))

    def _tell(self, subject: Subject) -> Told:
        train = subject.run.train
        return Told(subject, self._read(train, subject.car, subject.track, subject.counted))


class _Kept(Generic[T]):
    """The last KEPT results that were made, by key."""

    def __init__(self) -> None:
        self._results: OrderedDict[Hashable, T] = OrderedDict()
        self._lock = Lock()

    def have(self, key: Hashable, make: Callable[[], T]) -> T:
        """The result for the key, made outside the lock where it is not there yet."""
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


def _key(run: StoredRun) -> tuple[str, int]:
    """A run that is found again may have grown."""
    return run.id, len(run.train)


def _subject(run: StoredRun) -> Subject:
    if run.car_text is None:
        raise InputError("This run was recorded without a car, so it cannot be read.")
    car = parse_car(run.car_text, f"the car of run {run.id}")
    track = FLAT
    if run.track_text is not None:
        track = parse_track(run.track_text, f"the track of run {run.id}")
    seen = run.winding
    return Subject(run, car, track, counted_turns(car, seen.turns, seen.steps) if seen else None)
