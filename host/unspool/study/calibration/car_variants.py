"""Cars that differ a little from each other, as arrays, with their way out computed together.

A fit asks how each edge moves with each unknown. So the car with every unknown moved in turn is one
array of variants, and all of them run at once.
"""

from __future__ import annotations

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
    - knot_m, slope: (s,) where the floor's slope changes, and (v, s + 1) the slopes between.
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
        after = np.searchsorted(self.knot_m, place + SAME_PLACE_M, side="right")
        before = np.searchsorted(self.knot_m, place - SAME_PLACE_M, side="left")
        i = np.where(ahead, after, before)
        up, down = np.append(self.knot_m, np.inf)[after], np.insert(self.knot_m, 0, -np.inf)[before]
        slope = self.direction * self.slope[np.arange(len(self)), i]
        return slope, np.where(ahead, up - place, place - down)

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
