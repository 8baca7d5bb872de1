"""A board that is reset at random moments, and the check that what arrives is what was logged.

The edges come at random intervals, so that each stretch of them fits one place only.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from firmware.stepped import CYCLES_PER_S, RAM_RESERVE, Edge, SteppedBoard, Talk
from unspool.instrument.firmware.boards import ATMEGA328P, RP2040
from unspool.instrument.wire import BoardRestarted, EdgeBatch

CYCLES_PER_TICK = 64  # in the unit of an edge's time
LATE_S = 0.001  # from an edge to the moment when it is logged, with a frame between
HANG_S = 0.3  # until the watchdog ends it
CAUSES = ("reset external", "reset brownout", "hang")
HELD = 600
DENSE_MS = (0.3, 3.0)  # between two edges; 600 of these fit the ring
SPARSE_MS = (2.0, 14.0)  # a host that was reset away has time to come back
A_STRETCH = 160  # edges from one reset to the next, about

Seen = tuple[int, int, int]  # number, ticks, direction


def random_edges(
    random: Random, count: int, start_s: float, between_ms: tuple[float, float]
) -> list[Edge]:
    """Now and then one is backward."""
    shortest, longest = (round(ms * CYCLES_PER_S / 1000) for ms in between_ms)
    at, direction, edges = round(start_s * CYCLES_PER_S), 1, []
    for _ in range(count):
        at += random.randrange(shortest, longest)
        direction = -direction if random.random() < 0.05 else direction
        edges.append((at, direction))
    return edges


def stretches(talk: Talk) -> list[list[Seen]]:
    """The edges that arrived, cut where the board says that it restarted."""
    out: list[list[Seen]] = [[]]
    for item in talk.heard:
        if isinstance(item, BoardRestarted):
            out.append([])
        elif isinstance(item, EdgeBatch):
            columns = (item.number.tolist(), item.ticks.tolist(), item.direction.tolist())
            out[-1] += zip(*columns, strict=True)
    return out


def ticks_off(board_name: str) -> float:
    """How far two edges may be from their true distance: a tick, and what the stamps are late.

    The hardware of an AVR stamps an edge exactly. The RP2040's interrupt is up to a microsecond
    late, and its timer counts microseconds.
    """
    return 1.51 if board_name == RP2040.name else 1.01


def fits(stretch: Sequence[Seen], edges: Sequence[Edge], off: float = 1.01) -> bool:
    for (_, ticks, direction), (cycle, true_direction) in zip(stretch, edges, strict=True):
        since = (cycle - edges[0][0]) / CYCLES_PER_TICK
        if direction != true_direction or abs(ticks - stretch[0][1] - since) > off:
            return False
    return True


def place(part: Sequence[Seen], edges: Sequence[Edge], first: int, off: float = 1.01) -> range:
    """Where this stretch lies in the true edges from `first` on."""
    for at in range(first, len(edges) - len(part) + 1):
        if fits(part, edges[at : at + len(part)], off):
            return range(at, at + len(part))
    raise AssertionError("a stretch that never happened")


def places(
    parts: Sequence[Sequence[Seen]], edges: Sequence[Edge], off: float = 1.01
) -> list[range]:
    """The same for stretches that lie one after the other."""
    found: list[range] = []
    for part in parts:
        found.append(place(part, edges, found[-1].stop if found else 0, off))
    return found


def check_held(random: Random, cause: str, board_name: str = ATMEGA328P.name) -> None:
    """600 held without a host, a reset in the middle of the last ones, then a host."""
    edges = random_edges(random, HELD, 0.1, DENSE_MS)
    at = edges[-random.randrange(1, 20)][0] + random.randrange(2_000)
    with SteppedBoard(board=board_name) as board:
        before = [edge for edge in edges if edge[0] < at]
        board.turn(before[:-1])
        board.step(at / CYCLES_PER_S, before[-1:])
        board.say(f"now {cause}")
        board.step(at / CYCLES_PER_S + HANG_S)
        talk = Talk(board)
        talk.until(at / CYCLES_PER_S + 3.0)
    parts = [part for part in stretches(talk) if part]
    assert len(parts) == 1
    held = parts[0]
    assert [number for number, _, _ in held] == list(range(len(held)))
    assert len(before) - 2 <= len(held) <= len(before)
    assert fits(held, before[: len(held)], ticks_off(board_name))
    assert {hello.boot for hello in talk.hellos} == {1}
    assert talk.gaps == []
    assert talk.statuses[-1].edges_lost == 0
    assert board.report["stack_room_bytes"] >= RAM_RESERVE


@dataclass(frozen=True)
class Trial:
    """A wheel that turned on while its board was reset again and again, a host listening."""

    talk: Talk
    edges: list[Edge]
    resets_s: list[float]
    ticks_off: float


def turn_and_reset(seed: int, resets: int = 25, board_name: str = ATMEGA328P.name) -> Trial:
    random = Random(seed)
    edges = random_edges(random, resets * A_STRETCH, 0.6, SPARSE_MS)
    at_s: list[float] = []
    with SteppedBoard(board=board_name) as board:
        talk = Talk(board)
        talk.until(0.55)
        for first in range(0, len(edges), A_STRETCH):
            part = edges[first : first + A_STRETCH]
            cut = random.randrange(40, 120)
            talk.until(part[cut][0] / CYCLES_PER_S + 1e-7, part[: cut + 1])
            until_s = (part[cut][0] + random.randrange(10, 4_500)) / CYCLES_PER_S
            talk.until(until_s)  # most often in the middle of that edge
            board.say(f"now {random.choice(CAUSES)}")
            at_s.append(until_s)
            talk.until(part[-1][0] / CYCLES_PER_S + 1e-7, part[cut + 1 :])
        talk.until(edges[-1][0] / CYCLES_PER_S + 3.0)
    return Trial(talk, edges, at_s, ticks_off(board_name))


def check(trial: Trial) -> None:
    """All that was logged arrived, and nothing else."""
    parts, edges = stretches(trial.talk), trial.edges
    assert len(parts) == len(trial.resets_s) + 1
    numbers = [number for part in parts for number, _, _ in part]
    assert numbers == list(range(len(numbers))), "a gap or a repeated edge"
    assert {hello.boot for hello in trial.talk.hellos} == {1}
    lie = places(parts, edges, trial.ticks_off)
    for time_s, one, later in zip(trial.resets_s, lie, lie[1:], strict=False):
        assert edges[max(one.stop - 1, 0)][0] / CYCLES_PER_S <= time_s
        assert time_s - edges[one.stop][0] / CYCLES_PER_S <= LATE_S, "logged, and lost"
        assert edges[later.start][0] / CYCLES_PER_S <= time_s + HANG_S
    assert lie[0].start == 0
    assert lie[-1].stop == len(edges)
    ticks = [ticks for part in parts for _, ticks, _ in part]
    assert ticks == sorted(ticks), "one clock for the whole boot"
