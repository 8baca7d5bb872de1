"""Measured runs: edges with their car and track, from the store or from an edge file."""

from __future__ import annotations

from pathlib import Path

from unspool.car import FLAT, Car, Track, parse_car, parse_track
from unspool.car.winding import counted_turns
from unspool.errors import InputError
from unspool.reading.edges.edge_file import read_edge_file
from unspool.store.rows import StoredRun
from unspool.study.measured_run import MeasuredRun


def stored_run(run: StoredRun, car: Car | None = None, track: Track | None = None) -> MeasuredRun:
    """A run of the store with its own car and track, or with others.

    Raises InputError if the run was recorded without a car and none is given.
    """
    name = f"run {run.id}"
    car = car or _own_car(run, name)
    seen = run.winding
    return MeasuredRun(
        name=name,
        train=run.train,
        car=car,
        track=track or _own_track(run, name),
        counted=counted_turns(car, seen.turns, seen.steps) if seen else None,
        note=run.builder_note,
        turn=run.turn,
        stored=run.id,
    )


def edge_file_run(path: Path | str, car: Car, track: Track = FLAT) -> MeasuredRun:
    """A run from an edge file. Raises InputError if the file cannot be used."""
    return MeasuredRun(str(path), read_edge_file(path), car, track)


def _own_car(run: StoredRun, name: str) -> Car:
    if run.car_text is None:
        raise InputError(f"{name} was recorded without a car, so it cannot be read")
    return parse_car(run.car_text, f"the car of {name}")


def _own_track(run: StoredRun, name: str) -> Track:
    return FLAT if run.track_text is None else parse_track(run.track_text, f"the track of {name}")
