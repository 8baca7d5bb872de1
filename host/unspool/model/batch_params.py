"""Many cars or windings on one track, as arrays: the same numbers as a Machine's, n at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.car import Car, Track
from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model.limits import usual_strength
from unspool.model.params import machine

Floats = NDArray[np.float64]
_SCALARS = (
    "total_kg", "coasting_kg", "driven_axle_kg", "weight_kg", "pulley_kg", "efficiency", "drop_m",
    "rolling", "break_away", "constant_n", "drag_kg_m",
)  # fmt: skip


@dataclass(frozen=True)
class Tiers:
    """(n, most tiers) each; a row's wound tiers come first, `count` (n,) says how many they are."""

    lever: Floats
    begin_m: Floats
    end_m: Floats
    paid_m: Floats
    count: NDArray[np.intp]


@dataclass(frozen=True)
class Fleet:
    """(n,) arrays, units as in Machine; geometry and breaking load are NaN where not known."""

    total_kg: Floats
    coasting_kg: Floats
    driven_axle_kg: Floats
    weight_kg: Floats
    pulley_kg: Floats
    efficiency: Floats
    drop_m: Floats
    rolling: Floats
    break_away: Floats
    constant_n: Floats
    drag_kg_m: Floats
    friction: Floats
    wheelbase_m: Floats
    behind_m: Floats
    height_m: Floats
    breaking_load_n: Floats
    strength_n: Floats
    tiers: Tiers
    level_m: Floats
    slope: Floats  # (levels + 1,) of the floor before, between and after the levels
    level_height_m: Floats

    def __len__(self) -> int:
        return len(self.total_kg)

    @property
    def moving_kg(self) -> Floats:
        return self.efficiency * self.weight_kg + self.pulley_kg

    @property
    def hanging_kg(self) -> Floats:
        return self.weight_kg + self.pulley_kg

    @property
    def free(self) -> NDArray[np.bool_]:
        """Whose resistance goes to 0 with the speed, so that nothing stops them."""
        return np.asarray((self.rolling == 0.0) & (self.constant_n == 0.0))

    @property
    def stored_j(self) -> Floats:
        return self.weight_kg * STANDARD_GRAVITY * self.drop_m


def fleet_of_windings(car: Car, track: Track, turns: Floats) -> Fleet:
    """The same car wound in n ways; turns is (n, tiers of the drum).

    Raises ValueError when the columns are not the drum's tiers.
    """
    turns = np.asarray(turns, dtype=np.float64)
    if turns.ndim != 2 or turns.shape[1] != len(car.drum):
        raise ValueError(f"turns must be (n, {len(car.drum)}), not {turns.shape}")
    rows = np.zeros(len(turns), dtype=np.intp)
    radii = np.array([[tier.radius_m for tier in car.drum]])
    wheels = np.array([car.driven_wheel.radius_m])
    return _fleet([car], track, rows, _tiers(radii[rows], turns, wheels[rows]))


def fleet_of_cars(cars: Sequence[Car], track: Track) -> Fleet:
    """n cars, each wound as its drum says."""
    most = max(len(car.drum) for car in cars)
    radii, turns = np.ones((len(cars), most)), np.zeros((len(cars), most))
    for row, car in enumerate(cars):
        radii[row, : len(car.drum)] = [tier.radius_m for tier in car.drum]
        turns[row, : len(car.drum)] = [tier.turns for tier in car.drum]
    wheels = np.array([car.driven_wheel.radius_m for car in cars])
    return _fleet(cars, track, np.arange(len(cars)), _tiers(radii, turns, wheels))


def _tiers(radii: Floats, turns: Floats, wheels: Floats) -> Tiers:
    order = np.argsort(turns <= 0.0, axis=1, kind="stable")
    turns = np.maximum(np.take_along_axis(turns, order, axis=1), 0.0)
    lever = np.take_along_axis(radii, order, axis=1) / wheels[:, None]
    way = 2.0 * np.pi * wheels[:, None] * turns
    end = np.cumsum(way, axis=1)
    string = np.cumsum(way * lever, axis=1)
    begin, paid = (np.pad(a, ((0, 0), (1, 0)))[:, :-1] for a in (end, string))
    return Tiers(lever, begin, end, paid, np.count_nonzero(turns, axis=1))


def _fleet(cars: Sequence[Car], track: Track, rows: NDArray[np.intp], tiers: Tiers) -> Fleet:
    machines = [machine(car, track) for car in cars]
    columns = {name: np.array([getattr(m, name) for m in machines])[rows] for name in _SCALARS}
    others = np.array([_others(car) for car in cars], dtype=np.float64)[rows].T
    levels, heights = np.array([track.distance_m, track.height_m], dtype=np.float64)
    slopes = np.concatenate([[0.0], np.diff(heights) / np.diff(levels), [0.0]])
    return Fleet(
        **columns, friction=others[0], wheelbase_m=others[1], behind_m=others[2],
        height_m=others[3], breaking_load_n=others[4], strength_n=others[5],
        tiers=tiers, level_m=levels, slope=slopes, level_height_m=heights,
    )  # fmt: skip


def _others(car: Car) -> list[float]:
    place, load = car.geometry, car.breaking_load_n
    lengths = [np.nan] * 3
    if place:
        lengths = [
            place.wheelbase_m,
            place.centre_of_mass_to_driven_axle_m,
            place.centre_of_mass_height_m,
        ]
    strength = load or usual_strength(car.string_diameter_m)
    return [car.losses.tyre_friction, *lengths, np.nan if load is None else load, strength]
