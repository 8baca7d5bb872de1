"""`unspool calibrate`: what runs tell of a car's losses."""

from __future__ import annotations

from typing import TYPE_CHECKING

from unspool.cli.many import CarFiles, RunNames, TrackFiles, find_runs
from unspool.cli.sources import AsJson, Source, StoreFile
from unspool.cli.streams import console, print_json

if TYPE_CHECKING:
    from unspool.losses import CalibrationRun


def calibrate(
    runs: RunNames,
    car: CarFiles = None,
    track: TrackFiles = None,
    store: StoreFile = None,
    as_json: AsJson = False,
) -> None:
    """Learn a car's losses from its runs, with intervals, and say which run would tell more."""
    from unspool import losses

    sources = find_runs(runs, car or [], track or [], store)
    given = [_calibration_run(source) for source in sources]
    if as_json:
        print_json(losses.calibration_json(losses.calibrate(given)))
        return
    from unspool.cli.losses_page import show_calibration, watching

    with watching() as progress:
        calibration = losses.calibrate(given, progress)
    show_calibration(console(), calibration)


def _calibration_run(source: Source) -> CalibrationRun:
    from unspool.car.winding import counted_turns
    from unspool.losses import CalibrationRun

    wound = source.winding
    turns = counted_turns(source.car, wound.turns, wound.steps) if wound else None
    return CalibrationRun(source.train, source.car, source.track, turns, source.name)
