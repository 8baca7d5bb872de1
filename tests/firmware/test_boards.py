"""Each board on its simulated chip: who it is, what it stamps, what it holds, what it shows."""

from __future__ import annotations

import time
from collections.abc import Callable
from random import Random

import pytest

import unspool
from firmware.real_edges import real_edges
from firmware.resets import CYCLES_PER_TICK, SPARSE_MS, random_edges, ticks_off
from firmware.stepped import CYCLES_PER_S, SteppedBoard, Talk, edges_every
from unspool.instrument.firmware import BOARDS
from unspool.instrument.link import Link
from unspool.instrument.link.serial import SerialLink
from unspool.instrument.wire import Conversation, EdgeBatch
from unspool.instrument.wire.decoded import BoardHello, Decoded, SensorSamples
from unspool.virtual.demo.simulated_chip import SimulatedBoard

pytestmark = [pytest.mark.firmware, pytest.mark.parametrize("name", BOARDS)]

HELD = {"atmega328p": 1_500, "atmega328p-8mhz": 1_500, "atmega2560": 5_500, "rp2040": 1_300}
RUNS = {"rp2040": 2}  # it holds hundreds (`make bench`); the others hold less than ten


def test_says_who_it_is_and_the_same_tick(name: str) -> None:
    with SteppedBoard("--battery=4321", board=name) as board:
        talk = Talk(board)
        talk.until(1.5)
    assert talk.hellos[0].firmware == f"{name} {unspool.__version__}"
    assert talk.hellos[0].tick_hz == 250_000
    assert talk.statuses[-1].battery_mv == pytest.approx(4321, rel=0.01)


def test_stamps_random_edges_to_the_tick(name: str) -> None:
    edges = random_edges(Random(name), 500, 0.6, SPARSE_MS)
    with SteppedBoard(board=name) as board:
        talk = Talk(board)
        talk.until(edges[-1][0] / CYCLES_PER_S + 0.5, edges)
    assert [number for number, _, _ in talk.edges] == list(range(500))
    assert [way for _, _, way in talk.edges] == [way for _, way in edges]
    for (_, ticks, _), (cycle, _) in zip(talk.edges, edges, strict=True):
        true = (cycle - edges[0][0]) / CYCLES_PER_TICK
        assert ticks - talk.edges[0][1] == pytest.approx(true, abs=ticks_off(name))


def test_holds_what_its_memory_has_room_for(name: str) -> None:
    edges = real_edges(RUNS.get(name, 10))
    with SteppedBoard(board=name) as board:
        board.turn(edges)
        talk = Talk(board)
        talk.until(edges[-1][0] / CYCLES_PER_S + 6.0)
    held = [number for number, _, _ in talk.edges]
    assert held == list(range(len(edges) - len(held), len(edges)))
    assert len(held) >= HELD[name]
    assert talk.statuses[-1].edges_lost == len(edges) - len(held)


def test_check_shows_both_sensors(name: str) -> None:
    with SteppedBoard(board=name) as board:
        talk = Talk(board)
        talk.until(0.5)
        talk.conversation.check()
        talk.until(0.7)
        for i, levels in enumerate(("10", "11", "01")):
            board.say(f"{700_000 + i * 10_000} pins {levels}")
            talk.until(0.71 + i * 0.01)
        talk.until(1.0)
    samples = talk.all_of(SensorSamples)
    seen = [level for one in samples for level in zip(one.a.tolist(), one.b.tolist(), strict=True)]
    changes = [two for one, two in zip([None, *seen], seen, strict=False) if one != two]
    assert changes == [(0, 0), (1, 0), (1, 1), (0, 1)]


def test_lamp_follows_sensor_a(name: str) -> None:
    with SteppedBoard("--lamp", board=name) as board:
        talk = Talk(board)
        talk.until(2.0, edges_every(0.05, 6, 1.0))
    assert [lit for at, lit in board.lamp if at > 0.5] == [True, False] * 3


def test_its_rate_is_found_over_the_cable(name: str) -> None:
    """And a run arrives over it, on a port that is reset when it is opened."""
    with SimulatedBoard(board=name, rate=True, dtr=True) as board:
        link, host, heard = SerialLink(board.port), Conversation(), []
        link.open()
        listen(link, host, heard, lambda: any(isinstance(one, BoardHello) for one in heard))
        start = board.time_s + 0.2
        board.feed((start + i * 0.002, 1) for i in range(300))
        listen(link, host, heard, lambda: len(numbers(heard)) >= 300)
        link.close()
    assert link.baud == BOARDS[name].baud
    assert numbers(heard) == list(range(300))


def listen(link: Link, host: Conversation, heard: list[Decoded], done: Callable[[], bool]) -> None:
    end = time.monotonic() + 30.0
    while not done():
        assert time.monotonic() < end, "the board did not answer"
        heard += host.receive(link.read(0.05))
        host.stored()
        link.write(host.to_send(time.monotonic()))


def numbers(heard: list[Decoded]) -> list[int]:
    return [n for one in heard if isinstance(one, EdgeBatch) for n in one.number.tolist()]
