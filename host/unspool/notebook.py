"""unspool in a notebook: reading, analysis and prediction as plain functions, results as frames.

`import unspool` gives all of this; nothing heavy is loaded before it is used.
"""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from unspool.car import FLAT, Car, Track, load_car, load_track
from unspool.errors import InputError
from unspool.reading.edges.edge_file import read_edge_file as read_edges
from unspool.reading.edges.edge_file import write_edge_file as write_edges
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.render.figures.energy import energy_figure
from unspool.render.figures.speed import speed_figure
from unspool.render.figures.stretches import stretches_figure
from unspool.render.figures.tornado import tornado_figure
from unspool.render.frames import (
    changes_frame,
    curve_frame,
    differences_frame,
    events_frame,
    frame,
    losses_frame,
    motion_frame,
)
from unspool.study.plan import Owned

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    import pandas as pd

    from unspool.model.outcome import Prediction
    from unspool.reading.events.types import Reading
    from unspool.store import Store
    from unspool.study.calibration import Calibration
    from unspool.study.calibration.coast_laws import CoastJudgement
    from unspool.study.calibration.coasts import Coast
    from unspool.study.calibration.ramp import RampCoefficient
    from unspool.study.compare import Comparison
    from unspool.study.plan import Plan
    from unspool.study.rollout import RollOut

# What may be given for edges, a car and a track: the thing itself, or its file.
EdgesOrFile = PulseTrain | Path | str
CarOrFile = Car | Path | str
TrackOrFile = Track | Path | str

__all__ = [
    "FLAT",
    "Car",
    "Owned",
    "Track",
    "analyse",
    "calibrate",
    "changes_frame",
    "coasts_of",
    "compare",
    "curve_frame",
    "differences_frame",
    "energy_figure",
    "events_frame",
    "judge_coasts",
    "load_car",
    "load_track",
    "losses_frame",
    "motion_frame",
    "open_store",
    "plan",
    "predict",
    "read_edges",
    "roll_out",
    "rolling_from_ramp",
    "runs_frame",
    "speed_figure",
    "stretches_figure",
    "tornado_figure",
    "write_edges",
]


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

    return events.analyse(_edges(train), _car(car), _track(track), turns)


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

    the_car, the_track = _car(car), _track(track)
    known = _calibration(calibration, the_car, the_track)
    if known is None:
        return model.predict(the_car, the_track)
    return predict_with(known, the_car, the_track)


def plan(
    car: CarOrFile,
    track: TrackOrFile = FLAT,
    goal: str = "farthest",
    distance_m: float | None = None,
    calibration: Calibration | Sequence[EdgesOrFile] | None = None,
    limits: Mapping[str, float] | None = None,
    owned: Owned | None = None,
    counts: str = "rest",
    turn_step: float = 0.25,
) -> Plan:
    """The winding to try next: farthest, fastest to distance_m, or to reach it and stop there.

    - calibration: as for `predict`.
    - limits: the least margins by name, such as {"start_margin": 1.5}.
    - owned: other parts that could go on the car, as Owned.measured gives them.
    - counts: the distance that a contest measures, to "rest" or to the "furthest" point.
    - turn_step: turns are multiples of it.

    Raises InputError if
    a file, the goal or a limit cannot be used, or no winding is possible.
    """
    from unspool.study import plan as planning

    the_car, the_track = _car(car), _track(track)
    aims, margins = list(planning.Aim), planning.Limits.__dataclass_fields__
    if goal not in aims:
        raise InputError(f"the goal is {goal!r}; expected one of {', '.join(aims)}")
    if counts not in list(planning.Counts):
        raise InputError(f"counts is {counts!r}; expected one of {', '.join(planning.Counts)}")
    for name in limits or {}:
        if name not in margins:
            raise InputError(f"there is no limit {name!r}; the limits are {', '.join(margins)}")
    return planning.plan(
        the_car,
        the_track,
        planning.Goal(planning.Aim(goal), distance_m, planning.Counts(counts)),
        planning.Limits(**(limits or {})),
        owned,
        _calibration(calibration, the_car, the_track),
        turn_step=turn_step,
    )


def roll_out(
    pushes: Sequence[EdgesOrFile],
    car: CarOrFile,
    length_m: float,
    tape_sd_m: float = 0.003,
) -> RollOut:
    """The rolling circumference from pushes by hand over a taped length, with its interval.

    tape_sd_m: standard deviation of putting the car to a mark, each time. Raises InputError when a
    file cannot be used, a length makes no sense or a push hardly turned the wheel.
    """
    from unspool.study import rollout

    named = [rollout.Push(f"push {i}", _edges(one), length_m) for i, one in enumerate(pushes, 1)]
    return rollout.roll_out(named, _car(car), tape_sd_m)


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

    made = [_car(one) for one in _one_each(cars, len(runs), "cars")]
    floors = [_track(one) for one in _one_each(tracks, len(runs), "tracks")]
    given = []
    for i, (run, car, floor) in enumerate(zip(runs, made, floors, strict=True), 1):
        reading = run if isinstance(run, Reading) else analyse(run, car, floor)
        given.append(calibration.CalibrationRun(reading, car, floor, None, f"run {i}"))
    return calibration.calibrate(given)


def compare(groups: Mapping[str, Sequence[Reading]], car: CarOrFile) -> Comparison:
    """Groups of readings of one car, by name: how well each repeats, and how they differ.

    Raises InputError when none of the runs got under way.
    """
    from unspool.study import compare as comparing

    ran = _car(car)
    runs = [
        comparing.ComparedRun(f"{name}, run {i}", reading, ran, note=name)
        for name, readings in groups.items()
        for i, reading in enumerate(readings, 1)
    ]
    return comparing.compare(runs, "note")


def coasts_of(readings: Sequence[Reading]) -> list[Coast]:
    """The coasts of runs on a level floor, for judge_coasts; those not seen whole are left out."""
    from unspool.study.calibration.run_coasts import coast_of, evened

    coasts = [coast_of(reading) for reading in readings]
    return evened([coast for coast in coasts if coast is not None])


def judge_coasts(coasts: Sequence[Coast | tuple[float, float]]) -> CoastJudgement:
    """Which laws of resistance coasts on a level floor obey: pairs of speed in m/s at the start
    and distance in m, with repeats from the same speed. Raises InputError when they cannot be used.
    """
    from unspool.study.calibration.coast_laws import judge_coasts as judge

    return judge(coasts)


def rolling_from_ramp(rolls: Sequence[tuple[float, float, float]]) -> RampCoefficient:
    """The rolling coefficient from rolls down a ramp: height, along the ramp, on the floor, in m.

    Raises InputError where a measure is impossible or one coefficient cannot hold on both.
    """
    from unspool.study.calibration.ramp import rolling_from_ramp as told

    return told(rolls)


def _edges(train: EdgesOrFile) -> PulseTrain:
    return train if isinstance(train, PulseTrain) else read_edges(train)


def _car(car: CarOrFile) -> Car:
    return car if isinstance(car, Car) else load_car(car)


def _track(track: TrackOrFile) -> Track:
    return track if isinstance(track, Track) else load_track(track)


def _one_each(given: Any, count: int, what: str) -> list[Any]:
    """The only one for all runs, or one a run."""
    each = list(given) if isinstance(given, (list, tuple)) else [given] * count
    if len(each) != count:
        raise InputError(f"{count} runs and {len(each)} {what}; give one for all, or one a run")
    return each


def _calibration(
    given: Calibration | Sequence[EdgesOrFile] | None, car: Car, track: Track
) -> Calibration | None:
    from unspool.study.calibration import Calibration

    if given is None or isinstance(given, Calibration):
        return given
    return calibrate(given, car, track)


def open_store(path: Path | str | None = None) -> Store:
    """The store at `path`, or the user's own; use it in a `with`. Raises StoreError."""
    from unspool.store import Store

    return Store.open(None if path is None else Path(path))


def runs_frame(store: Store) -> pd.DataFrame:
    """One row a run of the store."""
    return frame([asdict(row) for row in store.runs()])
