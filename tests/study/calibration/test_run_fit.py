"""One run's own fit and its summary, against second differences and laws."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from unspool.car import FLAT
from unspool.model.params import params_of
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.motion import follow
from unspool.study.calibration.run_fit import FORCES, RunFit, RunTask, first_guess, fit_run
from unspool.virtual.truth import USUAL, random_car, run

CAR = random_car(np.random.default_rng(11), tiers=2)
TRAIN = run(CAR, imperfections=USUAL, seed=4).train
TRUE = np.array(
    [
        CAR.losses.rolling_coefficient * CAR.total_mass_kg * 9.80665 + CAR.losses.constant_drag_n,
        CAR.drag_area_m2,
        CAR.losses.drive_efficiency,
    ]
)
SLOW = np.array([0.996, 1.0, 0.996])  # forces on the usual sensor's clock


def task_of(train: PulseTrain) -> RunTask:
    return RunTask.of(follow(train, CAR), CAR, params_of(CAR, FLAT), FLAT.air_density_kg_m3)


def fitted(train: PulseTrain) -> RunFit:
    task = task_of(train)
    return fit_run(task, first_guess(task, 0.015, 0.9))


@pytest.fixture(scope="module")
def fit() -> RunFit:
    return fitted(TRAIN)


def test_forces_come_back(fit: RunFit) -> None:
    assert fit.force == pytest.approx(SLOW * TRUE, rel=3e-3)
    assert fit.rms_slots < 0.02
    assert fit.tells


def test_score_vanishes_at_the_fit(fit: RunFit) -> None:
    step = np.linalg.solve(fit.information, fit.score)
    sd = np.sqrt(np.diag(np.linalg.inv(fit.information)))
    assert np.all(np.abs(step) < 0.1 * sd)


def test_information_is_the_curvature_of_the_misfit(fit: RunFit) -> None:
    """The launch's time is searched again for each force, as a plain profile of the least squares
    has it, over edges whose noise the fit found.
    """
    task = task_of(TRAIN)
    projection = task.projection(np.ones(len(task.edges), dtype=bool))

    def misfit(force: np.ndarray) -> float:
        def at(launch_s: float) -> float:
            r, _ = task.residuals(force, launch_s)
            return float(np.sum(projection.whitened(r[:, None]) ** 2))

        near = (fit.launch_s - 0.02, fit.launch_s + 0.02)
        return float(
            minimize_scalar(at, bounds=near, method="bounded", options={"xatol": 1e-9}).fun
        )

    sd = np.sqrt(np.diag(np.linalg.inv(fit.information)))
    curvature = np.zeros(FORCES)
    for i in range(FORCES):
        step = 20.0 * sd[i] * np.eye(FORCES)[i]
        curvature[i] = misfit(fit.force + step) - 2.0 * misfit(fit.force) + misfit(fit.force - step)
        curvature[i] /= 2.0 * float(step @ step)
    free = len(task.edges) - FORCES - 1 - CAR.encoder.pulses_per_turn
    noise = misfit(fit.force) / free * fit.slower
    assert curvature / noise == pytest.approx(np.diag(fit.information), rel=0.25)


def test_interval_of_a_run_holds_the_truth_most_times() -> None:
    far = []
    for seed in range(12):
        one = fitted(run(CAR, imperfections=USUAL, seed=seed).train)
        sd = np.sqrt(np.diag(np.linalg.inv(one.information)))
        far.append(np.abs(one.force - SLOW * TRUE)[1] / sd[1])
    # Each is above 1.645 in one case of ten; 5 of 12 would be a chance of 1 in 200.
    assert np.sum(np.array(far) > 1.645) < 5


@settings(max_examples=8, deadline=None)
@given(st.floats(-1e6, 1e6))
def test_when_the_stamps_begin_changes_nothing(shift: float) -> None:
    here = fitted(replace(TRAIN, time_s=np.round(TRAIN.time_s, 6)))
    there = fitted(replace(TRAIN, time_s=np.round(TRAIN.time_s, 6) + shift))
    assert there.force == pytest.approx(here.force, rel=1e-4)
    assert there.information == pytest.approx(here.information, rel=1e-2, abs=1.0)


def test_without_the_drive_the_rest_is_left(fit: RunFit) -> None:
    """What is left of the other forces is their marginal: the inverse keeps its corner."""
    less = fit.without_drive()
    assert np.all(less.information[2] == 0.0)
    assert less.score[2] == 0.0
    corner = np.linalg.inv(fit.information)[:2, :2]
    assert np.linalg.inv(less.information[:2, :2]) == pytest.approx(corner, rel=1e-6)
