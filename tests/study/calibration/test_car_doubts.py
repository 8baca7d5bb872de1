"""A car file that is a little wrong leads to a hint; `make bench` has the rates."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from study.calibration.doubtful_files import stated_runs
from study.calibration.hidden_runs import measured
from unspool.car.handbook import loss_prior
from unspool.car.measured import EFFICIENCY_HIGH, EFFICIENCY_LOW
from unspool.finding import Finding
from unspool.study.calibration import Calibration, CalibrationCode, CalibrationRun, calibrate
from unspool.study.calibration.tapes import Tapes
from unspool.virtual.truth import random_car

DOUBTS = {
    CalibrationCode.TAPE_DISAGREES,
    CalibrationCode.DRIVE_UNUSUAL,
    CalibrationCode.DRIVE_OTHERWISE,
}
SEED = 7


def doubts(calibration: Calibration) -> list[Finding]:
    return [one for one in calibration.findings if one.code in DOUBTS]


def test_a_right_file_is_not_doubted() -> None:
    assert doubts(calibrate(stated_runs("exact", SEED))) == []


def test_a_heavier_weight_is_sized_and_the_tape_clears_the_wheel() -> None:
    (found,) = doubts(calibrate(stated_runs("weight_5_heavier", SEED)))
    assert found.code == CalibrationCode.DRIVE_OTHERWISE
    assert found.values["weight"] == pytest.approx(0.05, abs=0.02)
    assert found.values["around"] is None


def test_a_smaller_wheel_is_sized_by_the_tape() -> None:
    tape, drive = doubts(calibrate(stated_runs("wheel_3_smaller", SEED)))
    assert tape.code == CalibrationCode.TAPE_DISAGREES
    assert tape.values["fits_m"] == pytest.approx(0.97 * tape.values["around_m"], rel=0.005)
    assert drive.values["around"] == pytest.approx(-0.03, abs=0.01)


@pytest.fixture(scope="module")
def run() -> CalibrationRun:
    return measured(random_car(np.random.default_rng(1)))


@pytest.mark.parametrize(
    ("shares", "doubted"),
    [
        ((1.03,), None),  # one tape may be misread
        ((1.002, 0.998), False),
        ((1.03, 1.031), True),
        ((1.03, 0.97, 1.03), False),  # tapes that disagree show nothing
        ((0.97, 0.971), True),
    ],
)
def test_tapes_that_agree_beside_a_wheel(
    run: CalibrationRun, shares: tuple[float, ...], doubted: bool | None
) -> None:
    taped = [replace(run, taped_m=share * run.reading.distance_m) for share in shares]
    tapes = Tapes.of(taped)
    assert (tapes and bool(tapes.doubt(run.car))) == doubted


def test_a_drive_of_which_nothing_is_said_may_be_any() -> None:
    ends = loss_prior(random_car(np.random.default_rng(1))).efficiency_ends
    assert ends == pytest.approx((EFFICIENCY_LOW, EFFICIENCY_HIGH), abs=1e-3)
