"""`unspool calibrate --slope`: the floor under the runs, and the track file of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from unspool.cli.output_files import write_new
from unspool.cli.streams import to_stderr
from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.study.calibration import CalibrationRun, FloorRun, SlopeProfile


def fit_floor(
    given: list[CalibrationRun], runs: list[str], back: list[str]
) -> tuple[list[CalibrationRun], SlopeProfile]:
    """The runs, each on the estimated floor, and that floor. InputError for a wrong --back."""
    from unspool.render.text.calibration import watching
    from unspool.study.calibration import slope_profile

    placed = _placed(given, runs, back)
    with watching("estimating the floor") as progress:
        floor = slope_profile(placed, progress=progress)
    return [replace(one.run, track=floor.track(one)) for one in placed], floor


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
    from unspool.render.toml.floor import track_toml

    write_new(path, track_toml(floor), force=force)
    to_stderr(f"{path}: the floor in {len(floor.distance_m)} levels")
