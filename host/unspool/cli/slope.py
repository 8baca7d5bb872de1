"""`unspool calibrate --slope`: where the runs lie on the floor, and the floor as a track file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from unspool.cli.output_files import write_new
from unspool.cli.streams import tell
from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.study.calibration import CalibrationRun, FloorRun, SlopeProfile


def on_their_floor(
    given: list[CalibrationRun], runs: list[str], back: list[str]
) -> tuple[list[CalibrationRun], SlopeProfile]:
    """The runs on the floor that they tell, and that floor; InputError for a wrong --back."""
    from unspool.render.text.calibration import watching
    from unspool.study.calibration import slope_profile

    laid = _laid(given, runs, back)
    with watching("finding the floor") as progress:
        floor = slope_profile(laid, progress=progress)
    return [replace(one.run, track=floor.track(one)) for one in laid], floor


def _laid(given: list[CalibrationRun], runs: list[str], back: list[str]) -> list[FloorRun]:
    """Where each run lies on the floor: from its beginning, unless --back says otherwise."""
    from unspool.study.calibration import FloorRun

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


def write_track(floor: SlopeProfile, path: Path, force: bool) -> None:
    from unspool.study.calibration.slope_profile import track_toml

    write_new(path, track_toml(floor), force=force)
    tell(f"{path}: the floor in {len(floor.distance_m)} levels")
