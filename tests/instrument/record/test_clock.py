"""The board's clock against the host's: right within its own uncertainty, whatever the delays."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from unspool.instrument.record.clock import BoardClock

TICK_HZ = 250_000
NOON = 1_700_000_000.0


def heard(ppm: float, delays: np.ndarray, start_s: float = 3.0) -> BoardClock:
    """One word a second by the host, from a board whose clock is `ppm` fast."""
    clock = BoardClock(TICK_HZ)
    host_s = start_s + np.arange(len(delays))
    for at, delay in zip(host_s, delays, strict=True):
        clock.observe(round(at * (1.0 + ppm * 1e-6) * TICK_HZ), NOON + at + delay)
    return clock


@pytest.mark.parametrize("ppm", [-5000.0, 0.0, 37.0, 5000.0])
def test_without_delays_it_is_exact(ppm: float) -> None:
    rate = heard(ppm, np.zeros(60)).rate()
    assert rate is not None
    assert rate.ppm == pytest.approx(ppm, abs=0.1)  # a tick is 4 us of 60 s
    assert rate.sd_ppm < 0.5


def test_a_delay_never_pulls_the_line_up() -> None:
    """Half of the words come late by a tenth of a second; those that were in time decide."""
    delays = np.tile([0.001, 0.1], 60)
    rate = heard(250.0, delays).rate()
    assert rate is not None
    assert rate.ppm == pytest.approx(250.0, abs=0.1)


Delays = Callable[[np.random.Generator, int], np.ndarray]


@pytest.mark.parametrize(
    "delays",
    [
        lambda rng, n: rng.uniform(0.0, 0.016, n),
        lambda rng, n: rng.exponential(0.004, n),
        lambda rng, n: np.abs(rng.normal(0.0, 0.005, n)),
        lambda rng, n: rng.lognormal(np.log(0.003), 1.0, n),
        lambda rng, n: rng.gamma(3.0, 0.002, n),
    ],
    ids=["even", "exponential", "half-normal", "heavy tail", "gamma"],
)
@pytest.mark.parametrize("words", [15, 60, 600])
def test_the_uncertainty_is_honest(delays: Delays, words: int) -> None:
    rng = np.random.default_rng(20_240)
    inside, told = 0, 0
    for _ in range(60):
        ppm = float(rng.uniform(-5000.0, 5000.0))
        rate = heard(ppm, delays(rng, words)).rate()
        if rate is not None:
            told += 1
            inside += abs(rate.ppm - ppm) <= 2.0 * rate.sd_ppm
    assert told > 40
    assert inside >= 0.95 * told


def test_ten_minutes_tell_a_few_ppm() -> None:
    rate = heard(1234.0, np.random.default_rng(3).exponential(0.004, 600)).rate()
    assert rate is not None
    assert rate.sd_ppm < 3.0


@pytest.mark.parametrize("words", [0, 1, 2, 9])
def test_a_session_too_short_tells_nothing(words: int) -> None:
    assert heard(100.0, np.zeros(words)).rate() is None


def test_delays_too_wild_tell_nothing() -> None:
    assert heard(0.0, np.random.default_rng(1).uniform(0.0, 2.0, 15)).rate() is None


def test_a_board_out_of_real_time_is_not_corrected() -> None:
    assert heard(9e6, np.zeros(60)).rate() is None


def test_host_time_of_a_tick() -> None:
    clock = heard(1000.0, np.full(60, 0.002))
    assert clock.host_s(round(30.0 * 1.001 * TICK_HZ)) == pytest.approx(NOON + 30.002, abs=1e-4)
    early = heard(0.0, np.array([0.05, 0.002]))
    assert early.host_s(0) == pytest.approx(NOON + 0.002, abs=1e-4)
    assert BoardClock(TICK_HZ).host_s(0) is None
    fast = heard(9e6, np.zeros(60))  # a virtual board that is sped up
    assert fast.host_s(round(30.0 * 10.0 * TICK_HZ)) == pytest.approx(NOON + 30.0, abs=1e-3)


def test_words_out_of_order_are_put_aside() -> None:
    clock = heard(0.0, np.zeros(60))
    before = clock.rate()
    assert before is not None
    clock.observe(5, NOON - 99.0)
    assert clock.rate() == before
