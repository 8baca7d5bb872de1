"""What a board says, decoded: all that leaves the wire package upwards."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.instrument.wire.codes import GarbledCode
from unspool.instrument.wire.messages import Hello, Status
from unspool.instrument.wire.table import PROTOCOL, ResetCause


@dataclass(frozen=True)
class BoardHello:
    """The board's own constants; the host assumes none of them."""

    protocol: int
    firmware: str
    tick_hz: int
    edges_per_turn: int  # 0 if no host has configured it
    boot: int
    identity: int  # the board's for life; 0 until a host has given it one
    sensors: int = 2  # 1: it does not look at sensor B, so all edges are forward


@dataclass(frozen=True)
class EdgeBatch:
    """Edges whose numbers follow each other; all (n,). ticks are widened, they never wrap."""

    number: NDArray[np.int64]
    ticks: NDArray[np.int64]
    direction: NDArray[np.int8]


@dataclass(frozen=True)
class EdgeGap:
    """`count` edges from number `first` on are lost for good."""

    first: int
    count: int


@dataclass(frozen=True)
class BoardRestarted:
    """The board was reset between edge `first` and the one before, and kept its edges.

    Its clock missed the reset and went on from `ticks`; edges during the reset were not counted.
    """

    first: int
    ticks: int


@dataclass(frozen=True)
class BoardStatus:
    battery_mv: int
    ring_fill_percent: int
    edges_lost: int
    reset_cause: ResetCause
    ticks: int  # the board's clock when it sent this, widened
    next_edge: int  # no edge with this number or above came before `ticks`
    restarted_at: int = 0  # the clock after the last reset of this boot; 0 if there was none


@dataclass(frozen=True)
class SensorSamples:
    """What both sensors showed during a check; all (n,).

    There is a sample after each change of either sensor, and one in 50 ms at rest. If nothing
    changed in a sample that came sooner, a pulse of A was over before it could be looked at.

    number: counts from the check's start; a number that is skipped is a sample that was lost.
    time_s: the board's clock, which never wraps. a, b: levels, 0 or 1.
    """

    number: NDArray[np.int64]
    time_s: NDArray[np.float64]
    a: NDArray[np.int8]
    b: NDArray[np.int8]


@dataclass(frozen=True)
class Garbled:
    """Bytes that are no frame of ours; `code` says which check failed."""

    data: bytes
    code: GarbledCode


Decoded = BoardHello | EdgeBatch | EdgeGap | BoardRestarted | BoardStatus | SensorSamples | Garbled


def board_hello(hello: Hello) -> BoardHello:
    return BoardHello(
        PROTOCOL,
        hello.firmware,
        hello.tick_hz,
        hello.edges_per_turn,
        hello.boot,
        hello.identity,
        hello.sensors,
    )


def board_status(status: Status) -> BoardStatus:
    causes = {cause.value: cause for cause in ResetCause}
    return BoardStatus(
        status.battery_mv,
        status.ring_fill_percent,
        status.edges_lost,
        causes.get(status.reset_cause, ResetCause.UNKNOWN),
        status.ticks,
        status.next_edge,
        status.restarted_at,
    )
