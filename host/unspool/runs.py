"""Measured runs: edges with their car and track, from the store or from an edge file."""

from __future__ import annotations

from pathlib import Path

from unspool.car import FLAT, Car, OfRun, Track, parse_car, parse_track
from unspool.car.winding import counted_turns
from unspool.errors import InputError
from unspool.language import _
from unspool.reading.edges.edge_file import read_edge_file
from unspool.store.rows import StoredRun, Turns
from unspool.study.measured_run import MeasuredRun
from unspool.turns import TurnsFrom


def stored_run(run: StoredRun, car: Car | None = None, track: Track | None = None) -> MeasuredRun:
    """A run of the store with its own car and track, as they were in that run, or with others.

    Raises InputError if the run was recorded without a car and none is given, or if its winding is
    of other tiers than the car has.
    """
    name = f"run {run.id}"
    car = car or car_of(run)
    counted, turns_from = _wound(run, car, name)
    return MeasuredRun(
        name=name,
        train=run.train,
        car=car,
        track=track or _own_track(run, name),
        counted=counted,
        note=run.builder_note,
        turn=run.turn,
        stored=run.id,
        turns_from=turns_from,
        taped_m=run.taped_m,
        discarded=run.discarded,
    )


def refuse_discarded(run: MeasuredRun) -> None:
    """Raises InputError for a run that somebody discarded: it must not count among others."""
    if run.discarded:
        cure = f"take it back with unspool correct {run.stored} --restore"  # a page says another
        raise InputError(
            _(
                "{run} was discarded, so it counts for nothing; leave it out, or {cure}",
                run=run.name,
                cure=cure,
            )
        )


def car_of(run: StoredRun) -> Car:
    """The run's own car, as it was in that run. Raises InputError if there is none."""
    name = f"run {run.id}"
    if run.car_text is None:
        raise InputError(_("{run} was recorded without a car, so it cannot be read", run=name))
    of_run = OfRun(run.weight_g, run.circumference_mm, run.circumference_sd_mm)
    return parse_car(run.car_text, _("the car of {run}", run=name), of_run)


def edge_file_run(path: Path | str, car: Car, track: Track = FLAT) -> MeasuredRun:
    """A run from an edge file. Raises InputError if the file cannot be used."""
    return MeasuredRun(str(path), read_edge_file(path), car, track)


def _wound(run: StoredRun, car: Car, name: str) -> tuple[tuple[float, ...] | None, TurnsFrom]:
    """Turns on each tier of the car: as said, or else as counted, or else None."""
    if run.said_turns is not None:
        return _said_turns(run.said_turns, car, name), TurnsFrom.SAID
    seen = run.winding
    counted = counted_turns(car, seen.turns, seen.steps) if seen else None
    return counted, TurnsFrom.PLANNED if counted is None else TurnsFrom.COUNTED


def _said_turns(turns: Turns, car: Car, name: str) -> tuple[float, ...]:
    said, tiers = dict(turns), [tier.name for tier in car.drum]
    if set(said) != set(tiers):
        raise InputError(
            _(
                "{run}: its winding is said for the tiers {said}, and {car} has"
                " {tiers}; say the turns on these, too",
                run=name,
                said=", ".join(said),
                car=car.name,
                tiers=", ".join(tiers),
            )
        )
    return tuple(said[tier] for tier in tiers)


def _own_track(run: StoredRun, name: str) -> Track:
    return (
        FLAT
        if run.track_text is None
        else parse_track(run.track_text, _("the track of {run}", run=name))
    )
