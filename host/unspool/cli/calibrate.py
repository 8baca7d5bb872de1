"""`unspool calibrate`: the losses of a car, estimated from its runs."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from unspool.cli.output_files import Force, PageFile, refuse_to_replace, write_new
from unspool.cli.run_selection import CarFiles, RunNames, TrackFiles, find_runs
from unspool.cli.slope import fit_with_floor, write_track
from unspool.cli.sources import AsJson, StoreName, calibrations_of, is_stored, readings_of
from unspool.cli.streams import console, print_json
from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.study.calibration import BreakAway, Calibration, CalibrationRun, SlopeProfile
    from unspool.study.measured_run import MeasuredRun

Slope = Annotated[
    bool, typer.Option("--slope", help="Also estimate the floor's slope along the track.")
]
Back = Annotated[
    list[str] | None,
    typer.Option(metavar="RUN=M", help="With --slope: RUN was launched at M metres and ran back."),
]
TrackOut = Annotated[
    Path | None, typer.Option(help="With --slope: track file to write the floor to.")
]
AskBreakAway = Annotated[
    bool, typer.Option("--break-away", help="Also estimate the resistance at rest.")
]
CalibrationRuns = Annotated[
    str | None,
    typer.Option(
        "--runs",
        metavar="RUN,RUN...",
        help="Calibrate the losses from these runs, instead of taking the car file's.",
    ),
]
RunsCar = Annotated[
    list[Path] | None,
    typer.Option(
        help="With --runs: the car of the edge files, once for all or once for each; without it, "
        "they are runs of the car that is predicted."
    ),
]
RunsTrack = Annotated[
    list[Path] | None,
    typer.Option(help="With --runs: the track of the edge files, as --runs-car."),
]


def calibrate(
    runs: RunNames,
    car: CarFiles = None,
    track: TrackFiles = None,
    slope: Slope = False,
    back: Back = None,
    track_out: TrackOut = None,
    break_away: AskBreakAway = False,
    store: StoreName = None,
    html: PageFile = None,
    force: Force = False,
    as_json: AsJson = False,
) -> None:
    """Estimate a car's losses from its runs, and propose the run that would improve them most."""
    from unspool.study import calibration as study

    if not slope and (back or track_out is not None):
        raise InputError("--back and --track-out need --slope; add it, or leave them out")
    for file in (track_out, html):
        if file is not None:
            refuse_to_replace(file, force=force)
    measured = find_runs(runs, car or [], track or [], store)
    given = _read(measured, store)
    floor = None
    if slope:
        calibration, floor, given = fit_with_floor(given, runs, back or [])
        if track_out is not None:
            write_track(floor, track_out, force)
    else:
        with calibrations_of(measured, store) as kept:
            calibration = kept.calibration(measured, lambda: _fitted(given))
    rest = study.break_away(given, calibration) if break_away else None
    if html is not None:
        from unspool.render.html.calibration import calibration_page

        write_new(html, calibration_page(calibration, floor, rest), force=force)
    if as_json:
        print_json(_answer(calibration, floor, rest))
    else:
        _show(calibration, floor, rest)


def _show(calibration: Calibration, floor: SlopeProfile | None, rest: BreakAway | None) -> None:
    from unspool.render.text.calibration import show_break_away, show_calibration, show_floor

    show_calibration(console(), calibration)
    if rest is not None:
        show_break_away(console(), rest)
    if floor is not None:
        show_floor(console(), floor)


def _answer(
    calibration: Calibration, floor: SlopeProfile | None, rest: BreakAway | None
) -> dict[str, Any]:
    from unspool.render.json.calibration import break_away_json, calibration_json, floor_json

    answer = calibration_json(calibration)
    if rest is not None:
        answer["losses"]["break_away_coefficient"] = break_away_json(rest)
    if floor is not None:
        answer["floor"] = floor_json(floor)
    return answer


def _read(measured: list[MeasuredRun], store: str | None) -> list[CalibrationRun]:
    from unspool.render.text.calibration import watching
    from unspool.study.calibration import CalibrationRun

    given = []
    with watching("reading runs") as progress, readings_of(measured, store) as readings:
        for run in measured:
            given.append(CalibrationRun.of(run, readings.reading(run)))
            progress(len(given), len(measured))
    return given


@dataclass(frozen=True)
class RunFiles:
    """Files of the car and track that are predicted, and of those of edge files among the runs."""

    car: Path
    track: Path | None
    runs_car: list[Path] | None = None
    runs_track: list[Path] | None = None


def calibration_of(runs: str | None, files: RunFiles, store: str | None) -> Calibration | None:
    """The calibration from RUN,RUN..., None without any.

    A stored run has its own car and track. An edge file is of the car that is given for it, or else
    of the one that is predicted.
    """
    if runs is None:
        return None
    names = [name.strip() for name in runs.split(",") if name.strip()]
    if not names:
        raise InputError(f'--runs: found "{runs}", expected runs such as 1,2,3')
    any_file = not all(is_stored(name) for name in names)
    if not any_file and (files.runs_car or files.runs_track):
        raise InputError("stored runs have their own cars and tracks; leave --runs-car out")
    cars = files.runs_car or ([files.car] if any_file else [])
    tracks = files.runs_track or ([files.track] if any_file and files.track else [])
    measured = find_runs(names, cars, tracks, store)
    with calibrations_of(measured, store) as kept:
        return kept.calibration(measured, lambda: _fitted(_read(measured, store)))


def _fitted(given: list[CalibrationRun]) -> Calibration:
    from unspool.render.text.calibration import watching
    from unspool.study import calibration as study

    with watching("fitting runs") as progress:
        return study.calibrate(given, progress)
