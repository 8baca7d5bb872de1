"""Rates of the true run's state, one function for each thing that the string can do.

Written for a solver and for nothing else. The weight, the pulley and the car are three bodies that
the string joins; each gets its own equation.
"""

from __future__ import annotations

from unspool.virtual.truth.drum import TierLever
from unspool.virtual.truth.true_car import (
    FALL,
    GRAVITY,
    ROLLED,
    SINK,
    SPIN,
    Floor,
    State,
    TrueCar,
    V,
)


def string_pull(
    car: TrueCar, lever: TierLever, rolled_m: float, spin: float
) -> tuple[float, float, float]:
    """String force at the tyre without acceleration, the mass that comes with it, and the rest of
    the weight's acceleration: weight acceleration = lever x wheel acceleration + rest.
    """
    arm = lever.at(rolled_m)
    eta, m = car.car.losses.drive_efficiency, car.car.weight_mass_kg
    eta = eta if lever.sign > 0 else 1.0 / eta
    rest = lever.sign * lever.per_m * spin**2
    moving = eta * m + car.pulley_kg
    return (eta * m * GRAVITY - moving * rest) * arm, moving * arm**2, rest


def _along_the_floor(car: TrueCar, y: State, floor: Floor) -> tuple[float, float, float]:
    """Rolling and air resistance, and the sum of all forces along the floor, in N."""
    rolling, air = car.resistances_n(y[V], floor)
    return rolling, air, -floor.direction * (rolling + air) - car.downhill_n(floor.slope)


def taut(car: TrueCar, t: float, y: State, floor: Floor, lever: TierLever) -> list[float]:
    """Wheel, string and weight move as one."""
    rolling, air, along = _along_the_floor(car, y, floor)
    force, extra, rest = string_pull(car, lever, y[ROLLED], y[SPIN])
    sway = car.sway_n(t, y, hangs=True)
    a = (force + along + sway) / (car.free_kg + extra)
    sink = lever.at(y[ROLLED]) * y[SPIN]
    sinking = lever.at(y[ROLLED]) * a + rest
    tension = car.car.weight_mass_kg * (GRAVITY - sinking)
    eta = car.car.losses.drive_efficiency
    # When it lifts the weight, the drum must pull harder by the share that is lost on the way.
    share = 1.0 - eta if lever.sign > 0 else 1.0 / eta - 1.0
    lost = share * tension * abs(sink)
    v, speed = y[V], floor.direction * y[V]
    power = [rolling * speed, air * speed, lost, -sway * v]
    return [v, a, v, a, sink, sinking, *power, *car.swing(y)]


def slack(car: TrueCar, t: float, y: State, floor: Floor) -> list[float]:
    """The weight falls by itself, with the pulley; the car coasts."""
    rolling, air, along = _along_the_floor(car, y, floor)
    m, sway, v = car.car.weight_mass_kg, car.sway_n(t, y, hangs=True), y[V]
    speed = floor.direction * v
    a = (along + sway) / car.free_kg
    falling = m * GRAVITY / (m + car.pulley_kg)
    power = [rolling * speed, air * speed, 0.0, -sway * v]
    return [v, a, v, a, y[SINK], falling, *power, *car.swing(y)]


def coasting(car: TrueCar, t: float, y: State, floor: Floor) -> list[float]:
    """No string pulls, and the weight rests or is left behind."""
    rolling, air, along = _along_the_floor(car, y, floor)
    sway, v, speed = car.sway_n(t, y, hangs=False), y[V], floor.direction * y[V]
    a = (along + sway) / car.free_kg
    return [v, a, v, a, 0.0, 0.0, rolling * speed, air * speed, 0.0, -sway * v, 0.0, 0.0]


def sliding(
    car: TrueCar, t: float, y: State, floor: Floor, lever: TierLever, grip_n: float
) -> list[float]:
    """The driven wheels turn under the string while the tyre pushes the car with grip_n."""
    rolling, air, along = _along_the_floor(car, y, floor)
    force, extra, rest = string_pull(car, lever, y[ROLLED], y[SPIN])
    sway, v, speed = car.sway_n(t, y, hangs=True), y[V], floor.direction * y[V]
    spinning = (force - grip_n) / (car.driven_kg + extra)
    a = (grip_n + along + sway) / (car.free_kg - car.driven_kg)
    arm = lever.at(y[ROLLED])
    tension = car.car.weight_mass_kg * (GRAVITY - arm * spinning - rest)
    lost = (1.0 - car.car.losses.drive_efficiency) * tension * arm * y[SPIN]
    other = grip_n * (y[SPIN] - v) - sway * v
    sinking = arm * spinning + rest
    power = [rolling * speed, air * speed, lost, other]
    return [v, a, y[SPIN], spinning, arm * y[SPIN], sinking, *power, *car.swing(y)]


def caught(car: TrueCar, y: State, arm: float) -> tuple[State, float]:
    """The state after the string, at lever `arm`, caught the weight; and the energy it cost.

    A string that gives, or springs back, passes on another share of the ideal impulse.
    """
    eta, share = car.car.losses.drive_efficiency, car.imperfections.catch
    eta, share = (eta, share) if arm > 0 else (1.0 / eta, 1.0)
    moving = share * (eta * car.car.weight_mass_kg + car.pulley_kg)
    after = y.copy()
    after[V] = (car.free_kg * y[V] + moving * y[SINK] * arm) / (car.free_kg + moving * arm**2)
    after[SPIN], after[SINK] = after[V], after[V] * arm
    return after, kinetic_j(car, y) - kinetic_j(car, after)


def kinetic_j(car: TrueCar, y: State) -> float:
    """Kinetic energy in J of car, wheels, weight's fall and pulley."""
    travelling = (car.free_kg - car.driven_kg) * y[V] ** 2 + car.driven_kg * y[SPIN] ** 2
    return float(0.5 * (travelling + car.hanging_kg * y[SINK] ** 2))


def left_j(car: TrueCar, y: State) -> float:
    """Energy in J that is still in the weight."""
    return car.car.weight_mass_kg * GRAVITY * (car.car.drop_m - float(y[FALL]))
