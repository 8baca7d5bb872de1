"""A virtual board with a recorder on it, and what the recorder reported."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field

import numpy as np

from unspool.instrument.link import Link
from unspool.instrument.record import (
    LinkChanged,
    Notice,
    Phase,
    PhaseChanged,
    Recorder,
    RunContext,
    RunEdges,
    RunSaved,
)
from unspool.instrument.wire.frames import Frame, FrameReader
from unspool.instrument.wire.messages import Acknowledge, MessageError, unpack
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.render.words.board import ENDINGS
from unspool.store import Store, StoredRun
from unspool.virtual.demo.board import BoardLine, VirtualBoard
from unspool.virtual.demo.scenario import corridor, sandpiper
from unspool.virtual.demo.wheel_script import WheelScript, wheel_script

PATIENCE_S = 60.0
CAR = 'name = "Sandpiper"\n'
# Half of the turns that the car's file says: half of the time goes by until the car stands.
HALF_WOUND = (1.75, 2.65)

# A recorder as a process of its own: port, store, and how fast the board's time passes. It prints
# the name of each notice.
RECORDER = """
import sys
from pathlib import Path
from unspool.instrument.link import cable_link
from unspool.instrument.record import Recorder
from unspool.store import Store
link = cable_link(sys.argv[1])
link.pace = float(sys.argv[3])
tell = lambda notice: print(type(notice).__name__, flush=True)
Recorder(link, Store.open(Path(sys.argv[2])), observers=[tell]).run()
"""


def short_script(seed: int = 3, runs: int = 1) -> WheelScript:
    """Of a run of 12 s, from 16 s after power-on. The car is wound from 4 s to 12 s."""
    car, track = sandpiper(), corridor()
    return wheel_script(car, track, runs, seed, first_s=4.0, windings=(HALF_WOUND,))


@dataclass
class Told:
    """An observer that keeps all notices."""

    notices: list[Notice] = field(default_factory=list)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def __call__(self, notice: Notice) -> None:
        with self._lock:
            self.notices.append(notice)

    def of(self, kind: type) -> list:
        with self._lock:
            return [notice for notice in self.notices if isinstance(notice, kind)]

    @property
    def saved(self) -> list[str]:
        return [notice.run_id for notice in self.of(RunSaved)]

    @property
    def phases(self) -> list[Phase]:
        out: list[Phase] = []
        for notice in self.of(PhaseChanged):
            if not out or notice.phase != out[-1]:
                out.append(notice.phase)
        return out

    @property
    def wound(self) -> float:
        """The most turns that were reported as wound."""
        return max((notice.wound_turns for notice in self.of(PhaseChanged)), default=0.0)

    @property
    def link_ups(self) -> list[bool]:
        return [notice.up for notice in self.of(LinkChanged)]

    @property
    def link_reasons(self) -> list[str]:
        """Why the link failed, each time it did."""
        notices = self.of(LinkChanged)
        return [str(notice.finding.values["reason"]) for notice in notices if not notice.up]

    @property
    def live_numbers(self) -> list[int]:
        """Edges of runs as they came live."""
        batches = [notice.number for notice in self.of(RunEdges)]
        return np.concatenate(batches).tolist() if batches else []


class Tapped:
    """A line that notes what the host acknowledged."""

    def __init__(self, line: BoardLine) -> None:
        self._line, self._reader = line, FrameReader()
        self.acknowledged = 0

    def send(self, data: bytes) -> None:
        self._line.send(data)

    def heard(self) -> bytes:
        data = self._line.heard()
        for frame in self._reader.feed(data):
            if isinstance(frame, Frame):
                self._note(frame.body)
        return data

    def _note(self, body: bytes) -> None:
        with suppress(MessageError):  # as the board does, this ignores what no message is
            said = unpack(body)
            if isinstance(said, Acknowledge):
                self.acknowledged = max(self.acknowledged, said.edge)


def wait_for(what: Callable[[], object], why: str) -> None:
    end = time.monotonic() + PATIENCE_S
    while not what():
        assert time.monotonic() < end, f"waited in vain for {why}"
        time.sleep(0.01)


@contextmanager
def powered(
    line: BoardLine,
    edges: Iterable[tuple[float, int]],
    speed: float,
    boot: int = 7,
    identity: int = 0,
) -> Iterator[VirtualBoard]:
    board = VirtualBoard(line, edges, speed, boot=boot, identity=identity)
    board.start()
    try:
        yield board
    finally:
        board.stop()


@contextmanager
def recording(link: Link, store: Store, pace: float = 1.0) -> Iterator[tuple[Recorder, Told]]:
    link.pace = pace
    told = Told()
    recorder = Recorder(link, store, RunContext(CAR, None, edges_per_turn=20), [told])
    recorder.start()
    try:
        yield recorder, told
    finally:
        recorder.stop()
        recorder.join(PATIENCE_S)


def has_whole_run(store: Store) -> bool:
    runs = store.runs()
    return bool(runs) and runs[0].ending not in ENDINGS


def assert_whole(run: StoredRun, script: WheelScript, k: int = 0) -> None:
    """The stored run holds all edges of run k, each at its time on the board's clock."""
    true = script.truths[k].train
    n = len(true)
    first = int(np.searchsorted(script.time_s, true.time_s[0] + script.offset_s[k] - 1e-9))
    start = int(np.searchsorted(run.train.number, first))
    np.testing.assert_array_equal(run.train.number[start : start + n], np.arange(first, first + n))
    np.testing.assert_array_equal(run.train.direction[start : start + n], true.direction)
    at = run.train.time_s[start : start + n]
    np.testing.assert_allclose(at, true.time_s + script.offset_s[k], atol=5e-6)


def assert_on_time(run: StoredRun, true: PulseTrain) -> None:
    """The stored run ends with all true edges, as the chip stamped them: a tick is 4 us.

    The rate of the chip's clock is true within what the host knows of it. A host that is too busy
    to estimate a rate leaves the times as they are.
    """
    assert run.train.missing == 0
    np.testing.assert_array_equal(run.train.direction[-len(true) :], true.direction)
    since = run.train.time_s[-len(true) :] - run.train.time_s[-len(true)]
    slack = 0.0 if run.clock is None else 3e-6 * run.clock.sd_ppm
    np.testing.assert_allclose(since, true.time_s - true.time_s[0], atol=1e-5, rtol=slack)
