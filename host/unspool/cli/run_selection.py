"""Commands that take several runs: which car and track go with which."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from unspool.cli.sources import Source, find_run, is_stored
from unspool.errors import InputError

RunNames = Annotated[
    list[str], typer.Argument(metavar="RUN...", help="Runs' numbers in the store, or files.")
]
CarFiles = Annotated[
    list[Path] | None,
    typer.Option("--car", help="Car file: one for all edge files, or one each, in order."),
]
TrackFiles = Annotated[
    list[Path] | None,
    typer.Option("--track", help="Track file: one for all edge files, or one each, in order."),
]


def find_runs(
    runs: list[str], cars: list[Path], tracks: list[Path], store: Path | None
) -> list[Source]:
    """RUN... with their cars and tracks. Raises InputError when they cannot be told apart."""
    files = [run for run in runs if not is_stored(run)]
    car_of = dict(zip(files, _one_each(cars, len(files), "--car"), strict=True))
    track_of = dict(zip(files, _one_each(tracks, len(files), "--track"), strict=True))
    if len(set(runs)) < len(runs):
        twice = next(run for run in runs if runs.count(run) > 1)
        raise InputError(f"{twice} is given twice; each run counts once")
    # Where no edge file asks for a car, one given by hand is meant for the stored runs.
    every = (_only(cars), _only(tracks)) if not files else (None, None)
    return [
        find_run(run, car_of.get(run, every[0]), track_of.get(run, every[1]), store) for run in runs
    ]


def _only(paths: list[Path]) -> Path | None:
    if len(paths) > 1:
        raise InputError("stored runs know their cars and tracks; give one file for all, or none")
    return paths[0] if paths else None


def _one_each(paths: list[Path], count: int, option: str) -> list[Path | None]:
    """`count` paths: the only one for all, or as many as there are edge files."""
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
