"""Encoder tachometry: what the field's formulas say about slots, stamps and pitch errors.

Formulas from memory unless said; the numbers were computed independently of this project.
"""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import numpy as np
import pytest

from unspool.car import FLAT, Wheel
from unspool.reading.events.candidates import candidates
from unspool.reading.events.changepoints import find_changepoints
from unspool.reading.events.initial_guess import first_law, problem_of
from unspool.reading.motion import follow
from unspool.reading.motion.smooth import smooth
from unspool.virtual.truth import PERFECT, Imperfections, TrueRun, random_car, run


def true_run(seed: int, imperfections: Imperfections) -> TrueRun:
    return run(
        random_car(np.random.default_rng([4, seed]), tiers=1),
        imperfections=imperfections,
        seed=seed,
    )


def jitter_found(truth: TrueRun) -> float:
    motion = follow(truth.train, truth.car)
    problem = problem_of(motion, truth.car, FLAT, motion.way_out)
    first = first_law(motion, problem)
    fit = find_changepoints(problem, first, candidates(motion, problem, first))
    assert fit is not None
    return fit.noise.jitter_s


def test_pitch_and_edge_rate_of_an_80_mm_wheel_with_20_edges() -> None:
    # Period method: pitch pi D / N = 12.566371 mm, and 79.5775 edges a second at 1 m/s.
    car = random_car(np.random.default_rng(0))
    wheels = tuple(Wheel(w.name, w.count, 0.04, w.inertia_kg_m2, w.driven) for w in car.wheels)
    car = replace(car, wheels=wheels, encoder=replace(car.encoder, pulses_per_turn=20))
    assert car.metres_per_edge == pytest.approx(12.566371e-3, abs=5e-10)
    assert 1.0 / car.metres_per_edge == pytest.approx(79.5775, abs=5e-5)


def test_stamps_cut_to_a_tick_look_like_jitter_of_the_tick_over_the_root_of_12() -> None:
    # An interval between two cut stamps has sd q / sqrt 6 averaged over phases (0.408248 q), each
    # stamp q / sqrt 12.
    tick = 1e-3
    found = [jitter_found(true_run(seed, replace(PERFECT, tick_s=tick))) for seed in range(6)]
    assert sqrt(2.0) * np.mean(found) == pytest.approx(0.408248 * tick, rel=0.05)


@pytest.mark.parametrize(("slot_sd", "bias"), [(0.05, 0.0025), (0.10, 0.0102)])
def test_uneven_slots_bias_the_period_method_and_not_the_followed_speed(
    slot_sd: float, bias: float
) -> None:
    # Each slot's pitch / time is too high by 1 + sigma^2 on average over a turn (Kavanagh 2001,
    # IEEE Trans. Instrum. Meas. 50(4), on non-ideal encoders); sigma is of the slot's width.
    rng = np.random.default_rng(1)
    width = 1.0 + slot_sd * rng.standard_normal((4000, 20))
    width /= width.mean(axis=1, keepdims=True)
    naive = np.mean(1.0 / width) - 1.0
    assert naive == pytest.approx(bias, rel=0.15)
    wrong = []
    for seed in range(4):
        truth = true_run(seed, replace(PERFECT, slot_sd=slot_sd / sqrt(2.0)))
        motion = follow(truth.train, truth.car)
        speed = np.interp(motion.time_s - truth.launch_s, truth.time_s, truth.speed_m_s)
        fast = speed > 0.3 * speed.max()
        wrong.append(np.mean(motion.speed_m_s[fast] / speed[fast]) - 1.0)
    assert np.abs(wrong).max() < 0.1 * bias


def test_the_pattern_of_a_slowing_wheel_is_learned() -> None:
    # 20 slots 5 % uneven under steady deceleration: spans of whole turns recover it exactly; the
    # joint estimate does so to what its priors on slots and smoothness leave.
    rng = np.random.default_rng(2)
    place = 0.05 * rng.standard_normal(20)
    place -= place.mean()
    boundary = np.arange(600)
    at = boundary + place[boundary % 20]
    speed, slowing = 60.0, -2.5
    time_s = (-speed + np.sqrt(speed**2 + 2.0 * slowing * at)) / slowing
    learned = smooth(time_s, boundary, 20).pattern
    assert learned == pytest.approx(place, abs=2e-4)
