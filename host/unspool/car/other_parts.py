"""The same car with another weight, body, drop or driven wheels: what else changes with them.

A part moves the centre of mass towards itself. Wheels of another diameter weigh as solid discs of
the same thickness do, with the square of the diameter, unless their mass is given. Their moment of
inertia keeps its share of mass x radius^2, so it goes with the fourth power.
"""

from __future__ import annotations

from dataclasses import replace

from unspool.car.handbook import with_usual_losses
from unspool.car.vehicle import Car, Geometry, Wheel

# The body's own centre of mass is not lower than this share of the wheel's radius. So a weight
# whose height the file leaves out hangs no higher than the car's centre of mass allows.
LEAST_BODY_HEIGHT = 0.5


def with_weight(car: Car, mass_kg: float) -> Car:
    """The car with another falling weight in the same place."""
    added = mass_kg - car.weight_mass_kg
    geometry = _moved(car, added, weight_height_m(car), _weight_behind_m(car))
    return replace(car, weight_mass_kg=mass_kg, weight_mass_sd_kg=None, geometry=geometry)


def with_body(car: Car, mass_kg: float) -> Car:
    """The car with a heavier or lighter body, in proportion everywhere."""
    added, geometry = mass_kg - car.body_mass_kg, None
    if car.geometry is not None:
        height = _without_weight(car, car.geometry.centre_of_mass_height_m, weight_height_m(car))
        behind = car.geometry.centre_of_mass_to_driven_axle_m
        at = _without_weight(car, behind, _weight_behind_m(car))
        geometry = _moved(car, added, height, at)
    return replace(car, body_mass_kg=mass_kg, body_mass_sd_kg=None, geometry=geometry)


def with_drop(car: Car, drop_m: float) -> Car:
    """The car with a higher or lower tower, whose own mass is left as it is."""
    geometry = car.geometry
    if geometry is not None:
        higher = drop_m - car.drop_m
        height = geometry.centre_of_mass_height_m
        height += higher * car.weight_mass_kg / car.total_mass_kg
        top = geometry.weight_height_m
        geometry = replace(
            geometry,
            centre_of_mass_height_m=max(height, LEAST_BODY_HEIGHT * car.driven_wheel.radius_m),
            weight_height_m=None if top is None else max(top + higher, 0.0),
        )
    return replace(car, drop_m=drop_m, drop_sd_m=None, geometry=geometry)


def with_driven_wheels(car: Car, radius_m: float, mass_kg: float | None = None) -> Car:
    """The car on driven wheels of another radius; mass_kg is of each, scaled if it is not given."""
    before = car.driven_wheel
    after = _resized(before, radius_m, mass_kg)
    added = before.count * (wheel_mass_kg(after) - wheel_mass_kg(before))
    geometry = _moved(car, added, radius_m, 0.0)
    if geometry is not None:
        # The driven axle rises with its wheels, and the other one stays.
        share = 1.0 - geometry.centre_of_mass_to_driven_axle_m / geometry.wheelbase_m
        higher = geometry.centre_of_mass_height_m + share * (radius_m - before.radius_m)
        geometry = replace(geometry, centre_of_mass_height_m=higher)
    wheels = tuple(after if wheel.driven else wheel for wheel in car.wheels)
    body = car.body_mass_kg + added
    return with_usual_losses(replace(car, wheels=wheels, body_mass_kg=body, geometry=geometry))


def wheel_mass_kg(wheel: Wheel) -> float:
    """The mass of each wheel of a set; a disc's of its inertia if it is not known."""
    if wheel.mass_kg is not None:
        return wheel.mass_kg
    return 2.0 * wheel.inertia_kg_m2 / wheel.radius_m**2


def weight_height_m(car: Car) -> float:
    """The height of the weight's centre at the top; by the drop if the file leaves it out."""
    geometry = car.geometry
    if geometry is None:
        return 0.0
    if geometry.weight_height_m is not None:
        return geometry.weight_height_m
    radius = car.driven_wheel.radius_m
    moment = car.total_mass_kg * geometry.centre_of_mass_height_m
    highest = (moment - car.body_mass_kg * LEAST_BODY_HEIGHT * radius) / car.weight_mass_kg
    return max(min(radius + car.drop_m, highest), 0.0)


def _weight_behind_m(car: Car) -> float:
    """The weight's distance to the driven axle; over the centre of mass if it is not known."""
    geometry = car.geometry
    if geometry is None:
        return 0.0
    known = geometry.weight_to_driven_axle_m
    return geometry.centre_of_mass_to_driven_axle_m if known is None else known


def _without_weight(car: Car, of_all: float, of_weight: float) -> float:
    """The body's share of a place of the centre of mass."""
    moment = car.total_mass_kg * of_all - car.weight_mass_kg * of_weight
    return moment / car.body_mass_kg


def _resized(wheel: Wheel, radius_m: float, mass_kg: float | None) -> Wheel:
    before = wheel_mass_kg(wheel)
    mass = before * (radius_m / wheel.radius_m) ** 2 if mass_kg is None else mass_kg
    shape = wheel.inertia_kg_m2 / (before * wheel.radius_m**2) if before else 0.5
    inertia = shape * mass * radius_m**2
    return replace(
        wheel, radius_m=radius_m, inertia_kg_m2=inertia, mass_kg=mass,
        radius_sd_m=None, inertia_sd_kg_m2=None, rolled_out=False,
    )  # fmt: skip


def _moved(car: Car, added_kg: float, height_m: float, behind_m: float) -> Geometry | None:
    """Where the centre of mass goes if mass is added at a place."""
    geometry = car.geometry
    if geometry is None:
        return None
    before, after = car.total_mass_kg, car.total_mass_kg + added_kg
    height = (before * geometry.centre_of_mass_height_m + added_kg * height_m) / after
    behind = (before * geometry.centre_of_mass_to_driven_axle_m + added_kg * behind_m) / after
    return replace(
        geometry,
        centre_of_mass_height_m=height,
        centre_of_mass_to_driven_axle_m=min(max(behind, 0.0), geometry.wheelbase_m),
    )
