"""A car as a function of everything that is unknown of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from unspool.car import Car
from unspool.car.measured import measured
from unspool.study.calibration.car_errors import (
    BODY,
    DROP,
    ENCODER,
    ROTATING,
    TIER,
    WEIGHT,
    WHEEL,
    CarError,
    encoder_apart,
    errors_of,
)  # fmt: skip
from unspool.study.calibration.car_variants import CarVariants
from unspool.study.calibration.floor import Floor
from unspool.study.calibration.types import Array

# The places of a run's forces at the head of its unknowns.
RESISTANCE, LINEAR_DRAG, DRAG_AREA, DRIVE = range(4)
FORCES = 4
# The impulse with which a string catches the weight, over the ideal one: builders' are from 0.5 to
# 1.1 (common practice).
CATCH_MEAN, CATCH_SD = 0.85, 0.17
TURNS_SD_COUNTED = 0.02  # of a count by the recorder
_LEAST_TURNS = 1e-3
_TAPER_STEPS = 10  # such small steps are a taper to 1e-4 of its effect


@dataclass(frozen=True)
class Layout:
    """Where each unknown of a run stands: forces, errors, slopes, then the run's own, which are
    the turns on each wound tier, the catch, and the launch's time.

    Errors, turns and catch are in units of their standard deviation, from their expected value.
    """

    errors: int
    slopes: int
    tiers: int

    @property
    def error(self) -> slice:
        return slice(FORCES, FORCES + self.errors)

    @property
    def slope(self) -> slice:
        return slice(FORCES + self.errors, self.shared)

    @property
    def shared(self) -> int:
        """How many come before the run's own."""
        return FORCES + self.errors + self.slopes

    @property
    def turns(self) -> slice:
        return slice(self.shared, self.shared + self.tiers)

    @property
    def catch(self) -> int:
        return self.shared + self.tiers

    @property
    def launch(self) -> int:
        return self.catch + 1

    @property
    def count(self) -> int:
        return self.launch + 1


def turns_sd(car: Car, counted: bool) -> Array:
    """(t,) of the turns said of each wound tier; counted: by the recorder."""
    known = measured(car).turns
    sds = [TURNS_SD_COUNTED if counted else sd for sd in known]
    return np.array([sd for sd, tier in zip(sds, car.drum, strict=True) if tier.turns > 0.0])


@dataclass(frozen=True)
class CarModel:
    """A car as wound, in air of this density, on a floor. errors: all that the fit knows;
    turns_sd: (t,) of the count on each wound tier.
    """

    car: Car
    air_density: float
    floor: Floor
    errors: tuple[CarError, ...]
    turns_sd: Array

    @cached_property
    def layout(self) -> Layout:
        return Layout(len(self.errors), self.floor.unknown, len(self.turns_sd))

    @cached_property
    def _affects(self) -> dict[tuple[str, int], int]:
        """Where the errors of this car stand among all."""
        place = {error.key: i for i, error in enumerate(self.errors)}
        own = [error for error in errors_of(self.car) if error.key in place]
        return {(error.what, error.tier): place[error.key] for error in own}

    def off(self, z: Array, what: str, tier: int = 0) -> Array:
        """(v,) by which factor a value is larger under unknowns z (v, count)."""
        at = self._affects.get((what, tier))
        if at is None:
            return np.ones(len(z))
        return np.asarray(1.0 + self.errors[at].sd * z[:, FORCES + at])

    def total_kg(self, z: Array) -> Array:
        body, weight = self.car.body_mass_kg, self.car.weight_mass_kg
        return np.asarray(body * self.off(z, BODY) + weight * self.off(z, WEIGHT))

    def variants(self, z: Array) -> CarVariants:
        """The cars of unknowns z (v, count)."""
        car, n, at = self.car, len(z), self.layout
        pulley = car.pulley.inertia_kg_m2 / car.pulley.radius_m**2 if car.pulley else 0.0
        total = self.total_kg(z)
        end, lever, smooth = self._drum(z)
        return CarVariants(
            total_kg=total,
            coasting_kg=total + car.rotating_mass_kg * self.off(z, ROTATING),
            weight_kg=car.weight_mass_kg * self.off(z, WEIGHT),
            pulley_kg=np.full(n, pulley),
            efficiency=z[:, DRIVE],
            catch=CATCH_MEAN + CATCH_SD * z[:, at.catch],
            drop_m=car.drop_m * self.off(z, DROP),
            resistance_n=z[:, RESISTANCE],
            linear_n_s_m=z[:, LINEAR_DRAG],
            drag_kg_m=0.5 * self.air_density * z[:, DRAG_AREA],
            end_m=end,
            lever=lever,
            smooth=smooth,
            knot_m=self.floor.knot_m,
            slope=self.floor.slopes(z[:, at.slope]),
            place_m=np.zeros(n),
            direction=np.ones(n),
        )

    def _drum(self, z: Array) -> tuple[Array, Array, NDArray[np.bool_]]:
        """Where each tier ends in m and its lever, (v, k); a taper is a row of small tiers."""
        wheel = self.car.driven_wheel.radius_m * self.off(z, WHEEL)
        ways, levers, smooth = [], [], []
        wound = [(k, tier) for k, tier in enumerate(self.car.drum) if tier.turns > 0.0]
        wound_turns = self.turns(z)
        for i, (k, tier) in enumerate(wound):
            turns = wound_turns[:, i]
            steps = _TAPER_STEPS if tier.tapered else 1
            for j in range(steps):
                share = (j + 0.5) / steps
                radius = tier.radius_m + share * (tier.end_radius_m - tier.radius_m)
                ways.append(2.0 * np.pi * wheel * turns / steps)
                levers.append(radius * self.off(z, TIER, k) / wheel)
                smooth.append(j > 0)
        empty = np.zeros((len(z), 0))
        end = np.cumsum(np.stack(ways, axis=1), axis=1) if ways else empty
        return end, np.stack(levers, axis=1) if levers else empty, np.array(smooth, dtype=bool)

    def turns(self, z: Array) -> Array:
        """(..., t) on each wound tier, of unknowns (..., count)."""
        said = np.array([tier.turns for tier in self.car.drum if tier.turns > 0.0])
        counted = said + self.turns_sd * z[..., self.layout.turns]
        return np.asarray(np.maximum(counted, _LEAST_TURNS))

    def pitch_m(self, z: Array) -> Array:
        wheel = ENCODER if encoder_apart(self.car) else WHEEL
        return self.car.metres_per_edge * self.off(z, wheel)
