"""The sensor check on the chip: the changes of both pins, with their times, and nothing logged."""

from __future__ import annotations

import numpy as np
import pytest

from firmware.stepped import RAM_RESERVE, SteppedBoard, Talk, edges_every
from unspool.instrument.wire import EdgeBatch, SensorSamples

pytestmark = pytest.mark.firmware

TURNING = ("00", "10", "11", "01")  # A and B of a wheel that goes forward


def samples(talk: Talk) -> SensorSamples:
    parts = talk.all_of(SensorSamples)
    columns = ("number", "time_s", "a", "b")
    return SensorSamples(*(np.concatenate([getattr(p, c) for p in parts]) for c in columns))


def changes(shown: SensorSamples) -> list[tuple[str, float]]:
    levels = [f"{a}{b}" for a, b in zip(shown.a, shown.b, strict=True)]
    moved = [0, *(i for i in range(1, len(levels)) if levels[i] != levels[i - 1])]
    return [(levels[i], float(shown.time_s[i])) for i in moved]


def test_both_sensors_are_shown_with_their_times() -> None:
    with SteppedBoard() as board:
        talk = Talk(board)
        talk.conversation.check()
        talk.until(1.0)
        for i in range(1, 201):
            board.say(f"{1_000_000 + i * 7_000} pins {TURNING[i % 4]}")
        talk.until(2.4, step_s=1.4)
        talk.until(2.6)
    seen = changes(samples(talk))
    assert [levels for levels, _ in seen] == [TURNING[i % 4] for i in range(201)]
    steps = np.diff([time_s for _, time_s in seen[1:]])
    assert abs(steps - 0.007).max() < 20e-6
    assert samples(talk).number.tolist() == list(range(len(samples(talk).number)))
    assert talk.all_of(EdgeBatch) == []
    assert talk.statuses[-1].next_edge == 0
    assert board.report["stack_room_bytes"] >= RAM_RESERVE


def test_edges_go_on_when_the_check_ends() -> None:
    with SteppedBoard() as board:
        talk = Talk(board)
        talk.until(1.0, edges_every(0.01, 20, 0.5))
        talk.conversation.check()
        talk.until(2.0, edges_every(0.01, 30, 1.5))
        board.step(5.0)  # nobody asks for it any more
        again = Talk(board)
        again.until(7.0, edges_every(0.01, 40, 5.5))
    assert [number for number, _, _ in talk.edges] == list(range(20))
    assert [number for number, _, _ in again.edges][-40:] == list(range(20, 60))


def test_pulse_too_short_to_look_at_is_shown_as_a_sample_without_a_change() -> None:
    with SteppedBoard() as board:
        talk = Talk(board)
        talk.conversation.check()
        talk.until(1.01)
        before = len(samples(talk).number)
        for us in range(1_012_000, 1_022_000, 1_000):
            board.say(f"{us} pins 10")
            board.say(f"{us + 1} pins 00")
        talk.until(1.1, step_s=0.02)
        shown = samples(talk)
    within = (shown.time_s > shown.time_s[before]) & (shown.time_s < shown.time_s[before] + 0.0101)
    assert int(within.sum()) >= 9
    assert not shown.a.any()


def test_flood_of_changes_is_counted_and_then_all_is_well() -> None:
    with SteppedBoard() as board:
        talk = Talk(board)
        talk.conversation.check()
        talk.until(1.0)
        for i in range(1, 2001):
            board.say(f"{1_000_000 + i * 50} pins {TURNING[i % 4]}")
        talk.until(1.1, step_s=0.1)
        talk.until(2.0)
        for i in range(1, 41):
            board.say(f"{2_000_000 + i * 5000} pins {TURNING[i % 4]}")
        talk.until(2.2, step_s=0.2)
        talk.until(2.5)
    shown = samples(talk)
    assert shown.number[-1] + 1 - len(shown.number) > 0
    assert [levels for levels, _ in changes(shown)[-40:]] == [TURNING[i % 4] for i in range(1, 41)]
    assert {hello.boot for hello in talk.hellos} == {1}
    assert board.report["stack_room_bytes"] >= RAM_RESERVE
