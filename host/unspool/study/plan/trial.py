"""A trial: the same car with other sizes and turns, and the run that it should make."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import isclose

from unspool.car import Car, Tier, Track
from unspool.car.other_parts import with_driven_wheels, with_weight
from unspool.errors import InputError
from unspool.language import _
from unspool.model import predict
from unspool.model.outcome import Prediction
from unspool.study.calibration import Calibration, predict_with

SAME = 1e-3  # a size this near to the car's, as a share, is the car's own


@dataclass(frozen=True)
class Trial:
    """What is tried; None or a tier that is left out: as the car has it.

    weight_kg in kg; wheel_m, the radius of the driven wheels, and tiers_m, the radii of tiers to
    the middle of the string, in m; turns by the tier's name.
    """

    weight_kg: float | None = None
    wheel_m: float | None = None
    tiers_m: Mapping[str, float] = field(default_factory=dict)
    turns: Mapping[str, float] = field(default_factory=dict)


def tried(car: Car, trial: Trial) -> Car:
    """The car with these parts and turns. Raises InputError for what no car can have."""
    sizes = (trial.weight_kg, trial.wheel_m, *trial.tiers_m.values())
    if not all(size is None or size > 0.0 for size in sizes):
        raise InputError(_("a weight, a wheel and a tier are larger than 0"))
    if not all(turns >= 0.0 for turns in trial.turns.values()):
        raise InputError(_("turns are not below 0"))
    if _other(trial.weight_kg, car.weight_mass_kg):
        car = with_weight(car, trial.weight_kg or car.weight_mass_kg)
    if _other(trial.wheel_m, car.driven_wheel.radius_m):
        car = with_driven_wheels(car, trial.wheel_m or car.driven_wheel.radius_m)
    return replace(car, drum=tuple(_tier(tier, trial) for tier in car.drum))


def run_of(car: Car, track: Track, calibration: Calibration | None) -> Prediction:
    """The run of one more attempt with the calibrated losses, or else with the car file's."""
    return predict(car, track) if calibration is None else predict_with(calibration, car, track)


def _other(size: float | None, present: float) -> bool:
    return size is not None and not isclose(size, present, rel_tol=SAME)


def _tier(tier: Tier, trial: Trial) -> Tier:
    radius = trial.tiers_m.get(tier.name)
    if radius is not None and _other(radius, tier.radius_m):
        tier = replace(tier, radius_m=radius, end_radius_m=radius)
    return replace(tier, turns=trial.turns.get(tier.name, tier.turns))
