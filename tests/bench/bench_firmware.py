"""The firmware on the simulated chip against a sketch that prints each edge's time as text."""

from __future__ import annotations

import re
import subprocess
import tempfile
from collections.abc import Callable, Iterable
from math import cos, pi
from pathlib import Path
from random import Random
from statistics import median, quantiles

from bench.figures import Figure
from firmware.real_edges import BETWEEN_S, real_edges
from firmware.stepped import CYCLES_PER_S, Edge, SteppedBoard, Talk
from unspool.instrument.firmware import BOARDS
from unspool.instrument.firmware.boards import ATMEGA328P, RP2040
from unspool.instrument.firmware.build import SOURCES
from unspool.instrument.wire.edge_log import EdgeLog

SKETCH = Path(__file__).with_name("baseline.c")
START_S = 0.5
STREAM_S = 1.0
SENT_S = 0.5  # for what waits on the board when the last edge has come
SLOTS = 20
SLOT_ERROR = 0.015
FLOOR, CEILING = 500, 20_000  # edges a second
RANGES = {"rp2040": (10_000, 150_000)}
FULL_RATE = 7_500
LOOK_S = 0.001
CYCLES_A_TICK = 64
RADIO_RATE = 2_000  # bytes a second
_VECTORS_328P = {10: "edge", 13: "clock", 16: "wake", 18: "receive", 19: "send"}
VECTORS = {
    "atmega328p": _VECTORS_328P,
    "atmega328p-8mhz": _VECTORS_328P,
    "atmega2560": {41: "edge", 45: "clock", 23: "wake", 25: "receive", 26: "send"},
    "rp2040": {29: "edge", 15: "wake", 21: "USB"},
}
HELD_RUNS = 10  # more edges than an AVR holds
REPEATED = {"rp2040": 75}


def stream(rate: int) -> list[Edge]:
    """Edges of a wheel whose speed swings by 20 % and whose slots are off by SLOT_ERROR (rms)."""
    random = Random(7)
    slots = [random.gauss(0, SLOT_ERROR) for _ in range(SLOTS)]
    edges: list[Edge] = []
    turned = 0.0  # slots
    while (at := turned + slots[len(edges) % SLOTS]) < rate * STREAM_S:
        swing = 0.2 * STREAM_S / (2 * pi) * (1 - cos(2 * pi * at / (rate * STREAM_S)))
        edges.append((round((START_S + at / rate + swing) * CYCLES_PER_S), 1))
        turned += 1
    return edges


def heard_by_host(
    rate: int, name: str = ATMEGA328P.name, *options: str
) -> tuple[int, int, dict[str, int]]:
    """Edges that did not arrive, bytes on the wire while they did, and the chip's report."""
    edges = stream(rate)
    with SteppedBoard(*options, board=name) as board:
        talk = Talk(board)
        talk.until(START_S - 0.1)
        before = talk.received
        talk.until(edges[-1][0] / CYCLES_PER_S + SENT_S, edges)
        received = talk.received - before
    arrived = {number for number, _, _ in talk.edges}
    return len(edges) - len(arrived), received, board.report


def printed_by_sketch(rate: int, elf: Path) -> tuple[int, int]:
    edges = stream(rate)
    with SteppedBoard(elf=elf) as board:
        text = board.turn(edges) + board.step(edges[-1][0] / CYCLES_PER_S + 0.5)
    return len(edges) - text.count(b"\n"), len(text)


def kept_without_a_host(name: str) -> int:
    """Edges of real runs that the board still has when a host comes, the log having overflowed."""
    once = real_edges(HELD_RUNS)
    span = once[-1][0] + round(BETWEEN_S * CYCLES_PER_S)
    times = REPEATED.get(name, 1)
    edges = [(cycle + i * span, way) for i in range(times) for cycle, way in once]
    with SteppedBoard(board=name) as board:
        board.turn(edges)
        talk = Talk(board)
        talk.until(edges[-1][0] / CYCLES_PER_S + 6.0)
    return len(talk.edges)


def live(rate: int | None = None) -> tuple[float, list[float]]:
    """A real run at its own pace: bytes an edge over a link of `rate`, and each edge's delay in ms.

    The delay is from the slot at the sensor to the last byte of its frame at the host.
    """
    edges = real_edges(runs=1)
    delays: list[float] = []
    with SteppedBoard() as board:
        talk = Talk(board)
        talk.conversation.configure(SLOTS, rate=rate)
        talk.until(0.9)
        before = talk.received
        at = 0
        while len(delays) < len(edges):
            until_s = board.time_s + LOOK_S
            first = at
            while at < len(edges) and edges[at][0] <= until_s * CYCLES_PER_S:
                at += 1
            talk.until(until_s, edges[first:at], LOOK_S)
            heard = len(talk.edges) if talk.received > before else 0
            delays += [
                1e3 * (until_s - edges[i][0] / CYCLES_PER_S) for i in range(len(delays), heard)
            ]
    return (talk.received - before) / len(edges), delays


def fewest_held(capacity: int, runs: int) -> tuple[int, float]:
    """Edges that a log holds of real runs: at the worst moment, and half of the time or more."""
    log, held = EdgeLog(capacity), []
    for cycle, way in real_edges(runs):
        log.edge(cycle // CYCLES_A_TICK, way, SLOTS)
        if log.edges_lost:
            held.append(log.next_edge - log.oldest[1])
    return min(held), median(held)


def fastest(loses: Callable[[int], bool], low: int = FLOOR, high: int = CEILING) -> int:
    """Edges a second, to 2 %, up to which none is lost."""
    while high - low > 0.02 * low:
        middle = round((low * high) ** 0.5)
        low, high = (low, middle) if loses(middle) else (middle, high)
    return low


def build_sketch(folder: Path) -> Path:
    elf = folder / "baseline.elf"
    flags = ["-std=c11", "-Os", "-mmcu=atmega328p", "-Wall", "-Wextra", "-Werror"]
    subprocess.run(["avr-gcc", *flags, SKETCH, "-o", elf], check=True)
    return elf


def figures() -> Iterable[Figure]:
    with tempfile.TemporaryDirectory() as folder:
        sketch = build_sketch(Path(folder))
        sketch_rate = fastest(lambda rate: printed_by_sketch(rate, sketch)[0] > 0)
        _, printed = printed_by_sketch(sketch_rate, sketch)
    text = printed / len(stream(sketch_rate))
    for name in BOARDS:
        yield from of_board(name, sketch_rate)
    _, received, _ = heard_by_host(FULL_RATE)
    full = received / len(stream(FULL_RATE))
    yield Figure("firmware bytes an edge at 7,500 a second", full, "B", "text sketch", text)
    for way, rate in (("by cable", None), ("over a slow link", RADIO_RATE)):
        size, delays = live(rate)
        yield Figure(f"firmware bytes an edge in a live run {way}", size, "B", "text sketch", text)
        late = quantiles(delays, n=20)
        yield Figure(f"firmware delay of an edge {way}, median", median(delays), "ms")
        yield Figure(f"firmware delay of an edge {way}, 95th percentile", late[-1], "ms")


def of_board(board: str, sketch_rate: int) -> Iterable[Figure]:
    between = RANGES.get(board, (FLOOR, CEILING))
    rate = fastest(lambda rate: heard_by_host(rate, board)[0] > 0, *between)
    yield Figure(f"{board} edges without a loss", rate, "1/s", "text sketch", sketch_rate)
    if board == RP2040.name:
        by_uart = fastest(lambda rate: heard_by_host(rate, board, "--uart")[0] > 0, *between)
        yield Figure(f"{board} edges by its UART as they come", by_uart, "1/s", "by USB", rate)
    makefile = (SOURCES / "boards" / board / "board.mk").read_text()
    stamps = int(re.findall(r"LOG_BYTES = (\d+)", makefile)[0]) // 4
    kept = kept_without_a_host(board)
    yield Figure(f"{board} edges kept without a host", kept, "", "as 32-bit stamps", stamps)
    worst, usual = fewest_held(4 * stamps, 14 if stamps < 1_000 else 40)
    yield Figure(f"{board} edges kept at the worst moment", worst, "", "median", usual)
    _, _, report = heard_by_host(min(rate, FULL_RATE), board)
    for vector, name in VECTORS[board].items():
        cycles = report.get(f"interrupt_{vector}_cycles")
        if cycles:
            yield Figure(f"{board} longest {name} interrupt", cycles, "cycles")
    yield Figure(f"{board} capture latency", report["capture_latency_cycles"], "cycles")
    said = subprocess.run(
        ["make", "--silent", f"--directory={SOURCES}", f"BOARD={board}", "budget"],
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    for name, used, budget in re.findall(r"(flash|RAM|stack) (\d+) of (\d+)", said):
        yield Figure(f"{board} {name}", int(used), "B", "budget", int(budget))
