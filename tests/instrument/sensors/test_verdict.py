"""Verdicts on a disc turned by a hand: what was made wrong is what is found."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from instrument.sensors.turned import Bench
from unspool.finding import Finding, Severity
from unspool.instrument.sensors import SensorVerdict, judge, wave
from unspool.instrument.sensors.codes import GOOD
from unspool.instrument.sensors.codes import SensorCode as Code
from unspool.instrument.wire import SensorSamples
from unspool.reading.edges.turn_period import edges_a_turn


def warnings(verdict: SensorVerdict) -> set[str]:
    return {one.code for one in verdict.findings if one.severity is Severity.WARNING}


def found(verdict: SensorVerdict, code: Code) -> Finding:
    (one,) = [finding for finding in verdict.findings if finding.code == code]
    return one


def test_right_sensors_are_fine() -> None:
    seen = judge(Bench().samples(), expected=20)
    assert seen.ok
    assert {finding.code for finding in seen.findings} <= GOOD
    assert {finding.severity for finding in seen.findings} == {Severity.NOTE}
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
    assert found(seen, Code.EDGES_UNKNOWN).severity is Severity.NOTE
    assert judge(bench.samples(), expected=20, turns=10).edges_per_turn == 20


def test_turn_that_ends_off_its_mark_is_no_fault() -> None:
    bench = Bench(turns=5.08)
    assert warnings(judge(bench.samples(), 20, turns=5)) == set()
    assert warnings(judge(bench.samples(), 24, turns=5)) == {Code.EDGES_WRONG}


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
    assert found(seen, Code.TURNED_BOTH_WAYS).values["forward_share"] == pytest.approx(6 / 7, 0.02)


def test_backward_is_a_warning() -> None:
    assert warnings(judge(Bench(way=-1).samples())) == {Code.TURNED_BACKWARD}


@pytest.mark.parametrize(
    ("bench", "codes"),
    [
        (Bench(a_dead=True), {Code.SENSOR_BLIND}),
        (Bench(b_dead=True), {Code.SENSOR_BLIND}),
        (Bench(b_lag=0.02), {Code.PHASE_WRONG}),
        (Bench(b_lag=0.48), {Code.PHASE_WRONG}),
        (Bench(bounces=1), {Code.SENSOR_CHATTERS}),
        (Bench(closed=7), {Code.EDGES_WRONG, Code.SLOT_CLOSED}),
        (Bench(slots=9), {Code.EDGES_WRONG}),
        (Bench(spikes=9), {Code.SHORT_PULSES}),
        (Bench(high=0.8), {Code.HIGH_SHARE_OFF}),
    ],
)
def test_fault_is_found_and_no_other(bench: Bench, codes: set[str]) -> None:
    seen = judge(bench.samples(), expected=20)
    assert warnings(seen) == codes
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
    assert found(seen, Code.CHANGES_LOST).values == {"changes": 7}


@pytest.mark.parametrize("turns", [0.0, 0.05])
def test_wheel_that_hardly_moved(turns: float) -> None:
    seen = judge(Bench(turns=turns).samples())
    assert not seen.ok
    assert warnings(seen) <= {Code.WHEEL_STILL, Code.WHEEL_HARDLY_TURNED}
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


def alone(both: SensorSamples) -> SensorSamples:
    """The same with B's input open."""
    kept = np.r_[True, np.diff(both.a) != 0]
    return replace(
        both,
        number=np.arange(int(kept.sum())),
        time_s=both.time_s[kept],
        a=both.a[kept],
        b=np.ones_like(both.b[kept]),
    )


@pytest.mark.parametrize("magnets", [2, 3, 4, 5, 6, 7, 8])
@pytest.mark.parametrize("seed", range(6))
def test_a_few_magnets_are_never_miscounted(magnets: int, seed: int) -> None:
    """A hand's rhythm may look like more of them. With the turns counted it is right."""
    samples = alone(Bench(slots=magnets, high=0.15, turns=10, seed=seed).samples())
    seen = judge(samples, expected=2 * magnets, sensors=1)
    assert seen.ok
    assert seen.edges_per_turn in (None, 2 * magnets)
    wrong = judge(samples, expected=2 * magnets + 2, turns=10, sensors=1)
    assert (wrong.edges_per_turn, warnings(wrong)) == (2 * magnets, {Code.EDGES_WRONG})


@pytest.mark.parametrize(("slots", "high"), [(8, 0.42), (10, 0.55), (24, 0.5)])
def test_printed_pattern_is_fine(slots: int, high: float) -> None:
    """Two reflective sensors: ink and paper have uneven shares, and print is even."""
    bench = Bench(slots=slots, high=high, error=0.01, turns=10)
    seen = judge(bench.samples(), expected=2 * slots)
    assert seen.ok
    assert seen.edges_per_turn in (None, 2 * slots)


@pytest.mark.parametrize("high", [0.1, 0.5])
def test_one_sensor_alone_is_fine_whatever_its_share(high: float) -> None:
    """A magnet passes for a tenth of its pitch; B's input is open and never changes."""
    open_b = alone(Bench(slots=4, high=high, turns=10).samples())
    assert not judge(open_b, expected=8, turns=10).ok
    seen = judge(open_b, expected=8, turns=10, sensors=1)
    assert seen.ok
    assert seen.edges_per_turn == 8
    assert {finding.code for finding in seen.findings} == {
        Code.SENSOR_GOOD,
        Code.EDGES_AS_EXPECTED,
    }
