"""What driving asks of string, tyres and balance, many lanes at once."""

from __future__ import annotations

import numpy as np

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model import forces, limits
from unspool.model.batch_legs import Indices, Leg
from unspool.model.batch_params import Fleet, Floats


def strain(
    fleet: Fleet, leg: Leg, at: Indices, v: Floats, rolling: Floats
) -> tuple[Floats, Floats, Floats]:
    """Pull in the string in N, traction margin and tipping margin of the lanes `at` of a taut leg
    at speeds v; rolling is their resistance in N. A margin is infinite where nothing is asked.
    """
    f, lane, slope = fleet, leg.lane[at], leg.slope[at]
    a = (leg.net[at] - leg.drag[at] * v**2) / leg.mass[at]
    forward = a + STANDARD_GRAVITY * slope
    down = STANDARD_GRAVITY * np.sqrt(1.0 - slope**2)
    resisting = rolling + forces.grade_force(f.total_kg[lane], slope) + leg.drag[at] * v * v
    force = limits.tyre_force(f.coasting_kg[lane], f.driven_axle_kg[lane], a, resisting)
    place = (f.behind_m[lane], f.height_m[lane])
    load = f.total_kg[lane] * limits.axle_share(forward, down, f.wheelbase_m[lane], *place)
    return (
        limits.hanging_pull(f.weight_kg[lane], leg.lever[at] * a),
        np.where(force > 0.0, f.friction[lane] * load / force, np.inf),
        np.where(forward > 0.0, limits.balance(forward, down, *place), np.inf),
    )
