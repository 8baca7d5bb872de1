"""`unspool calibrate --slope`: the floor under the runs, and the track file of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from unspool.cli.output_files import write_new
from unspool.cli.streams import to_stderr
from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.study.calibration import Calibration, CalibrationRun, FloorRun, SlopeProfile


def fit_with_floor(
    given: list[CalibrationRun], runs: list[str], back: list[str]
) -> tuple[Calibration, SlopeProfile, list[CalibrationRun]]:
    """The losses, the floor, and the runs on it. InputError for a wrong --back."""
    from unspool.render.text.calibration import watching
    from unspool.study.calibration import calibrate_with_floor

    placed = _placed(given, runs, back)
    with watching("fitting runs and floor") as progress:
        calibration, floor = calibrate_with_floor(placed, progress=progress)
    laid = [replace(one.run, track=floor.track(one)) for one in placed]
    return calibration, floor, laid


def _placed(given: list[CalibrationRun], runs: list[str], back: list[str]) -> list[FloorRun]:
    """Where each run is on the floor: from its start, unless --back says something else."""
    from unspool.study.calibration import FloorRun

    start: dict[str, float] = {}
    for one in back:
        run, _, metres = one.rpartition("=")
        if run not in runs:
            raise InputError(f"--back {one}: {run or one!r} is no RUN of this command")
        try:
            start[run] = float(metres)
        except ValueError:
            start[run] = float("nan")
        if not 0.0 < start[run] < 1e4:
            raise InputError(
                f"--back {one}: found {metres!r}, expected metres from the start, such as 3=18.5"
            )
    return [
        FloorRun(run, start.get(name, 0.0), name in start)
        for run, name in zip(given, runs, strict=True)
    ]


def write_track(floor: SlopeProfile, path: Path, force: bool) -> None:
    """Nothing if the runs do not show that the floor is uneven: the file would invent it."""
    from unspool.render.toml.floor import track_toml

    if not floor.shown:
        to_stderr(f"{path}: not written, as the runs do not show that the floor is uneven")
        return
    write_new(path, track_toml(floor), force=force)
    to_stderr(f"{path}: the floor in {len(floor.distance_m)} levels")
