"""What drives, holds and moves the car: each formula once, for one run and for many.

Every function takes floats, or (n,) arrays that broadcast, and returns the same.
`slope`: rise over rolled distance, the sine of the floor's angle.
`lever`: a tier's radius over the driven wheel's.
`moving_kg`: what a weight at lever 1 adds to the accelerated mass, efficiency x weight + pulley.
`hanging_kg`: weight + pulley.
"""

from __future__ import annotations

import math

import numpy as np

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model.number import Number
from unspool.model.special import root


def normal_force(total_kg: Number, slope: Number) -> Number:
    """What presses the car to the floor, in N."""
    return total_kg * STANDARD_GRAVITY * root(1.0 - slope * slope)


def resistance(coefficient: Number, total_kg: Number, constant_n: Number, slope: Number) -> Number:
    """Resistance in N that does not depend on the speed."""
    return coefficient * normal_force(total_kg, slope) + constant_n


def grade_force(total_kg: Number, slope: Number) -> Number:
    """The part of the car's weight that acts along the floor, in N against +x."""
    return total_kg * STANDARD_GRAVITY * slope


def drive_force(efficiency: Number, weight_kg: Number, lever: Number) -> Number:
    """Force in N at the tyre of a hanging weight that does not accelerate."""
    return efficiency * weight_kg * STANDARD_GRAVITY * lever


def accelerated_mass(coasting_kg: Number, moving_kg: Number, lever: Number) -> Number:
    """Mass in kg that the drive force accelerates: the car, and the weight through the string."""
    return coasting_kg + moving_kg * lever * lever


def free_fall(weight_kg: Number, hanging_kg: Number) -> Number:
    """Acceleration in m/s2 of a weight that turns the pulley and nothing else."""
    return weight_kg * STANDARD_GRAVITY / hanging_kg


def start_margin(drive_n: Number, needed_n: Number) -> Number:
    """Drive force over what holds the car at rest; infinite if the floor alone starts it."""
    if isinstance(drive_n, float):
        if needed_n > 0.0:
            return drive_n / needed_n
        return math.inf if drive_n > 0.0 else 0.0
    safe = np.where(needed_n > 0.0, needed_n, 1.0)
    downhill = np.where(drive_n > 0.0, np.inf, 0.0)
    return np.where(needed_n > 0.0, drive_n / safe, downhill)


def catch(
    speed: Number,
    weight_speed: Number,
    lever: Number,
    coasting_kg: Number,
    moving_kg: Number,
    hanging_kg: Number,
) -> tuple[Number, Number]:
    """Speed in m/s of the car after the string caught the weight, and the energy lost in J.

    The pull is inelastic, along the string. The weight counts with the drive's efficiency, as it
    does while it drives: only so is a taper the limit of many small steps.
    """
    mass = accelerated_mass(coasting_kg, moving_kg, lever)
    after = (coasting_kg * speed + moving_kg * weight_speed * lever) / mass
    lost = 0.5 * coasting_kg * (speed**2 - after**2)
    return after, lost + 0.5 * hanging_kg * (weight_speed**2 - (after * lever) ** 2)


def drive_loss(
    efficiency: Number, weight_kg: Number, paid_m: Number, before: Number, after: Number
) -> Number:
    """Energy in J that the drive took while the weight sank by paid_m, from `before` to `after`.

    What the weight gives and does not keep as speed (in m/s) goes through the string.
    """
    through = weight_kg * (STANDARD_GRAVITY * paid_m - 0.5 * (after**2 - before**2))
    return (1.0 - efficiency) * through
