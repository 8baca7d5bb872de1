"""Decoding of captured bytes, what the line carries, and what the board holds.

The capture holds some 700 invented runs: launch, two tiers, coast to standstill. They have 20 edges
a turn, 1.5 % slot error and 2 us of sensor jitter. They are played at 7,500 edges a second.
"""

from __future__ import annotations

import struct
import time
from collections.abc import Callable, Iterable
from random import Random

import numpy as np

from bench.figures import Figure
from unspool.instrument.wire import BoardSide, Conversation, EdgeBatch
from unspool.instrument.wire.board import RING_BYTES

STAMP_HZ = 2_000_000
EDGES = 400_000
RATE = 7500
RECORD = struct.Struct("<IQb")


def figures() -> Iterable[Figure]:
    stamps = played_at(RATE, EDGES)
    captured = capture(stamps)
    decoded = Conversation().receive(captured)
    ticks = np.concatenate([h.ticks for h in decoded if isinstance(h, EdgeBatch)])
    assert np.array_equal(ticks, stamps // 8)  # a figure of wrong edges is no figure
    records = b"".join(RECORD.pack(i, t, 1) for i, t in enumerate(ticks.tolist()))
    ours = best_of(5, lambda: Conversation().receive(captured))
    plain = best_of(5, lambda: struct_loop(records))
    yield Figure(
        "wire_decoding",
        EDGES / ours / 1e6,
        "M edges/s",
        f"struct loop over {RECORD.size}-byte records",
        EDGES / plain / 1e6,
    )
    text = sum(len(f"{stamp // 2}\r\n") for stamp in stamps.tolist())
    yield Figure(
        "wire_size_at_7500_edges_a_second",
        len(captured) / EDGES,
        "bytes/edge",
        "microseconds as text",
        text / EDGES,
    )
    held, kept = held_without_link()
    yield Figure(f"wire_held_in_{RING_BYTES}_bytes", held, "edges", "5-byte records", kept)
    arrived = min(through_flips(seed) for seed in range(8))
    run = len(run_stamps(0))
    yield Figure("wire_edges_in_a_minute_with_5_%_of_bytes_flipped", arrived, "edges", "run", run)


def struct_loop(records: bytes) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    number, ticks, direction = [], [], []
    for at in range(0, len(records), RECORD.size):
        a, b, c = RECORD.unpack_from(records, at)
        number.append(a)
        ticks.append(b)
        direction.append(c)
    return np.array(number), np.array(ticks), np.array(direction, dtype=np.int8)


def best_of(times: int, work: Callable[[], object]) -> float:
    """Seconds of this process's own time, so that other work on the machine counts less."""
    best = float("inf")
    for _ in range(times):
        begun = time.process_time()
        work()
        best = min(best, time.process_time() - begun)
    return best


def run_stamps(seed: int, jitter_us: float = 2.0, coast: float = 0.16) -> np.ndarray:
    """Edge stamps of one run (0.5 us): 0.51 m/s2, then 0.32, then coasting, with some air drag."""
    random = np.random.default_rng(seed)
    pitch = 1 + 0.015 * random.standard_normal(20)
    edges_m = np.cumsum(np.tile(pitch / pitch.mean(), 400)) * 0.3883 / 20
    cells = np.linspace(0, 40, 80_001)
    push = np.where(cells < 1.36, 0.51, np.where(cells < 3.43, 0.32, -coast))
    squared, step = [1e-6], cells[1]
    for force in push[1:].tolist():
        squared.append(squared[-1] + 2 * step * (force - 0.012 * squared[-1]))
        if squared[-1] <= 0:
            break
    speed = np.sqrt(squared[:-1])
    elapsed = np.concatenate([[0], np.cumsum(2 * step / (speed[1:] + speed[:-1]))])
    passed = edges_m[edges_m < cells[len(speed) - 1]]
    times = np.interp(passed, cells[: len(speed)], elapsed)
    times += jitter_us * 1e-6 * random.standard_normal(len(times))
    return np.floor(np.sort(times) * STAMP_HZ).astype(np.int64)


def played_at(rate: int, count: int) -> np.ndarray:
    """Runs behind each other, each played so fast that it has `rate` edges a second on average."""
    runs = [run_stamps(seed) for seed in range(4)]
    out, at, have = [], 2.0 * STAMP_HZ, 0
    while have < count:
        run = runs[len(out) % 4]
        fast = STAMP_HZ / rate / np.diff(run).mean()
        out.append((run - run[0]) * fast + at)
        at = out[-1][-1] + 300
        have += len(run)
    return np.floor(np.concatenate(out)[:count]).astype(np.int64)


def capture(stamps: np.ndarray) -> bytes:
    """What the board sends for these edges to a host that acknowledges every 5 ms."""
    board, host = BoardSide(boot=1), Conversation()
    out = []
    for begin in range(0, len(stamps), RATE // 200):
        part = stamps[begin : begin + RATE // 200].tolist()
        for stamp in part:
            board.edge(stamp, 1)
        out.append(board.to_send(part[-1]))
        host.receive(out[-1])
        host.stored()
        board.receive(host.to_send(part[-1] / STAMP_HZ))
    out.append(board.to_send(int(stamps[-1]) + STAMP_HZ // 10))
    return b"".join(out)


def through_flips(seed: int, share: float = 0.05) -> int:
    """Edges of one run that arrive in a minute, with so many bytes flipped both ways."""
    random, board, host = Random(seed), BoardSide(boot=1, identity=1), Conversation()

    def spoil(data: bytes) -> bytes:
        return bytes(b ^ 1 << random.randrange(8) if random.random() < share else b for b in data)

    stamps, arrived = (run_stamps(0) + STAMP_HZ).tolist(), 0
    for now in range(0, 60 * STAMP_HZ, STAMP_HZ // 200):
        while stamps and stamps[0] <= now:
            board.edge(stamps.pop(0), 1)
        board.receive(spoil(host.to_send(now / STAMP_HZ)))
        heard = host.receive(spoil(board.to_send(now)))
        arrived += sum(len(item.number) for item in heard if isinstance(item, EdgeBatch))
        host.stored()
    return arrived


def held_without_link() -> tuple[int, int]:
    """Edges of real-time runs that the board keeps with no host, and how many records would fit."""
    board = BoardSide(boot=1)
    at = 0
    for seed in range(8):
        run = run_stamps(seed)
        for stamp in (run + at + STAMP_HZ).tolist():
            board.edge(stamp, 1)
        at += int(run[-1]) + 5 * STAMP_HZ
    host = Conversation()
    held = 0
    for step in range(20):
        board.receive(host.to_send(step / 100))
        heard = host.receive(board.to_send(at + step * STAMP_HZ // 100))
        held += sum(len(h.number) for h in heard if isinstance(h, EdgeBatch))
    assert held, "the host heard nothing"
    return held, RING_BYTES // 5
