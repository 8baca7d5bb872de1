"""Readings, predictions and calibrations for a notebook."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from unspool.car import FLAT, Car, Track
from unspool.notebook_given import (
    CarOrFile,
    EdgesOrFile,
    TrackOrFile,
    car_of,
    edges_of,
    one_each,
    track_of,
)

if TYPE_CHECKING:
    from unspool.model.outcome import Prediction
    from unspool.reading.events.types import Reading
    from unspool.study.calibration import Calibration


def analyse(
    train: EdgesOrFile,
    car: CarOrFile,
    track: TrackOrFile = FLAT,
    turns: tuple[float, ...] | None = None,
) -> Reading:
    """What happened in a run; edges, car and track may be given as the paths of their files.

    turns: wound on each tier, in drum order, where they were counted; the car's own otherwise.
    Raises InputError when a file cannot be used, or turns do not fit the drum.
    """
    from unspool.reading import events

    return events.analyse(edges_of(train), car_of(car), track_of(track), turns)


def predict(
    car: CarOrFile,
    track: TrackOrFile = FLAT,
    calibration: Calibration | Sequence[EdgesOrFile] | None = None,
) -> Prediction:
    """What a car should do as it is wound.

    calibration: whose losses to take, or runs of this car on this track to calibrate from; the car
    file's losses otherwise. Raises InputError if a file cannot be used.
    """
    from unspool import model
    from unspool.study.calibration import predict_with

    the_car, the_track = car_of(car), track_of(track)
    known = calibration_given(calibration, the_car, the_track)
    if known is None:
        return model.predict(the_car, the_track)
    return predict_with(known, the_car, the_track)


def calibrate(
    runs: Sequence[Reading | EdgesOrFile],
    cars: CarOrFile | Sequence[CarOrFile],
    tracks: TrackOrFile | Sequence[TrackOrFile] = FLAT,
) -> Calibration:
    """A car's losses from its runs; each may be a Reading or its edges.

    cars, tracks: one for all runs, or one a run; each car is wound as that run was. Raises
    InputError when a file cannot be used, the numbers differ or no run can be used.
    """
    from unspool.reading.events import Reading
    from unspool.study import calibration

    made = [car_of(one) for one in one_each(cars, len(runs), "cars")]
    floors = [track_of(one) for one in one_each(tracks, len(runs), "tracks")]
    given = []
    for i, (run, car, floor) in enumerate(zip(runs, made, floors, strict=True), 1):
        reading = run if isinstance(run, Reading) else analyse(run, car, floor)
        given.append(calibration.CalibrationRun(reading, car, floor, None, f"run {i}"))
    return calibration.calibrate(given)


def calibration_given(
    given: Calibration | Sequence[EdgesOrFile] | None, car: Car, track: Track
) -> Calibration | None:
    from unspool.study.calibration import Calibration

    if given is None or isinstance(given, Calibration):
        return given
    return calibrate(given, car, track)
