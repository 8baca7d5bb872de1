"""The model's pieces against worked problems of OpenStax University Physics 1 and College Physics.

The books take g = 9.80; figures that scale with it are compared after that, to half of the last
printed digit, and to the unrounded figure where it was recomputed.
"""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi, radians, sin, sqrt

import pytest

from unspool.car import parse_car
from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model import predict
from unspool.model.closed_form import distance_to_speed, speed_squared, time_to_speed
from unspool.model.forces import normal_force
from unspool.model.params import Params, TierPath
from unspool.model.segments import Dynamics, solve_segment
from unspool.model.simulate import Simulation
from unspool.model.states import StringState
from unspool.render.json.prediction import prediction_json
from unspool.virtual.demo import scenario

BOOK = 9.80 / STANDARD_GRAVITY


def bench(
    weight_kg: float = 0.0,
    coasting_kg: float = 1.0,
    total_kg: float = 1.0,
    lever: float = 1.0,
    string_m: float = 1.0,
    slope: float = 0.0,
    friction: float = 0.0,
) -> Params:
    """A weight on a string that drives something, as parameters without losses of its own."""
    way = string_m / lever
    return Params(
        total_kg=total_kg, coasting_kg=coasting_kg, driven_axle_kg=0.0,
        weight_kg=weight_kg, pulley_kg=0.0, efficiency=1.0, drop_m=2.0 * string_m,
        rolling=friction, break_away=friction, constant_n=0.0, linear_n_s_m=0.0, drag_kg_m=0.0,
        tiers=(TierPath("only", 0.0, way, lever, 0.0, 0.0),),
        level_m=(0.0, 100.0), height_m=(0.0, 100.0 * slope),
    )  # fmt: skip


def acceleration(params: Params, string: StringState = StringState.TAUT) -> float:
    """At the book's g."""
    return Simulation(params, string=string).dynamics().acceleration(0.0, 0.0) * BOOK


def test_drum_with_a_falling_weight() -> None:
    """UP1 chapter 10: r 0.25 m, I 6.0 kg m2, 5.0 m of cord, 40 N pull or a weight of 40 N."""
    pulled = sqrt(speed_squared(5.0, 0.0, 40.0, 0.0, 6.0 / 0.25**2)) / 0.25
    assert pulled == pytest.approx(8.2, abs=0.05)
    assert pulled == pytest.approx(8.1650, abs=5e-5)
    run = Simulation(bench(weight_kg=40.0 / 9.80, coasting_kg=6.0 / 0.25**2, string_m=5.0))
    run.step()
    assert run.v * sqrt(BOOK) / 0.25 == pytest.approx(8.0, abs=0.05)
    assert run.v * sqrt(BOOK) / 0.25 == pytest.approx(7.9967, abs=5e-5)


def test_drum_energy() -> None:
    """UP1 10.8: 50 N unwinds 1.0 m from r 0.10 m, I 2.5e-3 kg m2: 200.0 rad/s."""
    assert sqrt(speed_squared(1.0, 0.0, 50.0, 0.0, 2.5e-3 / 0.1**2)) / 0.1 == pytest.approx(200.0)


def test_block_on_a_slope_with_a_disc() -> None:
    """UP1 chapter 10: 3 kg on 45 degrees, friction 0.4, disc of 1 kg: 3.6 m/s2."""
    block = bench(total_kg=3.0, coasting_kg=3.5, slope=-sin(radians(45)), friction=0.4)
    assert acceleration(block, StringState.GONE) == pytest.approx(3.6, abs=0.05)
    assert acceleration(block, StringState.GONE) == pytest.approx(3.5638, abs=5e-5)


def test_block_on_a_smooth_slope_with_a_disc() -> None:
    """UP1 chapter 10: 2 kg on 40 degrees, disc of 1 kg, 0.50 m; the disc gains 1.25 J."""
    block = bench(total_kg=2.0, coasting_kg=2.5, slope=-sin(radians(40)))
    a = acceleration(block, StringState.GONE)
    assert a == pytest.approx(5.0395, abs=5e-5)
    assert 0.5 * 0.5 * speed_squared(0.5, 0.0, a, 0.0, 1.0) == pytest.approx(1.2599, abs=5e-5)


def test_stepped_pulley() -> None:
    """UP1 10.7, no printed answer: I 2.0, 1.0 kg on 0.50 m against 2.0 kg on 0.20 m: 0.420601."""
    pulley = bench(
        weight_kg=1.0, lever=0.5, total_kg=2.0, slope=0.2, coasting_kg=2.0 + 2.0 * 0.2**2
    )
    assert acceleration(pulley) == pytest.approx(0.420601, abs=5e-7)


def test_atwood() -> None:
    """UP1 6.1: 2.00 and 4.00 kg: 3.27 m/s2 and 26.1 N."""
    a = acceleration(bench(weight_kg=4.0, total_kg=2.0, coasting_kg=2.0, slope=1.0))
    assert a == pytest.approx(3.2667, abs=5e-5)
    assert 4.0 * (9.80 - a) == pytest.approx(26.133, abs=5e-4)


def test_block_on_a_table_with_a_hanging_weight() -> None:
    """UP1 6.1: 4.0 kg pulled by 1.0 kg that falls 1.0 m: 2.0 m/s2, 7.8 N, 2.0 m/s."""
    table = bench(weight_kg=1.0, total_kg=4.0, coasting_kg=4.0)
    assert acceleration(table) == pytest.approx(1.960, abs=5e-4)
    run = Simulation(table)
    run.step()
    assert run.v * sqrt(BOOK) == pytest.approx(1.9799, abs=5e-5)
    assert 1.0 * (9.80 - acceleration(table)) == pytest.approx(7.84, abs=5e-4)


TABLE = """
name = "table"
body = {mass_g = 3000}
weight = {mass_g = 1000, drop_mm = 1000}
string = {diameter_mm = 0}
wheels = [{name = "rear", count = 2, diameter_mm = 100.000001, mass_g = 0, driven = true}]
drum = [{name = "only", diameter_mm = 100, turns = 3.183098861837907}]
encoder = {pulses_per_turn = 20, axle = "rear"}
losses = {rolling_coefficient = 0, drive_efficiency = 1}
"""


def test_hanging_weight_through_the_whole_prediction() -> None:
    """UP1 6.1 again, as a car of 4.0 kg whose drum is as large as its wheel: 2.0 m/s."""
    told = prediction_json(predict(parse_car(TABLE, "table")))
    assert told["peak_speed_m_s"] * sqrt(BOOK) == pytest.approx(1.9799, abs=5e-5)
    assert told["release_m"] == pytest.approx(1.0, abs=1e-6)
    assert told["energy_j"]["stored"] == pytest.approx(9.80665)
    assert told["energy_j"]["landing"] == pytest.approx(9.80665 / 5.0, abs=1e-6)
    assert told["energy_j"]["kinetic"] == pytest.approx(9.80665 * 4.0 / 5.0, abs=1e-6)
    assert told["distance_m"] is told["duration_s"] is told["start_margin"] is None


def test_rolling_cylinder() -> None:
    """CP 10.4: a solid cylinder rolls down 2.00 m of height: 5.11 m/s."""
    cylinder = bench(total_kg=1.0, coasting_kg=1.5, slope=-0.5)
    speed = sqrt(speed_squared(4.0, 0.0, acceleration(cylinder, StringState.GONE), 0.0, 1.0))
    assert speed == pytest.approx(5.1121, abs=5e-5)


def test_boat_with_linear_drag() -> None:
    """UP1 6.4: from 4.0 to 1.0 m/s in 10 s; b / m = 0.14, at most 29 m."""
    segment = solve_segment(Dynamics(0.0, 0.0, 1.0, 0.138629436), 4.0, 28.854 * 0.75)
    assert segment.time_s == pytest.approx(10.0, abs=5e-4)
    assert segment.v1 == pytest.approx(1.0, abs=1e-4)


def test_way_of_a_boat_with_linear_drag() -> None:
    """UP1 6.4: the same boat comes 29 m far (28.854); what is left at 0.01 % of its speed is."""
    segment = solve_segment(Dynamics(-1e-9, 0.0, 1.0, 0.138629436), 4.0, 50.0)
    assert segment.v1 == 0.0
    assert segment.length_m == pytest.approx(29.0, abs=0.5)
    assert segment.length_m == pytest.approx(28.854, abs=5e-4)


def test_drag_that_balances_a_weight() -> None:
    """UP1 6.4: 100 kg fall at 60 m/s when b is 0.27 (0.27222) kg/m."""
    fastest = sqrt(speed_squared(1e5, 0.0, 100.0 * 9.80, 0.27222, 100.0))
    assert fastest == pytest.approx(60.0, abs=5e-4)


def test_slowing_turntable() -> None:
    """UP1 chapter 10: from 33 1/3 turns a minute to rest in 1.0 min: 0.06 rad/s2, 16.7 turns."""
    start = 100.0 / 3.0 * pi / 30.0
    slowing = start / 60.0
    assert slowing == pytest.approx(0.06, abs=0.005)
    assert time_to_speed(start, 0.0, -slowing, 0.0, 1.0) == pytest.approx(60.0)
    turns = distance_to_speed(start**2, 0.0, -slowing, 0.0, 1.0) / (2.0 * pi)
    assert turns == pytest.approx(16.7, abs=0.05)


def test_sliding_to_a_stop() -> None:
    """UP1 chapter 6: 100 km/h at friction 0.500: 78.7 m; a parcel on 10 degrees at 0.1: 0.737."""
    assert distance_to_speed((100 / 3.6) ** 2, 0.0, -4.9, 0.0, 1.0) == pytest.approx(
        78.735, abs=5e-4
    )
    parcel = bench(slope=-sin(radians(10)), friction=0.1)
    assert acceleration(parcel, StringState.GONE) == pytest.approx(0.737, abs=5e-4)


@pytest.mark.parametrize(("degrees", "holds"), [(5.70, True), (5.72, False)])
def test_slope_that_just_holds(degrees: float, holds: bool) -> None:
    """UP1 chapter 6: friction 0.1 holds up to 5.71 degrees."""
    parcel = bench(friction=0.1)
    slope = sin(radians(degrees))
    assert (parcel.holding_n(slope) > parcel.grade_n(slope)) is holds
    assert normal_force(1.0, slope) == pytest.approx(STANDARD_GRAVITY * cos(radians(degrees)))


def test_run_down_of_wheels() -> None:
    """UP1 chapter 10: flywheel I 100, 500 rpm, 43.6 N m stops it in 2.0 min. Grindstone of 10 kg
    and 0.12 m at 1500 rpm under 5 N x 0.8 turns 294.6 times (294.52 unrounded)."""
    assert time_to_speed(500 * pi / 30, 0.0, -43.633, 0.0, 100.0) == pytest.approx(120.0, abs=0.01)
    stone = 0.5 * 10 * 0.12**2
    turns = distance_to_speed((1500 * pi / 30) ** 2, 0.0, -5 * 0.8 * 0.12, 0.0, stone) / (2 * pi)
    assert turns == pytest.approx(294.52, abs=0.05)


def test_terminal_speed() -> None:
    """UP1 6.4: 75 kg head first, 0.18 m2, C 0.7, air of 1.21 kg/m3: 98 m/s."""
    drag = 0.5 * 1.21 * 0.70 * 0.18
    assert sqrt(speed_squared(1e5, 0.0, 75.0 * 9.80, drag, 75.0)) == pytest.approx(98.193, abs=5e-4)


def test_wheel_is_a_solid_disc() -> None:
    """m r^2 / 2, any handbook (from memory)."""
    wheel = scenario.dunlin().wheels[0]
    assert wheel.inertia_kg_m2 == pytest.approx(0.034 * 0.070**2 / 2)
    hoop = scenario.DUNLIN.read_text().replace("mass_g = 34", "mass_g = 34\ninertia_kg_m2 = 1.7e-4")
    assert replace(parse_car(hoop, "").wheels[0], name="").inertia_kg_m2 == 1.7e-4
