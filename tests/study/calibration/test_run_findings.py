"""Runs that a prediction learns from are named if left out, or of another car or weight."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from study.calibration.hidden_runs import hidden
from unspool.car import FLAT, Car
from unspool.finding import Severity
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.events import analyse
from unspool.study.calibration import (
    Calibration,
    CalibrationCode,
    CalibrationRun,
    calibrate,
    predict_with,
)
from unspool.study.calibration.run_findings import run_findings
from unspool.virtual import truth
from unspool.virtual.demo import scenario


def ran(car: Car, name: str, seed: int) -> CalibrationRun:
    train = truth.run(car, FLAT, truth.USUAL, seed).train
    return CalibrationRun(analyse(train, car, FLAT), car, FLAT, None, name)


def nudged(car: Car, name: str) -> CalibrationRun:
    """A few edges: the car was touched, and nothing more."""
    train = PulseTrain(np.linspace(0.0, 0.2, 4), np.ones(4, dtype=np.int8), np.arange(4))
    return CalibrationRun(analyse(train, car, FLAT), car, FLAT, None, name)


@pytest.fixture(scope="module")
def calibration() -> Calibration:
    car = scenario.sandpiper()
    heavy = replace(car, weight_mass_kg=0.9)
    other = replace(car, name="Sandpiper's twin")
    return calibrate(
        [ran(car, "own", 1), ran(heavy, "heavy", 2), ran(other, "twin", 3), nudged(car, "nudge")]
    )


def test_each_run_that_is_not_simply_the_cars_is_named(calibration: Calibration) -> None:
    found = run_findings(calibration, scenario.sandpiper())
    named = {str(one.values["run"]): one for one in found}
    assert "own" not in named
    assert named["nudge"].code in (CalibrationCode.TOO_FEW_EDGES, CalibrationCode.RUN_LEFT_OUT)
    assert named["heavy"].code == CalibrationCode.OTHER_WEIGHT
    assert named["heavy"].values["weight_kg"] == 0.9
    assert named["twin"].code == CalibrationCode.OTHER_CAR
    assert named["twin"].severity is Severity.WARNING


def test_the_prediction_says_it(calibration: Calibration) -> None:
    told = predict_with(calibration, scenario.sandpiper())
    assert told.findings[: len(run_findings(calibration, scenario.sandpiper()))] == run_findings(
        calibration, scenario.sandpiper()
    )
    assert calibration.learnt_from == ("own", "heavy", "twin")


def test_the_car_of_the_runs_decides_what_is_other(calibration: Calibration) -> None:
    heavy = replace(scenario.sandpiper(), weight_mass_kg=0.9)
    codes = {str(one.values["run"]): one.code for one in run_findings(calibration, heavy)}
    assert codes["own"] == CalibrationCode.OTHER_WEIGHT
    assert "heavy" not in codes


def test_a_run_that_rolled_back_on_a_floor_said_to_be_level_is_named() -> None:
    """And is modelled as measured on its own floor."""
    rise = replace(FLAT, distance_m=(0.0, 5.0, 9.0, 60.0), height_m=(0.0, 0.0, 0.25, 4.0))
    car = truth.random_car(np.random.default_rng(0), tiers=2)
    train = truth.run(car, rise, truth.USUAL, 1).train
    file = hidden(car)
    found = []
    for floor in (rise, FLAT):
        run = CalibrationRun(analyse(train, file, floor), file, floor, None, "run")
        assert len(run.reading.motion.legs) == 2
        told = calibrate([run])
        found.append({finding.code for finding in told.findings})
        if floor is rise:
            assert told.runs[0].modelled_m == pytest.approx(told.runs[0].measured_m, rel=0.05)
    on_rise, on_level = found
    assert CalibrationCode.ROLLED_BACK not in on_rise
    assert CalibrationCode.ROLLED_BACK in on_level
