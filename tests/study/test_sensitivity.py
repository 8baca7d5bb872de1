"""What a step of a measure does to the distance, against two predictions by hand."""

from __future__ import annotations

import pytest

from unspool.car import FLAT, parse_car
from unspool.car.editing import edited
from unspool.car.new_car import NEW_CAR
from unspool.model import predict
from unspool.study.sensitivity import distance_changes
from unspool.virtual.demo.scenario import SANDPIPER

CAR = SANDPIPER.read_text("utf-8")


@pytest.mark.parametrize(
    ("path", "step", "below", "above"),
    [
        ("body.mass_g", 10.0, 905, 915),
        ("drum.1.diameter_mm", 1.0, 15.5, 16.5),
        ("losses.rolling_coefficient", 0.001, 0.0115, 0.0125),
    ],
)
def test_it_is_the_difference_of_two_cars(
    path: str, step: float, below: float, above: float
) -> None:
    far = [predict(parse_car(edited(CAR, {path: v}), "x"), FLAT) for v in (below, above)]
    expected = far[1].distance_m - far[0].distance_m
    assert distance_changes(CAR, {path: step})[path] == pytest.approx(expected, rel=1e-9)


def test_the_signs_are_those_of_the_builder() -> None:
    found = distance_changes(NEW_CAR, {"weight.mass_g": 10.0, "body.mass_g": 10.0})
    assert found["weight.mass_g"] > 0.0 > found["body.mass_g"]


def test_what_cannot_be_moved_is_left_out() -> None:
    steps = {"name": 1.0, "wheels.0.driven": 1.0, "losses.floor": 1.0, "drum.9.turns": 1.0}
    assert distance_changes(CAR, steps | {"weight.mass_g": 10**6}) == {}
    assert distance_changes("[[", {"body.mass_g": 1.0}) == {}
    assert distance_changes(CAR.replace("910", "1"), {"body.mass_g": 1.0}) == {}


def test_a_taper_has_a_weight_too() -> None:
    tapered = edited(CAR, {"drum.1.end_diameter_mm": 14})
    assert distance_changes(tapered, {"drum.1.diameter_mm": 1.0})["drum.1.diameter_mm"] > 0.0


def test_a_car_that_nothing_stops_has_no_weights() -> None:
    changes = {"losses.rolling_coefficient": 0, "losses.constant_drag_n": 0}
    free = edited(CAR, {**changes, "body.frontal_area_cm2": None, "body.drag_coefficient": None})
    assert distance_changes(free, {"body.mass_g": 10.0}) == {}
