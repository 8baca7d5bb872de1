"""`unspool calibrate`: what runs tell of a car's losses."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.sources import AsJson, Source, StoreFile, find_run, is_stored
from unspool.cli.streams import console, print_json
from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.losses import CalibrationRun


def calibrate(
    runs: Annotated[
        list[str], typer.Argument(metavar="RUN...", help="Runs' numbers in the store, or files.")
    ],
    car: Annotated[
        list[Path] | None,
        typer.Option("--car", help="Car file: one for all edge files, or one each, in order."),
    ] = None,
    track: Annotated[
        list[Path] | None,
        typer.Option("--track", help="Track file: one for all edge files, or one each, in order."),
    ] = None,
    store: StoreFile = None,
    as_json: AsJson = False,
) -> None:
    """Learn a car's losses from its runs, with intervals, and say which run would tell more."""
    from unspool import losses

    sources = _sources(runs, car or [], track or [], store)
    given = [_calibration_run(source) for source in sources]
    if as_json:
        print_json(losses.calibration_json(losses.calibrate(given)))
        return
    from unspool.cli.losses_page import show_calibration, watching

    with watching() as progress:
        calibration = losses.calibrate(given, progress)
    show_calibration(console(), calibration)


def _sources(
    runs: list[str], cars: list[Path], tracks: list[Path], store: Path | None
) -> list[Source]:
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


def _calibration_run(source: Source) -> CalibrationRun:
    from unspool.car.winding import counted_turns
    from unspool.losses import CalibrationRun

    wound = source.winding
    turns = counted_turns(source.car, wound.turns, wound.steps) if wound else None
    return CalibrationRun(source.train, source.car, source.track, turns, source.name)
