"""What a command works on: a store, and a run with its car and track, from wherever they are."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.car import Car, Track
    from unspool.reading.edges.pulse_train import PulseTrain
    from unspool.reading.events.types import Reading
    from unspool.store import Store, StoredRun, Winding

RunName = Annotated[
    str, typer.Argument(metavar="RUN", help="A run's number in the store, or an edge file.")
]
StoreFile = Annotated[Path | None, typer.Option("--store", help="Another store than your own.")]
CarFile = Annotated[Path | None, typer.Option("--car", help="Car file (TOML).")]
TrackFile = Annotated[Path | None, typer.Option("--track", help="Track file; level without it.")]
AsJson = Annotated[bool, typer.Option("--json", help="One JSON object, for other programs.")]


@dataclass(frozen=True)
class Source:
    """A run's edges with the car and track that it is read with, and the turns seen wound.

    turn: the sitting in which a recorded run was made, and when.
    """

    name: str
    train: PulseTrain
    car: Car
    track: Track
    winding: Winding | None = None
    note: str = ""
    turn: tuple[str, float] | None = None

    @property
    def counted(self) -> tuple[float, ...] | None:
        """Turns on each tier, None where nobody counted."""
        from unspool.car.winding import counted_turns

        wound = self.winding
        return counted_turns(self.car, wound.turns, wound.steps) if wound else None


def old_store(path: Path | None) -> Store:
    """The store for a command that only reads: a path given by hand must be there already."""
    if path is not None and not path.exists():
        raise InputError(f"there is no store at {path}; check --store")
    return new_store(path)


def new_store(path: Path | None) -> Store:
    from unspool.store import Store

    return Store.open(path)


def is_stored(run: str) -> bool:
    """Only digits name a run in the store; a file of such a name is written ./12 instead."""
    return run.isascii() and run.isdigit()


def find_run(run: str, car: Path | None, track: Path | None, store: Path | None) -> Source:
    """RUN with its car and track; files given by hand win over what the store keeps."""
    if not is_stored(run):
        return _filed(run, car, track)
    with old_store(store) as opened:
        return stored_source(opened.run(run), car, track)


def edges_of(run: str, store: Path | None) -> PulseTrain:
    """RUN's edges alone."""
    from unspool.reading.edges.edge_file import read_edge_file

    if not is_stored(run):
        return read_edge_file(run)
    with old_store(store) as opened:
        return opened.run(run).train


def track_of(path: Path | None) -> Track:
    from unspool.car import FLAT, load_track

    return FLAT if path is None else load_track(path)


def _filed(run: str, car: Path | None, track: Path | None) -> Source:
    from unspool.car import load_car
    from unspool.reading.edges.edge_file import read_edge_file

    train = read_edge_file(run)
    if car is None:
        raise InputError(f"an edge file does not say which car ran: give it with --car for {run}")
    return Source(run, train, load_car(car), track_of(track))


def stored_source(kept: StoredRun, car: Path | None = None, track: Path | None = None) -> Source:
    """A stored run with the car and track that it was kept with, or with others."""
    from unspool.car import FLAT, load_car, load_track, parse_car, parse_track

    place = f"run {kept.id}"
    if car is None and kept.car_text is None:
        raise InputError(f"{place} was recorded without a car; give one with --car")
    the_car = load_car(car) if car else parse_car(kept.car_text or "", f"the car of {place}")
    if track is not None:
        the_track = load_track(track)
    elif kept.track_text is not None:
        the_track = parse_track(kept.track_text, f"the track of {place}")
    else:
        the_track = FLAT
    return Source(place, kept.train, the_car, the_track, kept.winding, kept.builder_note, kept.turn)


def read_source(source: Source) -> Reading:
    """The reading of a run, confronted with the turns that were counted where they were."""
    from unspool.reading.events import analyse

    return analyse(source.train, source.car, source.track, source.counted)
