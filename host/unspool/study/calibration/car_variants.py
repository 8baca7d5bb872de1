"""Cars that differ a little from each other, as arrays, with their way out computed together.

A fit asks how each edge moves with each unknown. So the car with every unknown moved in turn is one
array of variants, and all of them run at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model import forces
from unspool.model.three_term_law import ThreeTermLaw
from unspool.study.calibration.types import Array

SAME_PLACE_M = 1e-9
Row = NDArray[np.intp]


@dataclass(frozen=True)
class CarVariants:
    """(v,) arrays in SI units, as in the model's Params, except:

    - resistance_n: all that does not depend on the speed, on the level.
    - catch: the share of the ideal impulse with which the string catches the weight.
    - end_m, lever: (v, k) where each tier ends, and its radius over the wheel's.
    - smooth: (k,) whether the lever goes over to this tier without a step, as on a taper.
    - place_m, direction: where on the floor it starts, and whether forwards (1) or back (-1).
    - knot_m, slope: (s,) where the floor's slope changes, or (v, s) if their floors differ. And
      (v, s + 1) the slopes between.
    """

    total_kg: Array
    coasting_kg: Array
    weight_kg: Array
    pulley_kg: Array
    efficiency: Array
    catch: Array
    drop_m: Array
    resistance_n: Array
    linear_n_s_m: Array
    drag_kg_m: Array
    end_m: Array
    lever: Array
    smooth: NDArray[np.bool_]
    knot_m: Array
    slope: Array
    place_m: Array
    direction: Array

    def __len__(self) -> int:
        return len(self.total_kg)

    @property
    def moving_kg(self) -> Array:
        return self.efficiency * self.weight_kg + self.pulley_kg

    def floor_ahead(self, x: Array) -> tuple[Array, Array]:
        """Slope ahead, rising along the way, and the way to where it changes; x: (v,) rolled."""
        place, ahead = self.place_m + self.direction * x, self.direction > 0.0
        after, up = self._next_knot(place + SAME_PLACE_M)
        before, down = self._last_knot(place - SAME_PLACE_M)
        i = np.where(ahead, after, before)
        slope = self.direction * self.slope[np.arange(len(self)), i]
        return slope, np.where(ahead, up - place, place - down)

    def _next_knot(self, place: Array) -> tuple[Row, Array]:
        """(v,) how many knots are not past the place, and the first that is."""
        if self.knot_m.ndim == 1:
            count = np.searchsorted(self.knot_m, place, side="right")
            return count, np.append(self.knot_m, np.inf)[count]
        count = np.count_nonzero(self.knot_m <= place[:, None], axis=1)
        padded = np.pad(self.knot_m, ((0, 0), (0, 1)), constant_values=np.inf)
        return count, padded[np.arange(len(count)), count]

    def _last_knot(self, place: Array) -> tuple[Row, Array]:
        """(v,) how many knots are before the place, and the last of them."""
        if self.knot_m.ndim == 1:
            count = np.searchsorted(self.knot_m, place, side="left")
            return count, np.insert(self.knot_m, 0, -np.inf)[count]
        count = np.count_nonzero(self.knot_m < place[:, None], axis=1)
        padded = np.pad(self.knot_m, ((0, 0), (1, 0)), constant_values=-np.inf)
        return count, padded[np.arange(len(count)), count]

    @property
    def kind(self) -> tuple[object, ...]:
        """Variants of one kind can be joined: as many tiers, tapered alike, and knots."""
        return self.lever.shape[1], tuple(self.smooth.tolist()), self.knot_m.shape[-1]

    @classmethod
    def joined(cls, parts: Sequence[CarVariants]) -> CarVariants:
        """Several of one kind as one, one after the other."""
        rows = {
            one.name: np.concatenate([getattr(part, one.name) for part in parts])
            for one in fields(cls)
            if one.name not in ("smooth", "knot_m")
        }
        knots = [np.broadcast_to(part.knot_m, (len(part), part.knot_m.shape[-1])) for part in parts]
        return cls(**rows, smooth=parts[0].smooth, knot_m=np.concatenate(knots))

    def rolling_from(self, rows: Row, place_m: Array, direction: Array) -> CarVariants:
        """Some of the cars, released at these places, their string gone."""
        own = {
            one.name: value[rows]
            for one in fields(self)
            if one.name not in ("smooth", "knot_m") and len(value := getattr(self, one.name))
        }
        none = np.zeros((len(rows), 0))
        gone = {"end_m": none, "lever": none, "smooth": self.smooth[:0]}
        moved = {"place_m": place_m, "direction": direction}
        return CarVariants(**{**own, **gone, **moved}, knot_m=self.knot_m)

    def law(self, lever: Array, slope: Array, v: Array) -> ThreeTermLaw:
        """What moves each car from here on; the lever is 0 if no string pulls."""
        net = forces.drive_force(self.efficiency, self.weight_kg, lever)
        net = net - self.resistance_n * np.sqrt(1.0 - slope * slope)
        net = net - forces.grade_force(self.total_kg, slope)
        mass = forces.accelerated_mass(self.coasting_kg, self.moving_kg, lever)
        return ThreeTermLaw.of(v, net, self.linear_n_s_m, self.drag_kg_m, mass)

    def free_fall(self) -> Array:
        return np.asarray(self.weight_kg * STANDARD_GRAVITY / (self.weight_kg + self.pulley_kg))
