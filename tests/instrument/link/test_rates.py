"""The rate at which a whole frame comes is the board's, and stays."""

from __future__ import annotations

import pytest

from unspool.instrument.link.rates import PATIENCE_S, RATES, RateFinder
from unspool.instrument.wire.frames import frame
from unspool.instrument.wire.messages import HelloRequest

FRAME = frame(HelloRequest(1, 2))
GARBAGE = bytes(~byte & 0xFF for byte in FRAME)


class Clock:
    now_s = 0.0

    def __call__(self) -> float:
        return self.now_s


@pytest.fixture
def clock() -> Clock:
    return Clock()


def test_first_rate_stays_once_a_frame_came(clock: Clock) -> None:
    finder = RateFinder(clock=clock)
    assert not finder.heard(FRAME)
    clock.now_s = 100.0
    assert not finder.heard(GARBAGE)
    assert finder.rate == RATES[0]


@pytest.mark.parametrize("heard", [b"", GARBAGE])
def test_rates_are_tried_in_turn(heard: bytes, clock: Clock) -> None:
    finder = RateFinder(clock=clock)
    for tried in (1, 0, 1):
        clock.now_s += 0.5 * PATIENCE_S
        assert not finder.heard(heard)
        clock.now_s += 0.6 * PATIENCE_S
        assert finder.heard(heard)
        assert finder.rate == RATES[tried]


def test_a_frame_may_come_in_pieces(clock: Clock) -> None:
    finder = RateFinder(clock=clock)
    finder.heard(FRAME[:4])
    clock.now_s = 2 * PATIENCE_S
    assert not finder.heard(FRAME[4:])
    assert finder.rate == RATES[0]


def test_half_a_frame_of_one_rate_is_none_of_the_next(clock: Clock) -> None:
    finder = RateFinder(clock=clock)
    finder.heard(FRAME[:4])
    clock.now_s = 1.1 * PATIENCE_S
    assert finder.heard(b"")
    clock.now_s += 1.1 * PATIENCE_S
    assert finder.heard(FRAME[4:])


def test_port_that_is_opened_again_is_tried_at_the_rate_found(clock: Clock) -> None:
    finder = RateFinder(clock=clock)
    clock.now_s = 1.1 * PATIENCE_S
    finder.heard(b"")
    finder.heard(FRAME)
    finder.begin()
    assert finder.rate == RATES[1]
    clock.now_s += 1.1 * PATIENCE_S
    assert finder.heard(b"")
