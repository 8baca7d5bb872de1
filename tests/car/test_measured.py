"""How well a car is known: stated standard deviations win over those of usual tools."""

from __future__ import annotations

from math import hypot

import pytest

from car.test_load import GOOD, faults_of
from unspool.car import drive_efficiency, measured, parse_car


def test_usual_tools_where_the_file_states_nothing() -> None:
    known = measured(parse_car(GOOD, "plover.toml"))
    assert known.body_kg == pytest.approx(hypot(0.001, 0.004))
    assert known.weight_kg == pytest.approx(hypot(0.001, 0.0025))
    assert known.drop_m == pytest.approx(0.003)
    assert known.tier_radius_m == pytest.approx((1e-4, 1e-4))
    assert known.turns == (0.1, 0.1)
    assert known.driven_share == pytest.approx(0.3 / 100.0)
    assert known.pulley_kg == 0.0
    assert known.drag_area_share is None


def test_stated_sds_are_taken() -> None:
    text = (
        GOOD.replace("mass_g = 800", "mass_g = 800\nmass_sd_g = 3")
        .replace("drop_mm = 400", "drop_mm = 400\ndrop_sd_mm = 1.5\nmass_sd_g = 2")
        .replace("turns = 3\n", "turns = 3\nturns_sd = 0.02\ndiameter_sd_mm = 0.1\n")
        .replace(
            "diameter_mm = 100",
            "diameter_mm = 100\nrolling_circumference_mm = 314\nrolling_circumference_sd_mm = 0.3",
        )
    )
    known = measured(parse_car(text, "plover.toml"))
    assert (known.body_kg, known.weight_kg, known.drop_m) == (0.003, 0.002, 0.0015)
    assert known.turns == (0.02, 0.1)
    assert known.tier_radius_m == pytest.approx((5e-5, 1e-4))
    assert known.driven_share == pytest.approx(0.3 / 314.0)


def test_a_roll_out_is_better_than_a_calliper() -> None:
    rolled = GOOD.replace("diameter_mm = 100", "diameter_mm = 100\nrolling_circumference_mm = 314")
    known = measured(parse_car(rolled, "plover.toml"))
    assert known.driven_share == pytest.approx(0.5 / 314.0)
    assert known.encoder_share * 0.314 == pytest.approx(0.5e-3)


def test_rotating_mass_of_all_wheels() -> None:
    car = parse_car(GOOD, "plover.toml")
    rear, front = 2 * 0.040 / 2.0, 0.010 / 2.0
    assert car.rotating_mass_kg == pytest.approx(rear + front)
    assert measured(car).rotating_kg == pytest.approx(0.2 * hypot(rear, front))


def test_drag_area_by_outline_and_looks() -> None:
    drag = "mass_g = 800\nfrontal_area_cm2 = 100\ndrag_coefficient = 0.9"
    known = measured(parse_car(GOOD.replace("mass_g = 800", drag), "plover.toml"))
    assert known.drag_area_share == pytest.approx(0.3, rel=0.01)
    drag += "\nfrontal_area_sd_cm2 = 5\ndrag_coefficient_sd = 0.09"
    known = measured(parse_car(GOOD.replace("mass_g = 800", drag), "plover.toml"))
    assert known.drag_area_share == pytest.approx(hypot(0.05, 0.1))


@pytest.mark.parametrize(
    ("losses", "expected"),
    [
        ("", (0.81, 0.32 / 12**0.5)),
        ("[losses]\ndrive_efficiency = 0.93", (0.81, 0.32 / 12**0.5)),
        ("[losses]\ndrive_efficiency = 0.93\ndrive_efficiency_sd = 0.01", (0.93, 0.01)),
    ],
)
def test_efficiency_is_wide_unless_stated_with_its_sd(
    losses: str, expected: tuple[float, float]
) -> None:
    assert drive_efficiency(parse_car(GOOD + losses, "plover.toml")) == pytest.approx(expected)


def test_an_sd_of_a_loss_does_not_count_as_a_loss_left_out() -> None:
    car = parse_car(GOOD + "[losses]\nrolling_coefficient = 0.01", "plover.toml")
    assert set(car.losses.assumed) == {
        "constant_drag_n",
        "linear_drag_n_s_per_m",
        "drive_efficiency",
        "break_away_coefficient",
        "tyre_friction",
    }


@pytest.mark.parametrize(
    ("old", "new", "where"),
    [
        ("mass_g = 800", "mass_g = 800\nmass_sd_g = 500", "body.mass_sd_g"),
        ("mass_g = 800", "mass_g = 800\nmass_sd_g = 0", "body.mass_sd_g"),
        ("mass_g = 800", "mass_g = 800\ndrag_coefficient_sd = 0.1", "body.drag_coefficient"),
        ("turns = 3\n", "turns = 3\nturns_sd = 2\n", "drum[0].turns_sd"),
        (
            "diameter_mm = 100",
            "diameter_mm = 100\nrolling_circumference_sd_mm = 1",
            "wheels[0].rolling_circumference_mm",
        ),
    ],
)
def test_an_sd_without_its_value_or_beyond_it_is_a_fault(old: str, new: str, where: str) -> None:
    assert where in faults_of(GOOD.replace(old, new))


def test_a_loss_of_zero_may_have_an_sd() -> None:
    text = GOOD + "[losses]\nconstant_drag_n = 0\nconstant_drag_sd_n = 0.004"
    assert parse_car(text, "plover.toml").losses.constant_drag_sd_n == 0.004
