"""What tapes beside several attempts say of the wheel's circumference."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, sqrt

import numpy as np

from unspool.car import Car
from unspool.car.measured import TAPE_SHARE, measured
from unspool.finding import Finding, warning
from unspool.intervals import HALF_IN_SDS
from unspool.reading.events.codes import SLIPS
from unspool.study.calibration.codes import CalibrationCode
from unspool.study.calibration.types import CalibrationRun

FEWEST_TAPES = 2  # one may be misread


@dataclass(frozen=True)
class Tapes:
    """The circumference by tape over that of the car file: its logarithm, and half of its 90 %
    interval.
    """

    tapes: int
    log: float
    half: float

    @classmethod
    def of(cls, runs: Sequence[CalibrationRun]) -> Tapes | None:
        """None if too few of these runs have a tape beside a wheel that was not seen to slip."""
        logs = [log(run.taped_m / run.reading.distance_m) for run in runs
                if run.taped_m is not None and _compares(run)]  # fmt: skip
        if len(logs) < FEWEST_TAPES:
            return None
        sd = max(TAPE_SHARE, float(np.std(logs, ddof=1)))
        return cls(len(logs), float(np.mean(logs)), HALF_IN_SDS * sd / sqrt(len(logs)))

    @property
    def ratio(self) -> float:
        return exp(self.log)

    def allows(self, share: float, half: float) -> bool:
        """Whether the circumference may be off by this share or more, give or take half."""
        beyond = log(1.0 + share) - self.log
        return (beyond if share > 0.0 else -beyond) <= self.half + half

    def doubt(self, car: Car) -> Finding | None:
        """None if tapes and wheel agree as well as both can."""
        believed = HALF_IN_SDS * measured(car).encoder_share
        if abs(self.log) <= self.half + believed or abs(self.log) <= TAPE_SHARE:
            return None
        around_m = car.metres_per_edge * car.encoder.pulses_per_turn
        return warning(
            CalibrationCode.TAPE_DISAGREES,
            tapes=self.tapes,
            around_m=around_m,
            fits_m=around_m * self.ratio,
            low_m=around_m * exp(self.log - self.half),
            high_m=around_m * exp(self.log + self.half),
            may_slip=self.log < 0.0 and car.encoder_wheel.driven,
        )


def _compares(run: CalibrationRun) -> bool:
    """Whether tape and wheel measured the same way; an undriven wheel hardly slips."""
    motion = run.reading.motion
    slipped = any(finding.code in SLIPS for finding in run.reading.findings)
    whole = motion.measures_distance and run.reading.distance_m > 0.0
    return whole and not (slipped and run.car.encoder_wheel.driven)
