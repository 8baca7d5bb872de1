"""Whether the drive that the runs show says that the car file is off.

A weight, a wheel or a drum that is not as the file says would look like a better or a worse drive.
The runs alone cannot separate these. But a drive that no such car has, or another one than the file
states, is a reason to measure again.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np

from unspool.car import Car
from unspool.car.handbook import loss_prior
from unspool.finding import Finding, note, warning
from unspool.intervals import HALF_IN_SDS
from unspool.study.calibration.car_errors import encoder_apart
from unspool.study.calibration.codes import CalibrationCode
from unspool.study.calibration.pool import EXTRA, Pooled, drawn
from unspool.study.calibration.priors import Prior
from unspool.study.calibration.tapes import Tapes
from unspool.study.calibration.types import EFFICIENCY, Array

# If the file does not say how well the drive's efficiency that it states is known: as well as
# three runs show it.
STATED_SD = 0.01
OWN_SHARE = 0.7  # of the prior's sd: above it the runs say nothing by themselves


@dataclass(frozen=True)
class ShownDrive:
    """The drive's efficiency by the runs alone, also beyond 1, if the car file is right.

    own_sd: of the runs. sd: with what usual tools may leave the file off by.
    """

    value: float
    own_sd: float
    sd: float

    @classmethod
    def of(cls, pooled: Pooled, prior: Prior) -> ShownDrive | None:
        """None if the runs do not show it."""
        mean, covariance = _moments(pooled)
        errors = slice(1, None)
        goes_with = np.linalg.lstsq(covariance[errors, errors], covariance[errors, 0], rcond=None)
        value = float(mean[0] - goes_with[0] @ mean[errors])
        variance = float(covariance[0, 0] - goes_with[0] @ covariance[errors, 0])
        believed, was = float(prior.sd[EFFICIENCY]), float(prior.mean[EFFICIENCY])
        if variance > (OWN_SHARE * believed) ** 2:
            return None
        # Without what was believed of it, which may come from the very value that is doubted.
        own = 1.0 / (1.0 / variance - believed**-2.0)
        alone = own * (value / variance - was / believed**2)
        return cls(alone, sqrt(own), sqrt(own + max(float(covariance[0, 0]) - variance, 0.0)))


def _moments(pooled: Pooled) -> tuple[Array, Array]:
    """Mean and covariance of the efficiency and of the car file's errors, before any bound."""
    order, weight = drawn(pooled.mean.shape[1]), pooled.weight
    which = [EFFICIENCY, *range(EXTRA, pooled.mean.shape[1])]
    rows = pooled.factor[:, [int(np.flatnonzero(order == one)[0]) for one in which]]
    mean = weight @ pooled.mean[:, which]
    apart = pooled.mean[:, which] - mean
    within = np.einsum("c,cij,ckj->ik", weight, rows, rows)
    return mean, within + np.einsum("c,ci,cj->ij", weight, apart, apart)


def drive_doubt(shown: ShownDrive, car: Car, taped: Tapes | None) -> Iterator[Finding]:
    """At most one: a drive that is not usual, or else another one than the file states."""
    low, high = loss_prior(car).efficiency_ends
    nearest, said = min(max(shown.value, low), high), car.losses.drive_efficiency
    stated = "drive_efficiency" not in car.losses.assumed
    off = _off(shown, said if stated else nearest, car, taped)
    if abs(shown.value - nearest) > HALF_IN_SDS * shown.sd:
        ends = {"usual_low": low, "usual_high": high}
        yield warning(CalibrationCode.DRIVE_UNUSUAL, **_seen(shown), **ends, **off)
    elif stated and _differs(shown, car):
        yield note(CalibrationCode.DRIVE_OTHERWISE, said=said, **_seen(shown), **off)


def _differs(shown: ShownDrive, car: Car) -> bool:
    """The errors of the file do not count: an earlier calibration had the same ones."""
    known = car.losses.drive_efficiency_sd or STATED_SD
    off = abs(shown.value - car.losses.drive_efficiency)
    return off > HALF_IN_SDS * hypot(shown.own_sd, known)


def _seen(shown: ShownDrive) -> dict[str, float]:
    half = HALF_IN_SDS * shown.own_sd
    return {"drive": shown.value, "low": shown.value - half, "high": shown.value + half}


def _off(shown: ShownDrive, due: float, car: Car, taped: Tapes | None) -> dict[str, float | None]:
    """By which share each value alone would have to be larger than the file says.

    The edges show accelerations, in the file's circumferences: efficiency x weight x drum radius
    over wheel radius and moving mass. So the efficiency that is seen grows with the drum, and
    falls with the square of the circumference. It grows with the weight over the moving mass, of
    which the weight is a part.

    around is None if the tapes speak against it.
    """
    ratio, part = shown.value / due, car.weight_mass_kg / (car.total_mass_kg + car.rotating_mass_kg)
    power = 1.0 if encoder_apart(car) else 0.5
    around, half = ratio**-power - 1.0, power * HALF_IN_SDS * hypot(shown.own_sd, STATED_SD) / due
    return {
        "weight": (ratio - 1.0) / (1.0 - ratio * part),
        "around": around if taped is None or taped.allows(around, half) else None,
        "drum": ratio - 1.0,
    }
