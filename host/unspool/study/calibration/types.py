"""What goes into a calibration and what comes out of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import nan

import numpy as np
from numpy.typing import NDArray

from unspool.car import FLAT, Car, Losses, Track
from unspool.finding import Finding, note
from unspool.intervals import LOW
from unspool.reading.events import Reading
from unspool.study.calibration.car_errors import CarError
from unspool.study.calibration.codes import CalibrationCode
from unspool.study.measured_run import MeasuredRun
from unspool.turns import TurnsFrom

Array = NDArray[np.float64]
# An interval whose lower end is below this share of the value does not exclude 0.
SHOWN_SHARE = 0.15

# The terms in the order of every array over terms.
TERMS = (
    "rolling_coefficient",
    "constant_drag_n",
    "linear_drag_n_s_per_m",
    "drag_area_m2",
    "drive_efficiency",
)
ROLLING, CONSTANT, LINEAR, DRAG, EFFICIENCY = range(5)


@dataclass(frozen=True)
class CalibrationRun:
    """One run as it was read; winding is the turns on each tier, None as the car file says.

    counted: the recorder counted them while it watched the wheel. taped_m: how far it went by the
    tape, None if nobody measured.
    """

    reading: Reading
    car: Car
    track: Track = FLAT
    winding: tuple[float, ...] | None = None
    name: str = ""
    counted: bool = False
    taped_m: float | None = None

    @classmethod
    def of(cls, run: MeasuredRun, reading: Reading) -> CalibrationRun:
        counted = run.turns_from is TurnsFrom.COUNTED
        return cls(reading, run.car, run.track, run.counted, run.name, counted, run.taped_m)

    @property
    def wound_car(self) -> Car:
        return self.car if self.winding is None else self.car.wound(self.winding)


@dataclass(frozen=True)
class Term:
    """A loss term with its 90 % interval. known is False if the runs do not determine it."""

    name: str
    value: float
    low: float
    high: float
    known: bool


@dataclass(frozen=True)
class Resistance:
    """Rolling and constant drag together on the level, in N, at mass_kg, the first run's; low and
    high bound its 90 % interval.
    """

    value: float
    low: float
    high: float
    mass_kg: float
    known: bool


@dataclass(frozen=True)
class SpeedDrag:
    """Linear and air drag together in N at speed_m_s; low and high bound its 90 % interval."""

    value: float
    low: float
    high: float
    speed_m_s: float
    known: bool


@dataclass(frozen=True)
class RunOutcome:
    """A run against the calibrated model.

    - odd: the probability that this run disagrees with the rest. Then it has little weight.
    - left_out: the finding for which the run was not used at all, None if it was used.
    - without_drive: why it shows nothing of the drive; its distance is not the model's to explain.
    - measured_m: None if the edges begin after the launch, or end before the car came to rest.
    - car, weight_kg: the name of the car that ran, and its falling weight in that run.
    - turns, turns_sd: on each tier of the drum, as the run shows them; empty if it was left out.
    """

    name: str
    measured_m: float | None
    modelled_m: float
    odd: float = 0.0
    left_out: Finding | None = None
    without_drive: Finding | None = None
    car: str = ""
    weight_kg: float = nan
    turns: tuple[float, ...] = ()
    turns_sd: tuple[float, ...] = ()

    @property
    def is_bad(self) -> bool:
        return self.left_out is not None or self.odd > 0.5

    @property
    def miss_m(self) -> float | None:
        """Measured less modelled distance; None if the run does not show it."""
        if self.without_drive is not None or self.measured_m is None:
            return None
        return self.measured_m - self.modelled_m


@dataclass(frozen=True)
class Draws:
    """Equally likely sets of losses: terms (n, 5) in the order of TERMS, and scatter (n, 3). The
    scatter is the shares by which resistance, drag area and efficiency differ from run to run.

    errors: (n, e) of what was measured of the car, in units of their sd. slopes: (n, s) the
    floor's, none if it was given.
    """

    terms: Array
    scatter: Array
    errors: Array
    slopes: Array

    @cached_property
    def centre(self) -> Array:
        """(5,) terms that fit the runs together, with the car as its file has it: the means if no
        measured value is off. If the runs do not show a linear drag, it is 0 as well.
        """
        given, linear = self.errors, self.terms[:, LINEAR]
        if np.quantile(linear, LOW) < SHOWN_SHARE * linear.mean():
            given = np.column_stack([given, linear])
        mean, off = self.terms.mean(axis=0), given.mean(axis=0)
        varied = given.std(axis=0) > 0.0
        apart = (given - off)[:, varied]
        goes_with = np.linalg.lstsq(apart, self.terms - mean, rcond=None)[0]
        return np.asarray(mean - off[varied] @ goes_with)


@dataclass(frozen=True, repr=False)
class Calibration:
    """The losses that runs share.

    - correlation: (5, 5) in the order of TERMS.
    - scatter: the share by which the resistance differs from run to run (median).
    - findings: what is odd about a run, and which extra run would answer what is open.
    - errors: what was measured of the cars and may be off, in the order of the draws.
    - vouched: the terms that were taken from the car file, at the builder's word.
    """

    terms: tuple[Term, ...]
    resistance: Resistance
    speed_drag: SpeedDrag
    correlation: Array
    runs: tuple[RunOutcome, ...]
    residual_sd_m: float | None
    scatter: float
    findings: tuple[Finding, ...]
    car: Car
    draws: Draws = field(repr=False)
    errors: tuple[CarError, ...] = field(default=(), repr=False)
    vouched: tuple[str, ...] = ()

    @property
    def learnt_from(self) -> tuple[str, ...]:
        """The names of the runs that were used."""
        return tuple(run.name for run in self.runs if run.left_out is None)

    @property
    def together(self) -> tuple[Finding, ...]:
        """The sums that the runs determine, if they do not determine the parts."""
        return tuple(one for one in (self._resistance(), self._speed_drag()) if one is not None)

    def _speed_drag(self) -> Finding | None:
        both = self.speed_drag
        alone = any(self.term(name).known for name in (TERMS[LINEAR], TERMS[DRAG]))
        if alone or not both.known:
            return None
        return note(
            CalibrationCode.SPEED_DRAG_TOGETHER,
            drag_n=both.value,
            low_n=both.low,
            high_n=both.high,
            speed_m_s=both.speed_m_s,
        )

    def _resistance(self) -> Finding | None:
        both = self.resistance
        if self.term("constant_drag_n").known or not both.known:
            return None
        return note(
            CalibrationCode.RESISTANCE_TOGETHER,
            resistance_n=both.value,
            low_n=both.low,
            high_n=both.high,
            mass_kg=both.mass_kg,
        )

    def __repr__(self) -> str:
        """A few lines: each term with its interval, the runs, the findings' codes."""
        terms = [
            f"\n  {term.name}: {term.value:.4g} ({term.low:.4g} to {term.high:.4g})"
            + ("" if term.known else ", not known")
            for term in self.terms
        ]
        found = ", ".join(finding.code for finding in self.findings)
        return (
            f"Calibration of {self.car.name}, {len(self.learnt_from)} of {len(self.runs)} runs used"
            f"{''.join(terms)}\n"
            f"  findings: {found or 'none'}"
        )

    def term(self, name: str) -> Term:
        return next(term for term in self.terms if term.name == name)

    def losses(self, car: Car | None = None) -> Losses:
        """The losses of `car` (the first run's car) with the calibrated terms in place."""
        return with_losses(car or self.car, self.terms).losses

    def calibrated(self, car: Car) -> Car:
        """`car` with the calibrated losses and drag area."""
        return with_losses(car, self.terms)


def with_losses(car: Car, terms: Sequence[Term]) -> Car:
    """`car` with these terms; a break-away left to the handbook keeps its ratio to the rolling."""
    value = {term.name: term.value for term in terms}
    before, rolling = car.losses, value["rolling_coefficient"]
    hold = before.break_away_coefficient
    if "break_away_coefficient" in before.assumed and before.rolling_coefficient > 0.0:
        hold *= rolling / before.rolling_coefficient
    losses = replace(
        before,
        rolling_coefficient=rolling,
        constant_drag_n=value["constant_drag_n"],
        linear_drag_n_s_per_m=value["linear_drag_n_s_per_m"],
        drive_efficiency=value["drive_efficiency"],
        break_away_coefficient=max(hold, rolling),
        assumed=tuple(name for name in before.assumed if name not in value),
    )
    coefficient = car.drag_coefficient or 1.0
    area = value["drag_area_m2"] / coefficient
    return replace(car, losses=losses, frontal_area_m2=area, drag_coefficient=coefficient)
