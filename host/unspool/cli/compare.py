"""`unspool compare`: whether groups of runs differ, and how many more runs would show it."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.output_files import Force, write_new
from unspool.cli.run_selection import CarFiles, RunNames, TrackFiles, find_runs
from unspool.cli.sources import AsJson, StoreName, readings_of
from unspool.cli.streams import console, print_json, to_stderr

if TYPE_CHECKING:
    from unspool.reading.events.types import Reading
    from unspool.study.compare import ComparedRun, Comparison
    from unspool.study.measured_run import MeasuredRun


class By(StrEnum):
    """What the runs are grouped by."""

    WINDING = "winding"
    WEIGHT = "weight"
    WHEEL = "wheel"
    CAR = "car"
    TRACK = "track"
    NOTE = "note"


def compare(
    runs: RunNames,
    by: Annotated[By, typer.Option(help="What the runs are grouped by.")] = By.WINDING,
    in_turns: Annotated[
        bool,
        typer.Option(
            "--in-turns",
            help="The runs are in the order in which they were made, in turns: compare in pairs.",
        ),
    ] = False,
    csv: Annotated[
        Path | None, typer.Option(help="Table to write, with one row for each run.")
    ] = None,
    force: Force = False,
    car: CarFiles = None,
    track: TrackFiles = None,
    store: StoreName = None,
    as_json: AsJson = False,
) -> None:
    """Compare groups of runs: do they differ, and how many more runs would show it?"""
    from unspool.render.json.comparison import comparison_json
    from unspool.render.text.calibration import watching
    from unspool.render.text.comparison import show_comparison
    from unspool.study import compare as comparing

    measured = find_runs(runs, car or [], track or [], store)
    compared: list[ComparedRun] = []
    with watching("reading runs") as progress, readings_of(measured, store) as readings:
        for i, run in enumerate(measured):
            progress(i, len(measured))
            compared.append(_compared(run, readings.reading(run), i if in_turns else None))
    comparison = comparing.compare(compared, str(by))
    if csv is not None:
        _write_table(csv, comparison, force)
    if as_json:
        print_json(comparison_json(comparison))
    else:
        show_comparison(console(), comparison)


def _compared(run: MeasuredRun, reading: Reading, turn: int | None) -> ComparedRun:
    from unspool.study.compare import ComparedRun

    compared = ComparedRun.of(run, reading)
    return compared if turn is None else replace(compared, turn=("given in turns", float(turn)))


def _write_table(path: Path, comparison: Comparison, force: bool) -> None:
    from unspool.render.tables import comparison_csv

    write_new(path, comparison_csv(comparison), force=force)
    to_stderr(f"{path}: {sum(len(group.runs) for group in comparison.groups)} runs")
