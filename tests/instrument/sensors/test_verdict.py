"""Verdicts on a disc turned by a hand: what was made wrong is what is found."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from instrument.sensors.turned import Bench
from unspool.instrument.sensors import Grade, Verdict, judge, wave
from unspool.instrument.wire import SensorSamples
from unspool.reading.edges.turn_period import edges_a_turn


def faults(seen: Verdict) -> set[str]:
    return {remark.code for remark in seen.remarks if remark.grade is Grade.FAULT}


def remark(seen: Verdict, code: str) -> str:
    (one,) = [r for r in seen.remarks if r.code == code]
    return f"{one.grade.value}: {one.text}"


def test_right_sensors_are_fine() -> None:
    seen = judge(Bench().samples(), expected=20)
    assert seen.ok
    assert {r.grade for r in seen.remarks} == {Grade.GOOD}
    assert (seen.edges_a, seen.edges_b, seen.edges_per_turn) == (120, 120, 20)
    assert seen.phase_deg == pytest.approx(90, abs=3)
    assert seen.high_share_a == pytest.approx(0.5, abs=0.03)
    assert seen.forward_share == 1.0


@pytest.mark.parametrize("lag", [0.1, 0.2, 0.25, 0.3, 0.4])
def test_phase_is_where_sensor_b_was_put(lag: float) -> None:
    assert judge(Bench(b_lag=lag).samples()).phase_deg == pytest.approx(360 * lag, abs=4)


@pytest.mark.parametrize("high", [0.3, 0.45, 0.6])
def test_share_is_what_was_cut(high: float) -> None:
    seen = judge(Bench(high=high).samples())
    assert seen.high_share_a == pytest.approx(high, abs=0.03)
    assert seen.high_share_b == pytest.approx(high, abs=0.03)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("slots", [6, 10, 18])
def test_edges_a_turn_are_told_from_the_slots_unlikeness(slots: int, seed: int) -> None:
    seen = judge(Bench(slots=slots, turns=5, error=0.012, seed=seed).samples())
    assert seen.edges_per_turn == 2 * slots


def test_disc_too_even_to_count_says_how_else() -> None:
    bench = Bench(error=0.0, turns=10)
    seen = judge(bench.samples(), expected=20)
    assert seen.ok  # all else is seen, and the count is said to be unknown
    assert "unknown: how many edges a turn has cannot be told" in remark(seen, "slots")
    assert judge(bench.samples(), expected=20, turns=10).edges_per_turn == 20


def test_turn_that_ends_off_its_mark_is_no_fault() -> None:
    bench = Bench(turns=5.08)
    assert remark(judge(bench.samples(), 20, turns=5), "slots").startswith("good")
    assert faults(judge(bench.samples(), 24, turns=5)) == {"slots"}


def test_both_ways_counts_the_turns_that_are_left() -> None:
    """Six turns on and one back, where ten edges a turn were promised for five."""
    on, back = Bench(turns=6).samples(), Bench(turns=1, way=-1).samples()
    both = SensorSamples(
        np.arange(len(on.number) + len(back.number)),
        np.concatenate([on.time_s, back.time_s + on.time_s[-1] + 1.0]),
        np.concatenate([on.a, back.a]),
        np.concatenate([on.b, back.b]),
    )
    seen = judge(both, expected=20, turns=5)
    assert seen.edges_per_turn == 20
    assert "both ways" in remark(seen, "direction")


def test_backward_asks_whether_it_was() -> None:
    assert "change the two sensors' wires" in remark(judge(Bench(way=-1).samples()), "direction")


@pytest.mark.parametrize(
    ("bench", "codes"),
    [
        (Bench(a_dead=True), {"sensor_a"}),
        (Bench(b_dead=True), {"sensor_b"}),
        (Bench(b_lag=0.02), {"phase"}),
        (Bench(b_lag=0.48), {"phase"}),
        (Bench(bounces=1), {"chatter"}),
        (Bench(closed=7), {"slots", "blocked_slot"}),
        (Bench(slots=9), {"slots"}),
        (Bench(spikes=9), {"noise"}),
        (Bench(high=0.8), {"duty_a", "duty_b"}),
    ],
)
def test_fault_is_found_and_no_other(bench: Bench, codes: set[str]) -> None:
    seen = judge(bench.samples(), expected=20)
    assert faults(seen) == codes
    assert not seen.ok


def test_bounces_are_counted() -> None:
    seen = judge(Bench(bounces=3).samples())
    assert (seen.edges_a, seen.bounces) == (120, 360)


def test_samples_without_a_change_are_pulses_unless_at_rest() -> None:
    samples = Bench().samples()
    times = np.insert(samples.time_s, 40, samples.time_s[39] + 0.001)
    more = SensorSamples(
        np.arange(len(times)),
        times,
        np.insert(samples.a, 40, samples.a[39]),
        np.insert(samples.b, 40, samples.b[39]),
    )
    assert (judge(samples).pulses, judge(more).pulses) == (0, 1)


def test_skipped_numbers_are_lost_samples() -> None:
    samples = Bench().samples()
    number = samples.number.copy()
    number[50:] += 7
    seen = judge(replace(samples, number=number))
    assert seen.lost == 7
    assert "7 changes came too fast" in remark(seen, "lost")


@pytest.mark.parametrize("turns", [0.0, 0.05])
def test_wheel_that_hardly_moved(turns: float) -> None:
    seen = judge(Bench(turns=turns).samples())
    assert not seen.ok
    assert "turn" in remark(seen, "movement")
    assert seen.phase_deg is None


def test_no_samples_at_all() -> None:
    nothing = SensorSamples(*(np.empty(0, t) for t in (np.int64, float, np.int8, np.int8)))
    assert not judge(nothing).ok


def test_wave_keeps_the_first_change_of_a_burst() -> None:
    level = np.array([0, 1, 0, 1, 0, 1, 0, 0], np.int8)
    time_s = np.array([0.0, 0.1, 0.1002, 0.1004, 0.2, 0.3, 0.3001, 0.4])
    seen = wave(time_s, level)
    assert seen.time_s.tolist() == [0.1, 0.2]
    assert seen.level.tolist() == [1, 0]
    assert (seen.bounces, seen.pulses) == (1, 1)


def test_pattern_of_noise_is_none() -> None:
    random = np.random.default_rng(3)
    assert edges_a_turn(np.cumsum(random.normal(0.05, 0.001, 150))) is None
