"""Measures of a disc and the place of sensor B."""

from __future__ import annotations

from math import cos, hypot, nan, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from unspool.errors import InputError
from unspool.workshop.disc import Disc


def test_measures_of_a_ten_slot_disc() -> None:
    disc = Disc(slots=10, outer_mm=60.0, bore_mm=8.0)
    assert disc.edges_per_turn == 20
    assert disc.pitch_deg == 36.0
    assert (disc.slot_inner_mm, disc.slot_outer_mm, disc.sensor_radius_mm) == (22.0, 28.0, 25.0)
    # half of 2 pi 25 mm / 10
    assert disc.slot_width_mm(25.0) == pytest.approx(7.853981633974483)


@pytest.mark.parametrize(
    ("gap_mm", "quarters", "angle_deg"),
    # Chords on a radius of 25 mm: 9 deg 3.92 mm, 27 deg 11.67 mm, 45 deg 19.13 mm, 63 deg 26.12 mm.
    [(0.0, 1, 9.0), (3.9, 1, 9.0), (4.0, -3, -27.0), (11.7, 5, 45.0), (19.2, -7, -63.0)],
)
def test_sensor_b_sits_on_the_nearest_odd_quarter(
    gap_mm: float, quarters: int, angle_deg: float
) -> None:
    place = Disc(slots=10, outer_mm=60.0, bore_mm=8.0, sensor_gap_mm=gap_mm).sensor_b
    assert place.quarter_pitches == quarters
    assert place.angle_deg == pytest.approx(angle_deg)


def slot_open(slots: int, angle_deg: float) -> bool:
    """Whether a fixed eye at `angle_deg` looks through, slot 0 centred on 0."""
    return cos(radians(angle_deg) * slots) > 0.0


@given(
    slots=st.integers(4, 60),
    gap_mm=st.floats(0.0, 40.0),
)
def test_forward_always_gives_the_same_order(slots: int, gap_mm: float) -> None:
    disc = Disc(slots=slots, outer_mm=100.0, bore_mm=10.0, sensor_gap_mm=gap_mm)
    b = disc.sensor_b.angle_deg
    # Turning clockwise by `turn`, an eye at fixed angle a sees the disc's angle a - turn.
    # Slot 0 opens over A when its leading side arrives: a quarter pitch before its middle.
    turn_at_opening = -disc.pitch_deg / 4.0
    after, before = turn_at_opening + 0.01, turn_at_opening - 0.01
    assert slot_open(slots, -after)
    assert not slot_open(slots, -before)
    assert not slot_open(slots, b - after), "on A's opening edge B is still covered"
    closing = disc.pitch_deg / 4.0 + 0.01
    assert not slot_open(slots, -closing)
    assert slot_open(slots, b - closing), "on A's closing edge B is open"


@given(slots=st.integers(2, 40), gap_mm=st.floats(0.0, 30.0))
def test_sensors_keep_their_distance(slots: int, gap_mm: float) -> None:
    disc = Disc(slots=slots, outer_mm=90.0, bore_mm=10.0, sensor_gap_mm=gap_mm)
    place, r = disc.sensor_b, disc.sensor_radius_mm
    turn = radians(place.angle_deg)
    assert place.apart_mm == pytest.approx(hypot(r * sin(turn), r * cos(turn) - r))
    assert place.apart_mm >= gap_mm
    assert abs(place.quarter_pitches) % 2 == 1


def faults_of(**measures: float) -> dict[str, str]:
    asked = {"slots": 10, "outer_mm": 60.0, "bore_mm": 8.0, **measures}
    with pytest.raises(InputError) as caught:
        Disc(**asked)
    return {fault.where: str(fault) for fault in caught.value.faults}


def test_all_faults_at_once() -> None:
    faults = faults_of(slots=1, outer_mm=-60.0, bore_mm=nan, rim_mm=0.0)
    assert set(faults) == {"slots", "outer_mm", "bore_mm", "rim_mm"}
    assert faults["slots"] == "slots: found 1, expected a whole number from 2 to 360"


def test_bore_that_meets_the_slots() -> None:
    # Radius 30 less rim 2, slots 6 and hub 2 leaves a bore of 40 mm at the most.
    Disc(slots=10, outer_mm=60.0, bore_mm=40.0)
    (text,) = faults_of(bore_mm=40.1).values()
    assert "between bore and slots" in text


def test_slots_too_narrow_and_sensors_too_far_are_both_told() -> None:
    faults = faults_of(slots=100, sensor_gap_mm=51.0)
    # pi 22 mm / 0.8 mm = 86.4
    assert "at most 86" in faults["slots"]
    assert "at most 50.0" in faults["sensor_gap_mm"]


def test_largest_gap_that_fits() -> None:
    # Two slots: the farthest odd quarter on the near side is 3 of 45 deg.
    place = Disc(slots=2, outer_mm=60.0, bore_mm=8.0, sensor_gap_mm=46.19).sensor_b
    assert place.quarter_pitches == -3
    assert faults_of(slots=2, sensor_gap_mm=46.2)
