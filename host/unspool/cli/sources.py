"""What a command works on: a store, and runs with their car and track."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.car import Track
    from unspool.kept import Calibrations, Readings
    from unspool.reading.edges.pulse_train import PulseTrain
    from unspool.store import Place, Store
    from unspool.study.measured_run import MeasuredRun

RunName = Annotated[
    str, typer.Argument(metavar="RUN", help="A run's number in the store, or an edge file.")
]
StoreName = Annotated[
    str | None,
    typer.Option(
        "--store",
        help="Store to use, instead of your own: a file, a database"
        " (`postgresql+psycopg://USER@HOST/NAME`), or `demo` for the demo's.",
    ),
]
DEMO = "demo"  # names the demo's store; a file of that name can be written as ./demo
CarFile = Annotated[Path | None, typer.Option("--car", help="Car file (TOML).")]
TrackFile = Annotated[
    Path | None, typer.Option("--track", help="Track file (TOML). Without it the track is level.")
]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object, for programs.")]


def existing_store(name: str | None) -> Store:
    """The store for a command that only reads. A file that the user gives must exist."""
    where = store_place(name)
    if name is not None and isinstance(where, Path) and not where.exists():
        if name == DEMO:
            raise InputError("the demo has no runs yet; start it with unspool demo")
        raise InputError(f"there is no store at {where}; check --store")
    return open_store(name)


def open_store(name: str | None) -> Store:
    """The store of this name, or the user's own; made if it does not exist."""
    from unspool.store import Store

    return Store.open(store_place(name))


def store_place(name: str | None) -> Place:
    """Where the store is that --store names."""
    from unspool.store import default_path, place_of

    own = default_path()
    if name is None:
        return own
    return own.with_name("demo.sqlite") if name == DEMO else place_of(name)


def is_stored(run: str) -> bool:
    """Digits alone name a run in the store. A file of such a name can be written as ./12."""
    return run.isascii() and run.isdigit()


def find_run(run: str, car: Path | None, track: Path | None, opened: Store | None) -> MeasuredRun:
    """RUN with its car and track. Files that the user gives replace what the store has.

    opened: as `store_of` gives it.
    """
    if opened is None or not is_stored(run):
        return _edge_file_run(run, car, track)
    return _stored_run(opened, run, car, track)


@contextmanager
def store_of(runs: Sequence[str], name: str | None) -> Iterator[Store | None]:
    """The store that RUN... are in, None if all of them are edge files."""
    if not any(map(is_stored, runs)):
        yield None
        return
    with existing_store(name) as opened:
        yield opened


@contextmanager
def readings_of(runs: Sequence[MeasuredRun], name: str | None) -> Iterator[Readings]:
    """What reads these runs; those of the store are kept there."""
    from unspool.kept import Readings

    with store_of([run.stored for run in runs if run.stored], name) as opened:
        yield Readings(opened)


@contextmanager
def calibrations_of(runs: Sequence[MeasuredRun], name: str | None) -> Iterator[Calibrations]:
    """What keeps calibrations of these runs, if they are the store's."""
    from unspool.kept import Calibrations

    with store_of([run.stored for run in runs if run.stored], name) as opened:
        yield Calibrations(opened)


def edges_of(run: str, store: str | None) -> PulseTrain:
    """RUN's edges alone."""
    from unspool.reading.edges.edge_file import read_edge_file

    if not is_stored(run):
        return read_edge_file(run)
    with existing_store(store) as opened:
        return opened.run(run).train


def track_of(path: Path | None) -> Track:
    from unspool.car import FLAT, load_track

    return FLAT if path is None else load_track(path)


def _edge_file_run(run: str, car: Path | None, track: Path | None) -> MeasuredRun:
    from unspool.car import load_car
    from unspool.runs import edge_file_run

    if car is None:
        raise InputError(f"the edge file {run} does not say which car ran; give it with --car")
    return edge_file_run(run, load_car(car), track_of(track))


def _stored_run(store: Store, run: str, car: Path | None, track: Path | None) -> MeasuredRun:
    from unspool.car import load_car, load_track
    from unspool.runs import stored_run

    kept = store.run(run)
    if car is None and kept.car_text is None:
        raise InputError(f"run {run} was recorded without a car; give one with --car")
    return stored_run(kept, load_car(car) if car else None, load_track(track) if track else None)
