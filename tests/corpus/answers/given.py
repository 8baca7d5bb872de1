"""From plain data to what unspool takes: cars, tracks, edges, readings, calibrations."""

from __future__ import annotations

from functools import lru_cache

from corpus import asked, edges
from unspool.car import FLAT, Car, Track, parse_car, parse_track
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.events import Reading, analyse
from unspool.study.calibration import Calibration, CalibrationRun, calibrate
from unspool.virtual.demo import scenario
from unspool.virtual.truth import Imperfections, session_train
from unspool.virtual.truth import run as true_run


@lru_cache(maxsize=512)
def car_of(text: str) -> Car:
    named = {asked.SANDPIPER: scenario.sandpiper, asked.DUNLIN: scenario.dunlin}
    return named[text]() if text in named else parse_car(text, "case")


@lru_cache(maxsize=512)
def track_of(text: str) -> Track:
    if text == asked.CORRIDOR:
        return scenario.corridor()
    return parse_track(text, "case") if text else FLAT


@lru_cache(maxsize=64)
def train_of(run: asked.Run) -> PulseTrain:
    if run.edges is not None:
        made = edges.made([t for t, _ in run.edges], [way for _, way in run.edges])
    elif run.pushed:
        made = edges.pushed(car_of(run.car).metres_per_edge, run.pushed)
    else:
        made = _true_edges(run)
    made = edges.changed(made, run.changes)
    return PulseTrain(made.time_s, made.direction, made.number)


def _true_edges(run: asked.Run) -> edges.Edges:
    whole = {"chatter", "handled"}
    spoil = {name: int(value) if name in whole else value for name, value in run.spoil}
    true = true_run(car_of(run.car), track_of(run.track), Imperfections(**spoil), run.seed)
    train = session_train(true) if run.wound else true.train
    return edges.Edges(train.time_s, train.direction, train.number)


@lru_cache(maxsize=64)
def reading_of(run: asked.Run) -> Reading:
    return analyse(train_of(run), car_of(run.said), track_of(run.said_track), run.winding)


def calibration_run(run: asked.Run, name: str) -> CalibrationRun:
    return CalibrationRun(
        reading_of(run), car_of(run.said), track_of(run.said_track), run.winding, name
    )


def calibration_runs(runs: tuple[asked.Run, ...]) -> list[CalibrationRun]:
    return [calibration_run(run, f"run {i}") for i, run in enumerate(runs)]


@lru_cache(maxsize=16)
def calibration_of(runs: tuple[asked.Run, ...]) -> Calibration:
    return calibrate(calibration_runs(runs))
