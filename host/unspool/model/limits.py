"""What a run asks of tyres, balance and string: the formulas, for floats or arrays alike.

The driven axle is taken to be the rear one: accelerating loads it and lifts the front.
"""

from __future__ import annotations

from math import pi

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model.number import Number
from unspool.model.special import root

# Knots cut a cord's strength by as much as half (Cordage Institute, CI 1401).
KNOT_SHARE = 0.5
# Rope makers' guides ask for five times the breaking load, and the margin counts the knots already.
LEAST_STRING_MARGIN = 2.5
# How much a cord has stretched when it breaks: a stiff one, of polyester, for a hard catch.
STRETCH_AT_BREAK = 0.10
# Strength of a thin braided polyester cord over its full cross-section, if the file gives none
# (common practice, on the high side: a stiff cord makes a hard catch).
USUAL_STRENGTH_PA = 300e6


def usual_strength(string_diameter_m: float) -> float:
    """Breaking load in N of a cord of which only the diameter is known."""
    return USUAL_STRENGTH_PA * pi * string_diameter_m**2 / 4.0


def apparent_gravity(acceleration: Number, slope: Number) -> tuple[Number, Number]:
    """What a mass in the car feels, in m/s2: towards the back, and down onto the floor.

    slope is rise over rolled distance.
    """
    backward = acceleration + STANDARD_GRAVITY * slope
    return backward, STANDARD_GRAVITY * root(1.0 - slope * slope)


def axle_share(
    backward: Number,
    down: Number,
    wheelbase_m: Number,
    com_to_driven_axle_m: Number,
    com_height_m: Number,
) -> Number:
    """Load on the driven axle over the car's mass, in m/s2, load transfer included.

    `backward`, `down`: as apparent_gravity gives them. `com` is the centre of mass. From the
    moments about the front axle.
    """
    return (down * (wheelbase_m - com_to_driven_axle_m) + backward * com_height_m) / wheelbase_m


def tipping_margin(
    backward: Number, down: Number, com_to_driven_axle_m: Number, com_height_m: Number
) -> Number:
    """Moment that keeps the front wheels down over the moment that lifts them."""
    return down * com_to_driven_axle_m / (backward * com_height_m)


def tyre_force(
    coasting_kg: Number, driven_axle_kg: Number, acceleration: Number, resistance_n: Number
) -> Number:
    """Force in N at the driven tyres: all but what turns the driven axle itself."""
    return (coasting_kg - driven_axle_kg) * acceleration + resistance_n


def hanging_pull(weight_kg: Number, sink_acceleration: Number) -> Number:
    """Pull in N on the string by a weight that sinks with this acceleration in m/s2."""
    return weight_kg * (STANDARD_GRAVITY - sink_acceleration)


def catch_tension(
    speed_m_s: Number,
    lever: Number,
    free_string_m: Number,
    hanging_kg: Number,
    coasting_kg: Number,
    strength_n: Number,
) -> Number:
    """What a catch adds to the hanging weight's pull, in N.

    A mass on a spring: closing speed x root(stiffness x reduced mass). The spring is the free
    string, linear up to its break.
    """
    stiffness = strength_n / (STRETCH_AT_BREAK * free_string_m)
    reduced = 1.0 / (1.0 / hanging_kg + lever * lever / coasting_kg)
    return speed_m_s * root(stiffness * reduced)


def string_margin(breaking_load_n: Number, peak_tension_n: Number) -> Number:
    """Breaking load less the knots' share over the largest pull."""
    return KNOT_SHARE * breaking_load_n / peak_tension_n
