"""What to know of the runs whose losses are taken for a car: each that is not simply one of its."""

from __future__ import annotations

from collections.abc import Iterator

from unspool.car import Car
from unspool.finding import Finding, note, warning
from unspool.study.calibration.codes import CalibrationCode
from unspool.study.calibration.types import Calibration, RunOutcome

# What a calibration finds of a single run.
_OF_A_RUN = frozenset(
    {
        CalibrationCode.TOO_FEW_EDGES,
        CalibrationCode.SLOWING_NOT_SEEN,
        CalibrationCode.RUN_LEFT_OUT,
        CalibrationCode.COAST_ONLY,
        CalibrationCode.BEGINS_AFTER_LAUNCH,
        CalibrationCode.RUN_DISAGREES,
        CalibrationCode.OTHER_WHEELS,
    }
)
# Weights that differ by less than this share are one weight, weighed twice.
_OTHER_WEIGHT = 0.02


def run_findings(calibration: Calibration, car: Car) -> tuple[Finding, ...]:
    """Runs that were left out or count in part, and those of another car or weight, as they are."""
    found = (one for one in calibration.findings if one.code in _OF_A_RUN)
    others = (one for run in calibration.runs if run.left_out is None for one in _other(run, car))
    return (*found, *others)


def _other(run: RunOutcome, car: Car) -> Iterator[Finding]:
    if run.car != car.name:
        yield warning(CalibrationCode.OTHER_CAR, run=run.name, car=run.car, planned=car.name)
    elif abs(run.weight_kg - car.weight_mass_kg) > _OTHER_WEIGHT * car.weight_mass_kg:
        yield note(
            CalibrationCode.OTHER_WEIGHT,
            run=run.name,
            weight_kg=run.weight_kg,
            planned_kg=car.weight_mass_kg,
        )
