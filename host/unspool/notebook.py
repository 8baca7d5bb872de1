"""unspool in a notebook: reading, analysis and prediction as plain functions, results as frames.

`import unspool` gives all of this; nothing heavy is loaded before it is used.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from unspool.car import FLAT, Car, Track, load_car, load_track
from unspool.errors import InputError
from unspool.reading.edges.edge_file import read_edge_file as read_edges
from unspool.reading.edges.edge_file import write_edge_file as write_edges
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.render import energy_figure, speed_figure, stretches_figure, tornado_figure

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

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

__all__ = [
    "FLAT",
    "Car",
    "Track",
    "analyse",
    "changes_frame",
    "coasts_of",
    "compare_groups",
    "curve_frame",
    "differences_frame",
    "energy_figure",
    "events_frame",
    "judge_coasts",
    "learn_losses",
    "load_car",
    "load_track",
    "losses_frame",
    "motion_frame",
    "open_store",
    "plan_winding",
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
    train: PulseTrain | Path | str,
    car: Car | Path | str,
    track: Track | Path | str = FLAT,
    turns: tuple[float, ...] | None = None,
) -> Reading:
    """What happened in a run; edges, car and track may be given as the paths of their files.

    turns: wound on each tier, in drum order, where they were counted; the car's own otherwise.
    Raises InputError when a file cannot be used, or turns do not fit the drum.
    """
    from unspool.reading.events import read_run

    return read_run(_edges(train), _car(car), _track(track), turns)


def predict(car: Car | Path | str, track: Track | Path | str = FLAT) -> Prediction:
    """What a car should do as it is wound. Raises InputError when a file cannot be used."""
    from unspool import model

    return model.predict(_car(car), _track(track))


def plan_winding(
    car: Car | Path | str,
    track: Track | Path | str = FLAT,
    goal: str = "farthest",
    distance_m: float | None = None,
) -> Plan:
    """The winding to try next: farthest, fastest to distance_m, or to reach it and stop there.

    Raises InputError when a file cannot be used, or no winding fits.
    """
    from unspool.study import plan

    return plan.plan(_car(car), _track(track), plan.Goal(plan.Aim(goal), distance_m))


def roll_out(
    pushes: Sequence[PulseTrain | Path | str],
    car: Car | Path | str,
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


def learn_losses(
    runs: Sequence[PulseTrain | Path | str],
    cars: Sequence[Car | Path | str],
    track: Track | Path | str = FLAT,
) -> Calibration:
    """What runs tell of a car's losses: a car a run, each wound as that run was.

    Raises InputError when a file cannot be used, the two differ in number or no run tells anything.
    """
    from unspool.study.calibration import CalibrationRun, calibrate

    if len(runs) != len(cars):
        raise InputError(f"{len(runs)} runs and {len(cars)} cars; give one car a run")
    floor, given = _track(track), enumerate(zip(runs, cars, strict=True), 1)
    return calibrate(
        [CalibrationRun(_edges(run), _car(car), floor, None, f"run {i}") for i, (run, car) in given]
    )


def compare_groups(groups: Mapping[str, Sequence[Reading]], car: Car | Path | str) -> Comparison:
    """Groups of readings of one car, by name: how well each repeats, and how they differ.

    Raises InputError when none of the runs got under way.
    """
    from unspool.study.compare import ComparedRun, compare_runs

    ran = _car(car)
    runs = [
        ComparedRun(f"{name}, run {i}", reading, ran, note=name)
        for name, readings in groups.items()
        for i, reading in enumerate(readings, 1)
    ]
    return compare_runs(runs, "note")


def coasts_of(readings: Sequence[Reading]) -> list[Coast]:
    """The coasts of runs on a level floor, for judge_coasts; those not seen whole are left out."""
    from unspool.model.outcome import EventKind
    from unspool.study.calibration.run_coasts import coast_of, evened

    found = []
    for reading in readings:
        ends = (EventKind.RELEASE, EventKind.LANDING)
        ended = [event.distance_m for event in reading.events if event.kind in ends]
        coast = coast_of(reading.motion, max(ended)) if ended else None
        found += [coast] if coast else []
    return evened(found)


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


def _edges(train: PulseTrain | Path | str) -> PulseTrain:
    return train if isinstance(train, PulseTrain) else read_edges(train)


def _car(car: Car | Path | str) -> Car:
    return car if isinstance(car, Car) else load_car(car)


def _track(track: Track | Path | str) -> Track:
    return track if isinstance(track, Track) else load_track(track)


def open_store(path: Path | str | None = None) -> Store:
    """The store at `path`, or the user's own; use it in a `with`. Raises StoreError."""
    from pathlib import Path

    from unspool.store import Store

    return Store.open(None if path is None else Path(path))


def motion_frame(reading: Reading) -> pd.DataFrame:
    """One row an edge of the run: time_s, distance_m, speed and acceleration with their sd."""
    motion = reading.motion
    names = ("time_s", "distance_m", "speed_m_s", "speed_sd_m_s")
    return _frame({name: getattr(motion, name) for name in (*names, *_ACCELERATION)})


def curve_frame(prediction: Prediction) -> pd.DataFrame:
    """The predicted run as time_s (0 at the launch), distance_m and speed_m_s."""
    curve = prediction.curve
    names = ("time_s", "distance_m", "speed_m_s")
    return _frame({name: getattr(curve, name) for name in names})


def events_frame(result: Reading | Prediction) -> pd.DataFrame:
    """One row an event, with all that is known of it."""
    return _frame([asdict(event) | {"kind": event.kind.value} for event in result.events])


def losses_frame(calibration: Calibration) -> pd.DataFrame:
    """One row a loss term: value, 90 % interval, and whether the runs told it."""
    return _frame([asdict(term) for term in calibration.terms])


def differences_frame(comparison: Comparison) -> pd.DataFrame:
    """One row a quantity and pair of groups: second less first, with its 95 % interval."""
    return _frame(
        [
            {
                "quantity": one.quantity.key,
                "first": one.first,
                "second": one.second,
                "difference": one.estimate.value,
                "low": one.estimate.interval[0] if one.estimate.interval else None,
                "high": one.estimate.interval[1] if one.estimate.interval else None,
                "verdict": one.verdict.value,
                "more_runs": one.more_runs,
            }
            for one in comparison.differences
        ]
    )


def changes_frame(plan: Plan) -> pd.DataFrame:
    """One row a property of the car: what a tenth less and a tenth more of it do to the goal."""
    return _frame([asdict(change) for change in plan.changes])


def runs_frame(store: Store) -> pd.DataFrame:
    """One row a run of the store."""
    return _frame([asdict(row) for row in store.runs()])


_ACCELERATION = ("acceleration_m_s2", "acceleration_sd_m_s2")


def _frame(data: Any) -> pd.DataFrame:
    import pandas as pd

    return pd.DataFrame(data)
