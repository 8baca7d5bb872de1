"""Many cars or windings on one track as arrays: the numbers of a Params, n at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from unspool.car import Car, Track
from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model import forces
from unspool.model.limits import usual_strength
from unspool.model.number import Flags, Floats, Indices
from unspool.model.params import params_of

# A taper is a row of so many tiers; a distance is then right to a few hundred-thousandths.
TAPER_STEPS = 12
_SCALARS = (
    "total_kg", "coasting_kg", "driven_axle_kg", "weight_kg", "pulley_kg", "efficiency", "drop_m",
    "rolling", "break_away", "constant_n", "linear_n_s_m", "drag_kg_m",
)  # fmt: skip


@dataclass(frozen=True)
class BatchTiers:
    """(n, most tiers) each, units as in TierPath. A row's wound tiers come first; count: (n,).

    A taper is a row of small tiers of their middle levers.

    - ends: (2, n, most tiers) the levers at their ends.
    - smooth: whether the lever goes over to this tier without a step, as within a taper.
    """

    lever: Floats
    ends: Floats
    begin_m: Floats
    end_m: Floats
    paid_m: Floats
    smooth: Flags
    count: Indices

    @cached_property
    def tapers(self) -> bool:
        """Whether any is part of a taper."""
        return bool(np.any(self.ends[0] != self.ends[1]))


@dataclass(frozen=True)
class BatchParams:
    """(n,) arrays, units as in Params; geometry and breaking load are NaN if they are not known.

    `com_to_driven_axle_m`, `com_height_m`: the centre of mass. `strength_n`: the string's, from its
    diameter if the breaking load is not known. `level_m`, `level_height_m`: (levels,) the floor's
    points. `slope`: (levels + 1,) of the floor before, between and after them.
    """

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
    linear_n_s_m: Floats
    drag_kg_m: Floats
    tyre_friction: Floats
    wheelbase_m: Floats
    com_to_driven_axle_m: Floats
    com_height_m: Floats
    breaking_load_n: Floats
    strength_n: Floats
    tiers: BatchTiers
    level_m: Floats
    slope: Floats
    level_height_m: Floats

    def __len__(self) -> int:
        return len(self.total_kg)

    @property
    def moving_kg(self) -> Floats:
        """As in Params."""
        return self.efficiency * self.weight_kg + self.pulley_kg

    @property
    def hanging_kg(self) -> Floats:
        return self.weight_kg + self.pulley_kg

    @property
    def never_stops(self) -> Flags:
        """Whose resistance goes to 0 with the speed, so that nothing stops them."""
        return np.asarray((self.rolling == 0.0) & (self.constant_n == 0.0))

    @property
    def stored_j(self) -> Floats:
        return self.weight_kg * STANDARD_GRAVITY * self.drop_m

    def floor_ahead(self, x: Floats, direction: Floats) -> tuple[Floats, Floats]:
        """Slope ahead of each x, and the next point of the floor in that direction."""
        after = np.searchsorted(self.level_m, x, side="right")
        before = np.searchsorted(self.level_m, x, side="left")
        slope = self.slope[np.where(direction > 0, after, before)]
        next_up = np.append(self.level_m, np.inf)[after]
        next_down = np.insert(self.level_m, 0, -np.inf)[before]
        return slope, np.where(direction > 0, next_up, next_down)

    def rolling_n(self, row: Indices, slope: Floats) -> Floats:
        """Resistance in N of the cars `row` while they roll; air comes on top."""
        rolling, total, constant = self.rolling[row], self.total_kg[row], self.constant_n[row]
        return forces.resistance(rolling, total, constant, slope)

    def holding_n(self, row: Indices, slope: Floats) -> Floats:
        """Resistance in N that holds the cars `row` at rest."""
        holding, total, constant = self.break_away[row], self.total_kg[row], self.constant_n[row]
        return forces.resistance(holding, total, constant, slope)

    def paid_m(self, row: Indices, tier: Indices, x: Floats) -> Floats:
        """String in m that has left the drum of the cars `row` at x, within that tier."""
        tiers = self.tiers
        rolled = x - tiers.begin_m[row, tier]
        return tiers.paid_m[row, tier] + tiers.lever[row, tier] * rolled

    def start_margin(self) -> Floats:
        """Drive force over what holds each car at rest."""
        every = np.arange(len(self))
        slope, _ = self.floor_ahead(np.zeros(len(self)), np.ones(len(self)))
        needed = self.holding_n(every, slope) + forces.grade_force(self.total_kg, slope)
        drive = forces.drive_force(self.efficiency, self.weight_kg, self.tiers.lever[:, 0])
        return forces.start_margin(np.where(self.tiers.count > 0, drive, 0.0), needed)


def batch_of_windings(car: Car, track: Track, turns: Floats) -> BatchParams:
    """The same car wound in n ways; turns is (n, tiers of the drum).

    Raises ValueError if the columns are not the drum's tiers.
    """
    turns = np.asarray(turns, dtype=np.float64)
    if turns.ndim != 2 or turns.shape[1] != len(car.drum):
        raise ValueError(f"turns must be (n, {len(car.drum)}), not {turns.shape}")
    return batch_of_wound_cars([car], np.zeros(len(turns), dtype=np.intp), turns, track)


def batch_of_cars(cars: Sequence[Car], track: Track) -> BatchParams:
    """n cars, each wound as its drum says."""
    turns = _by_tier(cars, "turns", 0.0)
    return batch_of_wound_cars(cars, np.arange(len(cars)), turns, track)


def batch_of_wound_cars(
    cars: Sequence[Car], rows: Indices, turns: Floats, track: Track
) -> BatchParams:
    """Cars wound in many ways: turns (n, most tiers) of the cars `rows`."""
    begin, end = _by_tier(cars, "radius_m", 1.0), _by_tier(cars, "end_radius_m", 1.0)
    wheels = np.array([car.driven_wheel.radius_m for car in cars])
    tiers = _tiers(*_in_steps(begin[rows], end[rows], turns), wheels[rows])
    return _batch(cars, track, rows, tiers)


def _by_tier(cars: Sequence[Car], what: str, without: float) -> Floats:
    """(cars, most tiers) of a tier's number, and `without` for a car that has no such tier."""
    table = np.full((len(cars), max(len(car.drum) for car in cars)), without)
    for row, car in enumerate(cars):
        table[row, : len(car.drum)] = [getattr(tier, what) for tier in car.drum]
    return table


def _in_steps(begin: Floats, end: Floats, turns: Floats) -> tuple[Floats, Floats, Flags]:
    """Radii at both ends (2, n, steps), turns and whether each tier goes on smoothly (n, steps)."""
    steps = np.where(np.any(begin != end, axis=0), TAPER_STEPS, 1)
    tier = np.repeat(np.arange(len(steps)), steps)
    number = np.concatenate([np.arange(count) for count in steps])
    share = np.stack([number, number + 1.0])[:, None] / steps[tier]
    radii = begin[:, tier] + share * (end - begin)[:, tier]
    smooth = np.broadcast_to(number > 0, radii.shape[1:])
    return radii, turns[:, tier] / steps[tier], smooth


def _tiers(radii: Floats, turns: Floats, smooth: Flags, wheels: Floats) -> BatchTiers:
    order = np.argsort(turns <= 0.0, axis=1, kind="stable")
    turns = np.maximum(np.take_along_axis(turns, order, axis=1), 0.0)
    ends = np.take_along_axis(radii, order[None], axis=2) / wheels[:, None]
    lever = ends.mean(axis=0)
    length = 2.0 * np.pi * wheels[:, None] * turns
    end = np.cumsum(length, axis=1)
    string = np.cumsum(length * lever, axis=1)
    begin, paid = (np.pad(a, ((0, 0), (1, 0)))[:, :-1] for a in (end, string))
    smooth = np.take_along_axis(smooth, order, axis=1)
    return BatchTiers(lever, ends, begin, end, paid, smooth, np.count_nonzero(turns, axis=1))


def _batch(cars: Sequence[Car], track: Track, rows: Indices, tiers: BatchTiers) -> BatchParams:
    """One entry for each of `rows`, which are indices of cars."""
    each = [params_of(car, track) for car in cars]
    columns = {name: np.array([getattr(one, name) for one in each])[rows] for name in _SCALARS}
    others = np.array([_others(car) for car in cars], dtype=np.float64)[rows].T
    levels, heights = np.array([track.distance_m, track.height_m], dtype=np.float64)
    slopes = np.concatenate([[0.0], np.diff(heights) / np.diff(levels), [0.0]])
    return BatchParams(
        **columns, tyre_friction=others[0], wheelbase_m=others[1],
        com_to_driven_axle_m=others[2], com_height_m=others[3],
        breaking_load_n=others[4], strength_n=others[5],
        tiers=tiers, level_m=levels, slope=slopes, level_height_m=heights,
    )  # fmt: skip


def _others(car: Car) -> list[float]:
    geometry, load = car.geometry, car.breaking_load_n
    lengths = [np.nan] * 3
    if geometry:
        lengths = [
            geometry.wheelbase_m,
            geometry.centre_of_mass_to_driven_axle_m,
            geometry.centre_of_mass_height_m,
        ]
    strength = load or usual_strength(car.string_diameter_m)
    return [car.losses.tyre_friction, *lengths, np.nan if load is None else load, strength]
