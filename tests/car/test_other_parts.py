"""What changes with a weight, a body, a drop or wheels: masses, inertia and the centre of mass."""

from __future__ import annotations

from dataclasses import replace

import pytest

from unspool.car import Car, Geometry, parse_car
from unspool.car.other_parts import (
    weight_height_m,
    wheel_mass_kg,
    with_body,
    with_driven_wheels,
    with_drop,
    with_weight,
)
from unspool.virtual.demo.scenario import sandpiper

TALL = Geometry(0.34, 0.15, 0.30, weight_height_m=0.60, weight_to_driven_axle_m=0.10)


def tall() -> Car:
    """A body of 910 g and a weight of 640 g whose own centre the file says."""
    return replace(sandpiper(), geometry=TALL)


def of(car: Car) -> Geometry:
    assert car.geometry is not None
    return car.geometry


def test_a_weight_draws_the_centre_of_mass_towards_itself() -> None:
    heavier = of(with_weight(tall(), 0.94))
    assert heavier.centre_of_mass_height_m == pytest.approx((1.55 * 0.30 + 0.3 * 0.60) / 1.85)
    behind = (1.55 * 0.15 + 0.3 * 0.10) / 1.85
    assert heavier.centre_of_mass_to_driven_axle_m == pytest.approx(behind)


def test_a_body_draws_it_towards_its_own_centre() -> None:
    body_m = (1.55 * 0.30 - 0.64 * 0.60) / 0.91
    heavier = of(with_body(tall(), 1.21))
    expected = (1.55 * 0.30 + 0.3 * body_m) / 1.85
    assert heavier.centre_of_mass_height_m == pytest.approx(expected)


def test_a_higher_tower_lifts_the_weight_alone() -> None:
    higher = with_drop(tall(), 0.66)
    assert higher.drop_m == 0.66
    assert of(higher).centre_of_mass_height_m == pytest.approx(0.30 + 0.1 * 0.64 / 1.55)
    assert of(higher).weight_height_m == pytest.approx(0.70)


def test_there_and_back_is_the_same_car() -> None:
    car = tall()
    again = of(with_weight(with_weight(car, 1.2), car.weight_mass_kg))
    assert again.centre_of_mass_height_m == pytest.approx(0.30)
    assert again.centre_of_mass_to_driven_axle_m == pytest.approx(0.15)


def test_a_wheels_mass_goes_with_the_square_and_its_inertia_with_the_fourth_power() -> None:
    car = sandpiper()
    before = car.driven_wheel
    after = with_driven_wheels(car, 2.0 * before.radius_m)
    assert wheel_mass_kg(after.driven_wheel) == pytest.approx(4.0 * 0.038)
    assert after.driven_wheel.inertia_kg_m2 == pytest.approx(16.0 * before.inertia_kg_m2)
    assert after.body_mass_kg == pytest.approx(0.910 + 2 * 3.0 * 0.038)


def test_a_wheels_given_mass_scales_the_inertia_alone() -> None:
    car = sandpiper()
    before = car.driven_wheel
    after = with_driven_wheels(car, 2.0 * before.radius_m, 0.038)
    assert after.body_mass_kg == pytest.approx(0.910)
    assert after.driven_wheel.inertia_kg_m2 == pytest.approx(4.0 * before.inertia_kg_m2)


def test_larger_driven_wheels_lift_their_end_of_the_car() -> None:
    """By the radius at the axle, by nothing at the other; their own mass sits at the axle."""
    car = tall()
    radius = car.driven_wheel.radius_m + 0.02
    after = of(with_driven_wheels(car, radius, 0.038))
    share = 1.0 - 0.15 / 0.34
    assert after.centre_of_mass_height_m == pytest.approx(0.30 + 0.02 * share)


def test_a_weight_of_unknown_height_hangs_no_higher_than_the_centre_of_mass_allows() -> None:
    """By the drop it would hang at 0.62 m, and then the body's own centre were under the floor."""
    car = sandpiper()
    height = weight_height_m(car)
    assert of(car).centre_of_mass_height_m < height < car.drop_m
    high = replace(car, geometry=replace(of(car), centre_of_mass_height_m=0.45))
    assert weight_height_m(high) == pytest.approx(car.driven_wheel.radius_m + car.drop_m)


def test_without_a_geometry_only_masses_change() -> None:
    car = replace(sandpiper(), geometry=None)
    for changed in (with_weight(car, 1.0), with_body(car, 1.0), with_drop(car, 0.3)):
        assert changed.geometry is None
    assert with_driven_wheels(car, 0.05).geometry is None


def test_a_car_file_says_where_its_weight_hangs() -> None:
    text = """
name = "tower"
body = {mass_g = 900, wheelbase_mm = 340, centre_of_mass_to_driven_axle_mm = 150,
        centre_of_mass_height_mm = 300}
weight = {mass_g = 600, drop_mm = 560, centre_height_mm = 600, centre_to_driven_axle_mm = 100}
string = {diameter_mm = 0.6}
wheels = [{name = "rear", count = 2, diameter_mm = 124, mass_g = 38, driven = true}]
drum = [{name = "run", diameter_mm = 16, turns = 10}]
encoder = {pulses_per_turn = 20, axle = "rear"}
""".replace(",\n        ", ", ")
    geometry = of(parse_car(text, ""))
    assert (geometry.weight_height_m, geometry.weight_to_driven_axle_m) == (0.6, 0.1)
