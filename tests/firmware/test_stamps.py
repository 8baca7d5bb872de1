"""Edges through the whole firmware: stamped to the tick, numbered, with their direction.

The script drives the pins at known processor cycles; a tick of the protocol is 64 of them. When the
chip's timer started is not known, so a set of stamps is exact when one start fits them all.
"""

from __future__ import annotations

from random import Random

import pytest

from firmware.stepped import CYCLES_PER_S, Edge, SteppedBoard, Talk, edges_every

pytestmark = pytest.mark.firmware

CYCLES_A_TICK = 64
TIMER_WRAP_CYCLES = 65536 * 8


def hear(edges: list[Edge], quiet_s: float = 0.3) -> Talk:
    with SteppedBoard() as board:
        talk = Talk(board)
        talk.until(edges[-1][0] / CYCLES_PER_S + quiet_s, edges)
    return talk


def timer_start(edges: list[Edge], talk: Talk) -> range:
    """Cycles at which the timer can have started, by all stamps together."""
    pairs = zip(edges, talk.edges, strict=True)
    late = [cycle - ticks * CYCLES_A_TICK for (cycle, _), (_, ticks, _) in pairs]
    return range(max(late) - CYCLES_A_TICK + 1, min(late) + 1)


def scattered(count: int, seed: int) -> list[Edge]:
    random, cycle, edges = Random(seed), CYCLES_PER_S // 2, []
    for _ in range(count):
        cycle += random.randrange(4_000, 60_000)
        edges.append((cycle, 1))
    return edges


def test_every_stamp_is_exact() -> None:
    edges = scattered(1500, seed=1)
    talk = hear(edges)
    assert [number for number, _, _ in talk.edges] == list(range(1500))
    assert len(timer_start(edges, talk)) in range(1, 9)  # the timer counts 8 cycles at a time


def test_exact_where_the_timer_wraps() -> None:
    """An edge each cycle from 60 before to 60 after the counter's wrap, one at each wrap."""
    start = timer_start(scattered(1500, seed=1), hear(scattered(1500, seed=1)))[0]
    first_wrap = start + 20 * TIMER_WRAP_CYCLES
    edges = [(first_wrap + (i + 60) * TIMER_WRAP_CYCLES + i, 1) for i in range(-60, 61)]
    talk = hear(edges)
    assert len(talk.edges) == 121
    assert start in timer_start(edges, talk)


def test_exact_after_the_long_wrap() -> None:
    """A 32-bit count of 0.5 us wraps after 35.8 minutes."""
    soon, late = edges_every(0.01, 50, 0.5), edges_every(0.01, 50, 2160.0)
    with SteppedBoard() as board:
        talk = Talk(board)
        talk.until(2.0, soon)
        talk.until(2159.0, step_s=1.0)
        talk.until(2161.0, late)
    assert len(talk.edges) == 100
    assert timer_start(soon + late, talk)


def test_standstill_then_on() -> None:
    edges = edges_every(0.02, 30, 0.5) + edges_every(0.02, 30, 31.0)
    talk = hear(edges)
    assert [number for number, _, _ in talk.edges] == list(range(60))
    assert timer_start(edges, talk)


def test_direction_is_the_wheels() -> None:
    """Wind backwards, run forwards, roll back: each turn-about at another phase of the slots."""
    turns = [-1] * 7 + [1] * 12 + [-1] * 1 + [1] * 1 + [-1] * 2 + [1] * 5
    edges = [(CYCLES_PER_S // 2 + 64_000 * i, turn) for i, turn in enumerate(turns)]
    talk = hear(edges)
    assert [direction for _, _, direction in talk.edges] == turns
    assert timer_start(edges, talk)


def test_rocking_on_one_slot_edge_stays_in_place() -> None:
    """Sensor A flickers while B stands still: forward and back by turns, nothing in sum."""
    edges = [(c, (1, -1)[i % 2]) for i, (c, _) in enumerate(edges_every(0.0005, 200, 0.5))]
    talk = hear(edges)
    assert sum(direction for _, _, direction in talk.edges) == 0
    assert len(talk.edges) == 200


def test_pulse_shorter_than_the_interrupt_is_no_slot() -> None:
    with SteppedBoard() as board:
        talk = Talk(board)
        talk.until(0.5)
        for us in range(500_000, 600_000, 10_000):
            board.say(f"{us} pins 10")
            board.say(f"{us + 1} pins 00")
        talk.until(0.7, step_s=0.2)
        talk.until(1.2, edges_every(0.01, 20, 0.8))
    assert [(n, d) for n, _, d in talk.edges] == [(n, 1) for n in range(20)]


@pytest.mark.parametrize("rate", [5_000, 7_500])
def test_no_edge_lost_at(rate: int) -> None:
    edges = edges_every(1 / rate, rate, 0.5)
    talk = hear(edges)
    assert [number for number, _, _ in talk.edges] == list(range(rate))
    assert timer_start(edges, talk)
    assert talk.gaps == []
    assert talk.statuses[-1].edges_lost == 0


def test_more_than_it_can_take_is_counted() -> None:
    """30,000 edges a second: what is lost is a gap of known place and size; then all is well."""
    flood = edges_every(1 / 30_000, 6_000, 0.5)
    after = edges_every(0.01, 40, 1.5)
    with SteppedBoard() as board:
        talk = Talk(board)
        talk.until(3.5, flood + after)
    heard = {number: (ticks, direction) for number, ticks, direction in talk.edges}
    missing = {n for gap in talk.gaps for n in range(gap.first, gap.first + gap.count)}
    assert missing
    assert not missing & heard.keys()
    assert sorted(missing | heard.keys()) == list(range(6_040))
    cycles = [cycle for cycle, _ in flood + after]
    late = [cycles[n] - ticks * CYCLES_A_TICK for n, (ticks, _) in heard.items()]
    assert max(late) - min(late) < CYCLES_A_TICK
    # it also counts edges that came through but were dropped before their acknowledgement came
    assert len(missing) <= talk.statuses[-1].edges_lost < 6_040
