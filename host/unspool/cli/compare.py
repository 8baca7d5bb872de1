"""`unspool compare`: whether groups of runs differ, and how many more runs would show it."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.output_files import Force, write_new
from unspool.cli.run_selection import CarFiles, RunNames, TrackFiles, find_runs
from unspool.cli.sources import AsJson, Source, StoreFile, read_source
from unspool.cli.streams import console, print_json, tell

if TYPE_CHECKING:
    from unspool.study.compare import ComparedRun, Comparison


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
    by: Annotated[By, typer.Option(help="What the groups are made by.")] = By.WINDING,
    in_turns: Annotated[
        bool,
        typer.Option(
            "--in-turns",
            help="The runs, in this order, were made in turns in one sitting: compare in pairs.",
        ),
    ] = False,
    csv: Annotated[
        Path | None, typer.Option(help="Also write a table, one row a run, to this file.")
    ] = None,
    force: Force = False,
    car: CarFiles = None,
    track: TrackFiles = None,
    store: StoreFile = None,
    as_json: AsJson = False,
) -> None:
    """Compare groups of runs: how each repeats, how they differ, how many more would show it."""
    from unspool.render.text.calibration import watching
    from unspool.render.text.comparison import show_comparison
    from unspool.study import compare as comparing

    sources = find_runs(runs, car or [], track or [], store)
    read: list[ComparedRun] = []
    with watching("reading runs") as progress:
        for i, source in enumerate(sources):
            progress(i, len(sources))
            read.append(_compared(source, i if in_turns else None))
    comparison = comparing.compare(read, str(by))
    if csv is not None:
        _write_table(csv, comparison, force)
    if as_json:
        print_json(comparing.comparison_json(comparison))
    else:
        show_comparison(console(), comparison)


def _compared(source: Source, turn: int | None) -> ComparedRun:
    from unspool.study.compare import ComparedRun

    run = ComparedRun.of(source, read_source(source))
    return run if turn is None else replace(run, turn=("given in turns", float(turn)))


def _write_table(path: Path, comparison: Comparison, force: bool) -> None:
    from unspool.study.compare import comparison_text

    write_new(path, comparison_text(comparison), force=force)
    tell(f"{path}: {sum(len(group.runs) for group in comparison.groups)} runs")
