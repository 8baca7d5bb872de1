"""`unspool calibrate`: what runs tell of a car's losses."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.many import CarFiles, RunNames, TrackFiles, find_runs
from unspool.cli.sources import AsJson, Source, StoreFile, is_stored
from unspool.cli.streams import console, print_json, tell
from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.losses import Calibration, CalibrationRun, FloorRun, SlopeProfile

Slope = Annotated[bool, typer.Option("--slope", help="Also find the floor's slope profile.")]
Back = Annotated[
    list[str] | None,
    typer.Option(
        metavar="RUN=M", help="With --slope: this RUN was launched at M metres, the other way."
    ),
]
TrackOut = Annotated[
    Path | None, typer.Option(help="With --slope: write the floor to this track file.")
]
AskBreakAway = Annotated[
    bool, typer.Option("--break-away", help="Also bound the resistance at rest.")
]
LearnRuns = Annotated[
    str | None,
    typer.Option(
        "--runs",
        metavar="RUN,RUN...",
        help="Learn the losses from these runs, instead of from the car file.",
    ),
]
Force = Annotated[bool, typer.Option("--force", help="Replace a file that is there.")]


def calibrate(
    runs: RunNames,
    car: CarFiles = None,
    track: TrackFiles = None,
    slope: Slope = False,
    back: Back = None,
    track_out: TrackOut = None,
    break_away: AskBreakAway = False,
    store: StoreFile = None,
    force: Force = False,
    as_json: AsJson = False,
) -> None:
    """Learn a car's losses from its runs, with intervals, and say which run would tell more."""
    from unspool import losses
    from unspool.cli.losses_page import (
        show_break_away,
        show_calibration,
        show_floor,
        watching,
    )

    if not slope and (back or track_out is not None):
        raise InputError("--back and --track-out go with --slope; add it, or leave them out")
    sources = find_runs(runs, car or [], track or [], store)
    given = [_calibration_run(source) for source in sources]
    floor = None
    if slope:
        with watching("finding the floor") as progress:
            laid = _laid(given, runs, back or [])
            floor = losses.slope_profile(laid, progress=progress)
            given = [replace(one.run, track=floor.track(one)) for one in laid]
        if track_out is not None:
            _write_track(floor, track_out, force)
    with watching("reading runs") as progress:
        calibration = losses.calibrate(given, progress)
    rest = losses.break_away(given, calibration) if break_away else None
    if as_json:
        answer = losses.calibration_json(calibration)
        if rest is not None:
            answer["losses"]["break_away_coefficient"] = losses.break_away_json(rest)
        if floor is not None:
            answer["floor"] = losses.floor_json(floor)
        print_json(answer)
        return
    show_calibration(console(), calibration)
    if rest is not None:
        show_break_away(console(), rest)
    if floor is not None:
        show_floor(console(), floor)


def _laid(given: list[CalibrationRun], runs: list[str], back: list[str]) -> list[FloorRun]:
    """Where each run lies on the floor: from its beginning, unless --back says otherwise."""
    from unspool.losses import FloorRun

    start: dict[str, float] = {}
    for one in back:
        run, _, metres = one.rpartition("=")
        if run not in runs:
            raise InputError(f"--back {one}: no RUN of this command is called {run or one!r}")
        try:
            start[run] = float(metres)
        except ValueError:
            start[run] = float("nan")
        if not 0.0 < start[run] < 1e4:
            raise InputError(
                f"--back {one}: {metres!r} is not where a run back begins; give metres, as 3=18.5"
            )
    return [
        FloorRun(run, start.get(name, 0.0), name in start)
        for run, name in zip(given, runs, strict=True)
    ]


def _write_track(floor: SlopeProfile, path: Path, force: bool) -> None:
    from unspool.cli.files import write_new
    from unspool.losses.floor import track_toml

    write_new(path, track_toml(floor), force=force)
    tell(f"{path}: the floor in {len(floor.distance_m)} levels")


def learn_from(
    runs: str | None, car: Path, track: Path | None, store: Path | None
) -> Calibration | None:
    """What RUN,RUN... tell; an edge file among them is this car's on this track. None without."""
    if runs is None:
        return None
    from unspool.cli.losses_page import watching
    from unspool.losses import calibrate

    names = [name.strip() for name in runs.split(",") if name.strip()]
    if not names:
        raise InputError(f'--runs: found "{runs}", expected runs such as 1,2,3')
    filed = not all(is_stored(name) for name in names)
    tracks = [track] if filed and track else []
    sources = find_runs(names, [car] if filed else [], tracks, store)
    given = [_calibration_run(source) for source in sources]
    with watching("reading runs") as progress:
        return calibrate(given, progress)


def learnt_words(names: tuple[str, ...]) -> str:
    """Whose losses a prediction takes, in a sentence."""
    return f"losses learned from {', '.join(names)}; intervals are those of one more run"


def _calibration_run(source: Source) -> CalibrationRun:
    from unspool.car.winding import counted_turns
    from unspool.losses import CalibrationRun

    wound = source.winding
    turns = counted_turns(source.car, wound.turns, wound.steps) if wound else None
    return CalibrationRun(source.train, source.car, source.track, turns, source.name)
