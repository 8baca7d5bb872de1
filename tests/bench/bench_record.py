"""The way into the store: how fast, how dear to be safe, how soon after a pulled cable."""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Callable, Iterable
from pathlib import Path
from statistics import median

from bench.figures import Figure
from board_rig import Tapped, powered, recording, wait_for
from unspool.instrument.link.serial import SerialLink
from unspool.instrument.record import RunContext
from unspool.instrument.record.capture_reader import CaptureReader
from unspool.instrument.wire import BoardSide, Conversation
from unspool.store import Chunk, Store
from unspool.virtual.demo.pseudo_terminal import Terminal
from unspool.virtual.demo.scenario import corridor, sandpiper
from unspool.virtual.demo.wheel_script import wheel_script

STEP_S = 0.005
STAMP_HZ = 2_000_000
APPENDS = 300
OUTAGES = 7
OUTAGE_S = 0.7


def capture(runs: int) -> tuple[list[Chunk], int]:
    """What a board says of some runs, as it would arrive; and how many edges that are."""
    script = wheel_script(sandpiper(), corridor(), runs=runs)
    board, host, chunks, edges = BoardSide(5), Conversation(), [], script.edges
    step = 0
    while step * STEP_S < script.end_s:
        now, step = step * STEP_S, step + 1
        while edges and edges[0][0] <= now:
            at_s, direction = edges.pop(0)
            board.edge(int(at_s * STAMP_HZ), direction)
        if data := board.to_send(int(now * STAMP_HZ)):
            chunks.append(Chunk(1, now, data))
            host.receive(data)
            host.stored()
        board.receive(host.to_send(now))
    return chunks, len(script.edges)


def seconds(work: Callable[[], object]) -> float:
    def once() -> float:
        start = time.perf_counter()
        work()
        return time.perf_counter() - start

    return min(once() for _ in range(5))


def found_and_decoded() -> tuple[float, float]:
    """Edges a second: decoded and runs found; decoded only. Chunk by chunk, as they arrive."""
    chunks, edges = capture(runs=4)

    def find() -> None:
        reader = CaptureReader(RunContext())
        for chunk in chunks:
            reader.feed(chunk)

    def decode() -> None:
        host = Conversation()
        for chunk in chunks:
            host.receive(chunk.data)

    return edges / seconds(find), edges / seconds(decode)


def median_ms(work: Callable[[bytes], object]) -> float:
    taken = []
    for step in range(APPENDS):
        start = time.perf_counter()
        work(step.to_bytes(40, "little"))
        taken.append(time.perf_counter() - start)
    return 1e3 * median(taken)


def append_ms() -> tuple[float, float]:
    """One frame made safe: in the store, and at the end of a bare file."""
    with tempfile.TemporaryDirectory() as folder:
        with Store.open(Path(folder) / "s") as store:
            log = store.begin_capture("virtual:")
            stored = median_ms(lambda data: log.append(1.0, data))
        with (Path(folder) / "bare").open("wb", buffering=0) as bare:
            synced = median_ms(lambda data: (bare.write(data), os.fsync(bare.fileno())))
    return stored, synced


def recovery_s() -> list[float]:
    """From the cable's return to the first edge made meanwhile that the store has."""
    edges = [(0.01 * k, 1) for k in range(3000)]
    taken: list[float] = []
    with tempfile.TemporaryDirectory() as folder, Store.open(Path(folder) / "s") as store:
        terminal = Terminal(Path(folder) / "board")
        line = Tapped(terminal)
        with powered(line, edges, 1.0) as board, recording(SerialLink(terminal.port), store):
            for _ in range(OUTAGES):
                wait_for(lambda: 0 < board.played - 20 < line.acknowledged, "the host")
                terminal.unplug()
                time.sleep(OUTAGE_S)
                there, start = line.acknowledged, time.perf_counter()
                terminal.plug()
                wait_for(lambda there=there: line.acknowledged > there, "the edges")
                taken.append(time.perf_counter() - start)
        terminal.close()
    return taken


def figures() -> Iterable[Figure]:
    found, decoded = found_and_decoded()
    yield Figure("record_edges_per_s", found, "1/s", "decoded only", decoded)
    stored, synced = append_ms()
    yield Figure("store_append", stored, "ms", "bare file and fsync", synced)
    recovered = recovery_s()
    yield Figure("cable_recovery_median", median(recovered), "s", "outage", OUTAGE_S)
    yield Figure("cable_recovery_longest", max(recovered), "s", "outage", OUTAGE_S)
