"""unspool in a notebook: reading, analysis and prediction as plain functions, results as frames.

`import unspool` gives all of this; nothing heavy is loaded before it is used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from unspool.car import FLAT, Car, Track, load_car, load_track
from unspool.notebook_given import CarOrFile, EdgesOrFile, car_of, edges_of
from unspool.notebook_plans import plan, sweep
from unspool.notebook_runs import analyse, calibrate, predict
from unspool.notebook_store import correct_run, open_store, read_run, runs_frame, stored_run
from unspool.reading.edges.edge_file import read_edge_file as read_edges
from unspool.reading.edges.edge_file import write_edge_file as write_edges
from unspool.render.figures.energy import energy_figure
from unspool.render.figures.speed import speed_figure
from unspool.render.figures.stretches import stretches_figure
from unspool.render.figures.sweep import limits_figure, sweep_figure
from unspool.render.figures.tornado import tornado_figure
from unspool.render.frames import (
    changes_frame,
    curve_frame,
    differences_frame,
    events_frame,
    losses_frame,
    motion_frame,
    sweep_frame,
)
from unspool.study.plan import Owned

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from unspool.reading.events.types import Reading
    from unspool.study.calibration.coast_laws import CoastJudgement
    from unspool.study.calibration.coasts import Coast
    from unspool.study.calibration.ramp import RampCoefficient
    from unspool.study.compare import Comparison
    from unspool.study.rollout import RollOut

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
    "correct_run",
    "curve_frame",
    "differences_frame",
    "energy_figure",
    "events_frame",
    "judge_coasts",
    "limits_figure",
    "load_car",
    "load_track",
    "losses_frame",
    "motion_frame",
    "open_store",
    "plan",
    "predict",
    "read_edges",
    "read_run",
    "roll_out",
    "rolling_from_ramp",
    "runs_frame",
    "speed_figure",
    "stored_run",
    "stretches_figure",
    "sweep",
    "sweep_figure",
    "sweep_frame",
    "tornado_figure",
    "write_edges",
]


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

    named = [rollout.Push(f"push {i}", edges_of(one), length_m) for i, one in enumerate(pushes, 1)]
    return rollout.roll_out(named, car_of(car), tape_sd_m)


def compare(groups: Mapping[str, Sequence[Reading]], car: CarOrFile) -> Comparison:
    """Groups of readings of one car, by name: how well each repeats, and how they differ.

    Raises InputError when none of the runs got under way.
    """
    from unspool.study import compare as comparing

    ran = car_of(car)
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
