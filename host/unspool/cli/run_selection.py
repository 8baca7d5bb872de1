"""Commands that take several runs: which car and track belong to which."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.sources import find_run, is_stored, store_of
from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.study.measured_run import MeasuredRun

RunNames = Annotated[
    list[str], typer.Argument(metavar="RUN...", help="Numbers of runs in the store, or edge files.")
]
CarFiles = Annotated[
    list[Path] | None,
    typer.Option("--car", help="Car file: once for all edge files, or once for each, in order."),
]
TrackFiles = Annotated[
    list[Path] | None,
    typer.Option(
        "--track", help="Track file: once for all edge files, or once for each, in order."
    ),
]


def find_runs(
    runs: list[str], cars: list[Path], tracks: list[Path], store: str | None
) -> list[MeasuredRun]:
    """RUN... with their cars and tracks.

    Raises InputError if the files do not match the runs, or one of them was discarded.
    """
    from unspool.runs import refuse_discarded

    files = [run for run in runs if not is_stored(run)]
    car_of = dict(zip(files, _one_each(cars, len(files), "--car"), strict=True))
    track_of = dict(zip(files, _one_each(tracks, len(files), "--track"), strict=True))
    if len(set(runs)) < len(runs):
        twice = next(run for run in runs if runs.count(run) > 1)
        raise InputError(f"{twice} is given twice; each run counts once")
    # Without any edge file, a car that the user gives is for the stored runs.
    every = (_only(cars), _only(tracks)) if not files else (None, None)
    with store_of(runs, store) as opened:
        found = [
            find_run(run, car_of.get(run, every[0]), track_of.get(run, every[1]), opened)
            for run in runs
        ]
    for one in found:
        refuse_discarded(one)
    return found


def _only(paths: list[Path]) -> Path | None:
    if len(paths) > 1:
        raise InputError(
            "stored runs have their own cars and tracks; give one file for all, or none"
        )
    return paths[0] if paths else None


def _one_each(paths: list[Path], count: int, option: str) -> list[Path | None]:
    """A path for each of `count` edge files: the only one, or as many as given."""
    if count == 0:
        return []
    if len(paths) <= 1:
        return [paths[0] if paths else None] * count
    if len(paths) != count:
        raise InputError(
            f"{option} is given {len(paths)} times for {count} edge files; give it once for all, "
            "or once for each, in their order"
        )
    return list(paths)
