"""What an imperfect sensor adds and takes, and that the answers go with it."""

from __future__ import annotations

import numpy as np
import pytest

from unspool.car import FLAT, Track
from unspool.virtual import truth
from unspool.virtual.demo import scenario

HILL = Track("hill", (0.0, 4.0, 9.0), (0.0, 0.0, 0.3), 1.2)
CAR = scenario.sandpiper()


def test_perfect_edges_are_a_pitch_apart_and_on_time() -> None:
    run = truth.run(CAR)
    assert np.diff(run.edge_distance_m) == pytest.approx(CAR.metres_per_edge)
    speed = np.interp(run.edge_time_s, run.time_s, run.speed_m_s)
    middle = len(speed) // 2
    dt = run.train.time_s[middle + 1] - run.train.time_s[middle - 1]
    assert 2 * CAR.metres_per_edge / dt == pytest.approx(speed[middle], rel=1e-4)


def test_edges_fall_on_the_true_run() -> None:
    run = truth.run(CAR, HILL, truth.Imperfections(slot_sd=0.05, out_of_round=0.01), seed=3)
    assert len(run.train) > 200
    at = np.interp(run.edge_time_s, run.time_s, run.distance_m)
    assert at == pytest.approx(run.edge_distance_m, abs=1e-4)


def test_same_seed_same_run() -> None:
    one, two = (truth.run(CAR, FLAT, truth.USUAL, seed=4) for _ in range(2))
    assert np.array_equal(one.train.time_s, two.train.time_s)
    other = truth.run(CAR, FLAT, truth.USUAL, seed=5)
    assert not np.array_equal(one.pitch, other.pitch)


def test_slot_pattern_repeats_every_turn() -> None:
    run = truth.run(CAR, FLAT, truth.Imperfections(slot_sd=0.05), seed=1)
    ways = np.diff(run.edge_distance_m) / CAR.metres_per_edge
    n = CAR.encoder.pulses_per_turn
    assert ways[:n] == pytest.approx(ways[n : 2 * n])
    assert ways == pytest.approx(run.pitch[run.edge_slot[:-1]])
    assert np.std(ways[:n]) == pytest.approx(0.05 * np.sqrt(2), rel=0.5)


def test_missed_edges_leave_no_gap_in_numbers_but_lost_ones_do() -> None:
    clean = len(truth.run(CAR).train)
    missed = truth.run(CAR, FLAT, truth.Imperfections(missed=0.1), seed=2).train
    lost = truth.run(CAR, FLAT, truth.Imperfections(lost=0.1), seed=2).train
    assert (missed.missing, len(missed) < clean) == (0, True)
    assert lost.missing > 0
    assert lost.missing + len(lost) in (clean, clean - 1)


def test_handling_before_the_launch_ends_where_it_began() -> None:
    run = truth.run(CAR, FLAT, truth.Imperfections(handled=10), seed=6)
    before = run.train.time_s < run.launch_s
    assert before.sum() == 10
    assert run.train.direction[before].sum() == 0
    assert np.all(np.diff(run.train.time_s) >= 0.0)


def test_chatter_comes_after_the_stop() -> None:
    run = truth.run(CAR, FLAT, truth.Imperfections(chatter=8), seed=6)
    after = run.train.time_s > run.event("stop").time_s
    assert after.sum() == 8
    assert run.train.direction[after].tolist() == [-1, 1] * 4


def test_clock_error_stretches_time_only() -> None:
    plain, fast = truth.run(CAR), truth.run(CAR, FLAT, truth.Imperfections(clock_error=0.005))
    spans = [np.ptp(run.train.time_s) for run in (plain, fast)]
    assert spans[1] == pytest.approx(spans[0] * 1.005)
    assert fast.rest_m == plain.rest_m


def test_winding_is_the_drums_turns_backwards() -> None:
    run = truth.run(CAR, FLAT, truth.USUAL, seed=1)
    wound = truth.winding_train(run)
    turns = -wound.direction.sum() / CAR.encoder.pulses_per_turn
    assert turns == pytest.approx(8.8, abs=0.15)
    assert wound.time_s[-1] < run.launch_s - 9.0


def test_session_numbers_on() -> None:
    run = truth.run(CAR, FLAT, truth.USUAL, seed=1)
    whole = truth.session_train(run)
    assert (whole.missing, len(whole)) == (0, len(run.train) + len(truth.winding_train(run)))
    assert np.all(np.diff(whole.time_s) >= 0.0)
