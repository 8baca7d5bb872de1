"""Whatever car file is accepted gives figures that are numbers, and a ledger that closes."""

from __future__ import annotations

import json
from dataclasses import asdict
from itertools import pairwise
from math import pi

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from unspool.car import Track, parse_car, parse_track
from unspool.model import predict, predict_cars
from unspool.render.json.prediction import prediction_json


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    """Mostly the plausible, with both ends of the allowed among them."""
    return st.sampled_from([low, high]) | st.floats(low, high)


@st.composite
def car_files(draw: st.DrawFn, closed: bool = False, least_rolling: float = 2e-4) -> str:
    # These are integrated step by step. That takes minutes if the string is long, if the car is a
    # sail without weight, or if it rolls to and fro in a dip a thousand times.
    linear, taper = (not closed and draw(st.integers(0, 4)) == 0 for _ in range(2))
    mild = linear or taper
    least_g, most_cm2, most_turns = (200.0, 500.0, 20.0) if mild else (10.0, 1e4, 500.0)
    wheel = draw(numbers(10.0, 2000.0))
    tier = st.tuples(numbers(1.0, 9.5), numbers(0.05, most_turns))
    tiers = draw(st.lists(tier, min_size=1, max_size=4))
    wound = pi * sum(diameter * turns for diameter, turns in tiers)
    drop = min(max(wound / draw(numbers(0.16, 4.9)), 20.0), 10_000.0)
    assume(0.16 <= wound / drop <= 4.9)
    lines = [
        'name = "any"\n[body]',
        f"mass_g = {draw(numbers(least_g, 1e5))}",
        f"frontal_area_cm2 = {draw(numbers(0.5, most_cm2))}",
        f"drag_coefficient = {draw(numbers(0.0, 5.0))}",
        f"[weight]\nmass_g = {draw(numbers(5.0, 5e4))}\ndrop_mm = {drop}",
        f"[string]\ndiameter_mm = {draw(numbers(0.02, 10.0))}",
        f'[[wheels]]\nname = "w"\ncount = 1\ndiameter_mm = {wheel}\nmass_g = 1\ndriven = true',
    ]
    for k, (diameter, turns) in enumerate(tiers):
        lines += [f'[[drum]]\nname = "{k}"\ndiameter_mm = {diameter}\nturns = {turns}']
        if taper and draw(st.booleans()):
            lines += [f"end_diameter_mm = {max(diameter * 0.8, 1.0)}"]
    lines += ['[encoder]\npulses_per_turn = 20\naxle = "w"\n[losses]']
    lines += [f"rolling_coefficient = {draw(numbers(5e-3 if mild else least_rolling, 0.5))}"]
    lines += [f"drive_efficiency = {draw(numbers(0.05, 1.0))}"]
    if linear:
        lines += [f"linear_drag_n_s_per_m = {draw(numbers(1e-4, 0.1))}"]
    return "\n".join(lines)


@st.composite
def tracks(draw: st.DrawFn) -> Track:
    # Five steps stay below the highest floor that a track file may have, 20 m.
    steps = draw(st.lists(st.tuples(st.floats(0.01, 13.0), st.floats(-0.29, 0.29)), max_size=5))
    x = height = 0.0
    text = 'name = "any"\n[[level]]\ndistance_m = 0\nheight_mm = 0\n'
    for way, slope in steps:
        rise = way * slope
        x, height = x + way, height + (rise if abs(height + rise) < 20.0 else -rise)
        text += f"[[level]]\ndistance_m = {x}\nheight_mm = {height * 1e3}\n"
    return parse_track(text, "any")


@st.composite
def on_a_floor(draw: st.DrawFn, most: int = 1, closed: bool = False) -> tuple[list[str], Track]:
    """Some car files and a track."""
    track = draw(tracks())
    falls = any(after < before for before, after in pairwise(track.height_m))
    # In a dip the least resistance takes seconds: the car rolls to and fro a thousand times.
    cars = car_files(closed, least_rolling=2e-3 if falls else 2e-4)
    return draw(st.lists(cars, min_size=1, max_size=most)), track


@settings(deadline=None, max_examples=150)
@given(on_a_floor())
def test_any_accepted_car_has_a_prediction(drawn: tuple[list[str], Track]) -> None:
    (text,), track = drawn
    told = predict(parse_car(text, "any"), track)
    shown = prediction_json(told)
    json.dumps(shown, allow_nan=False)
    for key in ("distance_m", "distance_low_m", "distance_high_m", "duration_s", "peak_speed_m_s"):
        assert shown[key] is not None, key
    assert told.distance_low_m <= told.distance_m <= told.distance_high_m
    assert told.furthest_m >= told.distance_m - 1e-9
    energy = told.energy
    turned_over = max(abs(term) for term in asdict(energy).values())
    assert energy.unexplained == pytest.approx(0.0, abs=1e-6 * turned_over)


@settings(deadline=None, max_examples=60)
@given(on_a_floor(most=5, closed=True))
def test_many_agree_with_one_by_one(drawn: tuple[list[str], Track]) -> None:
    texts, track = drawn
    cars = [parse_car(text, "any") for text in texts]
    many = predict_cars(cars, track)
    for i, car in enumerate(cars):
        one = predict(car, track)
        assert many.distance_m[i] == pytest.approx(one.distance_m, rel=1e-6, abs=1e-6)
        assert many.duration_s[i] == pytest.approx(one.duration_s, rel=1e-6, abs=1e-6)
