"""What a board says of a train of edges: the words that the host hears, in their order."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from unspool.instrument.wire.decoded import BoardHello, BoardStatus, Decoded, EdgeBatch, EdgeGap
from unspool.instrument.wire.table import ResetCause
from unspool.reading.edges.pulse_train import PulseTrain

TICK_HZ = 250_000


def hello(boot: int = 7, edges_per_turn: int = 20) -> BoardHello:
    return BoardHello(1, "python", TICK_HZ, edges_per_turn, boot, 0xB0A2D001)


def status(at_s: float, next_edge: int, reset_at_s: float = 0.0) -> BoardStatus:
    ticks, reset_at = round(at_s * TICK_HZ), round(reset_at_s * TICK_HZ)
    return BoardStatus(5000, 0, 0, ResetCause.POWER_ON, ticks, next_edge, reset_at)


def batch(times: list[float], directions: list[int], first: int) -> EdgeBatch:
    n = len(times)
    return EdgeBatch(
        np.arange(first, first + n, dtype=np.int64),
        np.round(np.array(times) * TICK_HZ).astype(np.int64),
        np.array(directions, np.int8),
    )


def words(train: PulseTrain, until_s: float, size: int = 7) -> Iterator[Decoded]:
    """Edges, `size` in a batch, gaps where numbers are missing, and a status each second."""
    next_status, done, expected = np.ceil(train.time_s[0]), 0, int(train.number[0])
    while next_status < until_s:
        due = int(np.searchsorted(train.time_s, next_status))
        for start in range(done, due, size):
            end = min(start + size, due)
            for part in _unbroken(train, start, end):
                first = int(train.number[part[0]])
                if first > expected:
                    yield EdgeGap(expected, first - expected)
                expected = int(train.number[part[-1]]) + 1
                yield EdgeBatch(
                    train.number[part],
                    np.round(train.time_s[part] * TICK_HZ).astype(np.int64),
                    train.direction[part],
                )
        done = due
        yield status(float(next_status), expected)
        next_status += 1.0


def _unbroken(train: PulseTrain, start: int, end: int) -> list[np.ndarray]:
    index = np.arange(start, end)
    breaks = np.flatnonzero(np.diff(train.number[index]) > 1) + 1
    return np.split(index, breaks)
