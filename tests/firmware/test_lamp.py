"""The lamp mirrors sensor A, and blinks while edges wait for a host or the battery is low."""

from __future__ import annotations

from itertools import pairwise

import pytest

from firmware.stepped import SteppedBoard, Talk, edges_every

pytestmark = pytest.mark.firmware

BLINK_S = 0.0655


def blinks(board: SteppedBoard, since_s: float, until_s: float, resting: bool) -> list[float]:
    """When the lamp turned over to the opposite of the resting level, each for a moment."""
    turned = [at for at, lit in board.lamp if lit != resting and since_s <= at < until_s]
    back = [at for at, lit in board.lamp if lit == resting and at >= since_s]
    for at in turned:
        after = next(b for b in back if b > at)
        assert after - at == pytest.approx(BLINK_S, abs=0.009), "a blink is short"
    return turned


def test_lamp_mirrors_sensor_a() -> None:
    edges = edges_every(0.05, 9, 1.0)
    with SteppedBoard("--lamp") as board:
        talk = Talk(board)
        talk.until(2.0, edges)
    seen = [(at, lit) for at, lit in board.lamp if at > 0.5]
    assert [lit for _, lit in seen] == [i % 2 == 0 for i in range(9)]
    for (at, _), (cycle, _) in zip(seen, edges, strict=True):
        assert at == pytest.approx(cycle / 16e6, abs=0.001)


@pytest.mark.parametrize("a", [False, True])
def test_lamp_blinks_once_a_second_while_edges_wait(a: bool) -> None:
    with SteppedBoard("--lamp") as board:
        board.turn(edges_every(0.01, 8 + a, 0.5))
        board.step(5.0)
        assert len(blinks(board, 0.7, 4.9, resting=a)) == 4
        talk = Talk(board)
        talk.until(9.0)
        assert blinks(board, 5.5, 9.0, resting=a) == [], "a host has them"
        assert talk.statuses


def test_lamp_is_quiet_if_nothing_waits() -> None:
    with SteppedBoard("--lamp") as board:
        board.step(5.0)
    assert board.lamp == []


@pytest.mark.parametrize(("high_mv", "low_mv"), [(5000, 3950), (3300, 2950)])
def test_lamp_blinks_four_times_a_second_if_the_battery_is_low(high_mv: int, low_mv: int) -> None:
    with SteppedBoard("--lamp", f"--battery={high_mv}") as board:
        board.step(1.0)
        assert board.lamp == []
        board.say(f"now battery {low_mv}")
        board.step(3.2)
        found = blinks(board, 1.1, 3.1, resting=False)
        board.say(f"now battery {low_mv + 80}")
        board.step(4.2)
        assert blinks(board, 3.3, 4.1, resting=False), "not yet far enough above"
        board.say(f"now battery {high_mv}")
        board.step(5.2)
        assert blinks(board, 4.5, 5.2, resting=False) == []
    assert len(found) in (7, 8)
    for one, two in pairwise(found):
        assert two - one == pytest.approx(0.262, abs=0.01)
