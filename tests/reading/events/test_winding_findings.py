"""The winding as the run shows it: order, turns, string; and silence where nothing differs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bench.slipped import slipped
from bench.worlds import hidden
from unspool.car import Car, Losses
from unspool.finding import Finding, Severity
from unspool.reading.events import Reading, analyse
from unspool.virtual.truth import USUAL, random_car, run

WINDING = {
    "tiers_in_wrong_order",
    "winding_differs",
    "released_late",
    "slipping",
    "string_held",
    "energy_unexplained",
}
UNKNOWN = ("rolling_coefficient", "constant_drag_n", "drive_efficiency")


def car_of(seed: int) -> Car:
    return random_car(np.random.default_rng([77, seed]))


def read(true: Car, said: Car, seed: int, **spoilt: float) -> Reading:
    imperfections = replace(USUAL, clock_error=0.0, **spoilt)
    losses = Losses(0.012, 0.0, 0.0, 0.9, 0.015, 0.6, UNKNOWN)
    file = replace(said, losses=losses)
    return analyse(run(true, imperfections=imperfections, seed=seed).train, file)


def found(reading: Reading, code: str) -> Finding | None:
    return next((one for one in reading.findings if one.code == code), None)


def with_turns(car: Car, tier: int, more: float) -> Car:
    turns = [one.turns for one in car.drum]
    turns[tier] += more
    return car.wound(tuple(turns))


@pytest.mark.parametrize("seed", [1004, 1009, 1010])
def test_tiers_that_were_wound_in_another_order(seed: int) -> None:
    car = car_of(seed)
    swapped = (*car.drum[:-2], car.drum[-1], car.drum[-2])
    one = found(read(replace(car, drum=swapped), car, seed), "tiers_in_wrong_order")
    assert one is not None
    assert one.values["found"] == tuple(tier.name for tier in swapped)
    assert one.values["said"] == tuple(tier.name for tier in car.drum)


@pytest.mark.parametrize("off", [0.5, -0.5])
def test_half_a_turn_on_a_tier_is_measured(off: float) -> None:
    car = car_of(1002)
    reading = read(with_turns(car, 1, off), car, 1002)
    one = found(reading, "winding_differs")
    assert one is not None
    assert one.values["tiers"] == (car.drum[1].name,)
    others = {finding.code for finding in reading.findings}
    assert others.isdisjoint({"energy_unexplained", "tiers_in_wrong_order"})
    measured, said = one.values["measured_turns"], one.values["said_turns"]
    assert said == pytest.approx(car.drum[1].turns)
    assert measured == pytest.approx(said + off, abs=0.1)


def test_a_string_that_is_longer_than_said() -> None:
    car = car_of(1001)
    more = 0.02 / (2.0 * np.pi * car.drum[-1].radius_m)
    one = found(read(with_turns(car, -1, more), car, 1001), "released_late")
    assert one is not None
    assert one.values["string_m"] == pytest.approx(0.02, abs=0.003)
    assert one.values["turns"] == pytest.approx(more, abs=0.03)


def test_a_string_that_lets_go_early() -> None:
    car = car_of(1001)
    one = found(read(car, car, 1001, early_release_m=0.02), "early_release")
    assert one is not None
    assert one.values["string_m"] == pytest.approx(0.02, abs=0.003)


@pytest.mark.parametrize("off", [0.1, -0.1])
def test_a_tenth_of_a_turn_is_no_warning(off: float) -> None:
    car = car_of(1001)
    reading = read(with_turns(car, -1, off), car, 1001)
    grave = {one.code for one in reading.findings if one.severity is Severity.WARNING}
    assert grave.isdisjoint(WINDING)


@pytest.mark.parametrize("seed", [1001, 1002, 1004, 1007])
def test_nothing_is_found_in_a_car_as_its_file_says(seed: int) -> None:
    car = car_of(seed)
    assert {one.code for one in read(car, car, seed).findings}.isdisjoint(WINDING)


@pytest.mark.parametrize("efficiency", [0.66, 0.96])
def test_no_masses_are_doubted_for_a_drive_that_loses_much_or_little(efficiency: float) -> None:
    car = car_of(1002)
    true = replace(car, losses=replace(car.losses, drive_efficiency=efficiency))
    assert found(read(true, car, 1002), "energy_unexplained") is None


def test_a_car_that_is_far_lighter_than_said_is_doubted() -> None:
    car = car_of(1002)
    said = replace(car, body_mass_kg=1.6 * car.body_mass_kg)
    one = found(read(car, said, 1002), "energy_unexplained")
    assert one is not None
    beyond, whole = one.values["beyond_j"], one.values["unexplained_j"]
    assert isinstance(beyond, float)
    assert isinstance(whole, float)
    assert whole < beyond < 0.0


@pytest.mark.parametrize("more", [0.0, -0.5])
def test_slack_by_turns_that_are_not_as_said_is_doubted(more: float) -> None:
    car = car_of(1002)
    car = replace(car, drop_m=0.9 * car.wound_string_m)
    reading = read(with_turns(car, 1, more), car, 1002)
    landed = found(reading, "weight_landed_first")
    assert landed is not None
    differs = found(reading, "winding_differs") is not None
    assert landed.values["turns_doubted"] == differs == (more != 0.0)


def test_a_millimetre_of_slack_is_no_warning() -> None:
    car = car_of(1001)
    short = replace(car, drop_m=car.wound_string_m - 0.002)
    landed = found(read(short, short, 1001), "weight_landed_first")
    assert landed is not None
    assert landed.severity is Severity.NOTE


@pytest.mark.parametrize(("seed", "driven"), [(1002, True), (1004, True), (1002, False)])
def test_a_driven_wheel_that_slips_by_three_percent(seed: int, driven: bool) -> None:
    """A sensor on its axle sees the speed that it loses as the drive ends."""
    car = car_of(seed)
    car = car.wound(tuple(0.85 * tier.turns for tier in car.drum))
    made = slipped(car, driven, 0.03, seed)
    assert made is not None
    wound, train = made
    reading = analyse(train, hidden(wound))
    one, held = found(reading, "slipping"), found(reading, "string_held")
    share = one.values["share"] if one else held.values["slip_share"] if held else None
    assert share == pytest.approx(0.03 / 1.03, abs=0.005)
    assert (one is None) != (held is None)


def test_with_one_tier_a_slip_looks_like_a_string_that_lets_go_early() -> None:
    car = car_of(1001)
    assert len(car.drum) == 1
    car = car.wound(tuple(0.85 * tier.turns for tier in car.drum))
    made = slipped(car, False, 0.03, 1001)
    assert made is not None
    early = found(analyse(made[1], hidden(made[0])), "early_release")
    assert early is not None
    assert early.values["slip_share"] == pytest.approx(0.03 / 1.03, abs=0.005)


def test_turns_that_the_run_shows_are_not_said_to_be_too_few() -> None:
    """Half a turn more makes the string as long as the drop, whatever was said."""
    car = car_of(1002)
    more = 0.5 * 2.0 * np.pi * car.drum[1].radius_m
    car = replace(car, drop_m=car.wound_string_m + more)
    reading = read(with_turns(car, 1, 0.5), car, 1002)
    assert found(reading, "winding_differs") is not None
    assert found(reading, "early_release") is None
    assert found(reading, "energy_unexplained") is None
