"""Boards at once without a lost edge: eight against one, over pseudo-terminals, to store and page.

Each virtual board sends a wheel of RATE edges a second, which is some ten times what a car does.
The boards run in a process of their own. Here is what an app runs: recorders, one store, live
states, and for each board a page that asks for what is new.
An edge is timed from the instant at which the slot passes the sensor, until it is safe on the disk
and an observer hears of it. That includes the board's own wait for a full frame.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from bench.figures import Figure
from board_rig import wait_for
from unspool.app import LiveBoards, LiveState, RecordedCar, Recordings
from unspool.app.cursor import Cursor
from unspool.instrument.link.serial import SerialLink
from unspool.instrument.record import EdgesMissed, Notice, Observer, RunEdges, RunSaved
from unspool.store import Store
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER, corridor, sandpiper

MANY, RATE, LASTS_S = 8, 1000, 20.0
WOUND = 160
FRAME_S = 1 / 60
# The boards' ports, one a line; then, at a line of input, when their power came on.
BOARDS = """
import sys, time
from unspool.virtual.demo.board import VirtualBoard
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal
from bench.bench_boards import edges
ports = [PseudoTerminal() for _ in range(int(sys.argv[1]))]
for port in ports:
    print(port.port, flush=True)
sys.stdin.readline()
boards = [VirtualBoard(port, edges(), identity=k + 1) for k, port in enumerate(ports)]
for board in boards:
    board.start()
    print(time.monotonic(), flush=True)
sys.stdin.readline()
"""


def edges() -> list[tuple[float, int]]:
    """A wheel that is wound, rests, and is let go: full speed within two seconds, then it stops."""
    wound = 1.0 + np.arange(WOUND) * 0.01
    gains = np.sqrt(np.arange(1, RATE + 1) * 4.0 / RATE)  # half of two seconds at full speed
    steady = gains[-1] + np.arange(1, round(RATE * LASTS_S) + 1) / RATE
    ahead = wound[-1] + 2.5 + np.concatenate([gains, steady])
    return [*((t, -1) for t in wound.tolist()), *((t, 1) for t in ahead.tolist())]


@dataclass
class _Witness:
    """When each edge of one board's run was safe, and what was lost."""

    board_s: list[float] = field(default_factory=list)
    seen_s: list[float] = field(default_factory=list)
    missed: int = 0
    saved: str = ""

    def __call__(self, notice: Notice) -> None:
        if isinstance(notice, RunEdges):
            self.board_s += notice.time_s.tolist()
            self.seen_s += [time.monotonic()] * len(notice.time_s)
        elif isinstance(notice, EdgesMissed):
            self.missed += notice.count
        elif isinstance(notice, RunSaved):
            self.saved = notice.run_id


@dataclass(frozen=True)
class Outcome:
    """lost: edges of all boards. late_s: one figure an edge. cpu: of this process, in cores."""

    lost: int
    late_s: np.ndarray
    cpu: float


def outcome(boards: int) -> Outcome:
    witnesses: list[_Witness] = []

    ending = threading.Event()

    def observers_of(live: LiveState) -> list[Observer]:
        witnesses.append(_Witness())
        threading.Thread(target=_watch, args=(live, ending), daemon=True).start()
        return [witnesses[-1]]

    texts = SANDPIPER.read_text("utf-8"), CORRIDOR.read_text("utf-8")
    car = RecordedCar(sandpiper(), corridor(), *texts)
    with tempfile.TemporaryDirectory() as folder, Store.open(Path(folder) / "s.sqlite") as store:
        recordings = Recordings(store, LiveBoards(), observers_of)
        with _powered(boards) as (ports, power):
            for port in ports:
                recordings.start(car, SerialLink(port))
            on_s, began, used = power(), time.monotonic(), time.process_time()
            wait_for(lambda: all(one.saved for one in witnesses), "the runs")
            cpu = (time.process_time() - used) / (time.monotonic() - began)
            recordings.stop()
            recordings.join(60)
        lost = sum(one.missed + _lacking(store, one.saved) for one in witnesses)
        ending.set()
    late = [np.array(w.seen_s) - np.array(w.board_s) - on_s[k] for k, w in enumerate(witnesses)]
    return Outcome(lost, np.concatenate(late), cpu)


def _watch(live: LiveState, ending: threading.Event) -> None:
    """Asks as a page does, as JSON, at most once a frame."""
    cursor = Cursor()
    while not ending.wait(FRAME_S):
        if (news := live.news(cursor)) is not None:
            json.dumps(news)
            have = news["from"] + len(news["x"])
            known = (news["session"], news["version"], news["figure_version"], news["run"])
            cursor = Cursor(*known, have)


def _lacking(store: Store, run_id: str) -> int:
    ahead = sum(direction > 0 for _, direction in edges())
    return ahead - int(np.sum(store.run(run_id).train.direction > 0))


@contextmanager
def _powered(boards: int) -> Iterator[tuple[list[str], Callable[[], list[float]]]]:
    path = os.pathsep.join(part for part in sys.path if part)
    with subprocess.Popen(
        [sys.executable, "-c", BOARDS, str(boards)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONPATH": path},
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        ports = [process.stdout.readline().strip() for _ in range(boards)]

        def power() -> list[float]:
            process.stdin.write("\n")
            process.stdin.flush()
            return [float(process.stdout.readline()) for _ in range(boards)]

        try:
            yield ports, power
        finally:
            process.kill()


def figures() -> Iterable[Figure]:
    one, many = outcome(1), outcome(MANY)
    yield Figure(f"edges lost, {MANY} boards", many.lost, "1", "1 board", one.lost)
    for name, share in (("median", 50), ("99th percentile", 99), ("longest", 100)):
        late, alone = (1e3 * float(np.percentile(o.late_s, share)) for o in (many, one))
        yield Figure(f"slot to safe and seen, {MANY} boards, {name}", late, "ms", "1 board", alone)
    yield Figure(f"cores of the app, {MANY} boards", many.cpu, "1", "1 board", one.cpu)
