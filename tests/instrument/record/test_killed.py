"""SIGKILL at any moment while recording: what the host told the board to forget is in the store.

What the host acknowledged is read off the line itself, with nothing of the recorder's own.
UNSPOOL_KILLS sets how many moments are tried; a few by default, for the time that they take.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

from board_rig import RECORDER, Tapped, powered, short_script, wait_for
from unspool.instrument.record import RunContext, rebuild
from unspool.instrument.record.capture_reader import CaptureReader
from unspool.instrument.wire.decoded import EdgeBatch, EdgeGap
from unspool.render.words.board import ENDINGS
from unspool.store import Store
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal
from unspool.virtual.demo.wheel_script import WheelScript

KILLS = int(os.environ.get("UNSPOOL_KILLS", "8"))
LONGEST_LIFE_S = 1.5
SPEED = 4.0


def edges_in(store: Store, capture: int) -> tuple[list[int], int]:
    """Numbers of the edges in the capture, and how many it says are lost."""
    reader, numbers, lost = CaptureReader(RunContext()), [], 0
    for chunk in store.chunks(capture):
        for heard in reader.feed(chunk):
            if isinstance(heard, EdgeBatch):
                numbers += heard.number.tolist()
            elif isinstance(heard, EdgeGap):
                lost += heard.count
    return numbers, lost


def whole(script: WheelScript, store: Store) -> bool:
    return len(store.runs()) >= len(script.truths) and store.runs()[-1].ending not in ENDINGS


def test_killed_at_random_moments(tmp_path: Path) -> None:
    rng = random.Random(20_240)
    script = short_script(runs=1 + KILLS // 8)
    terminal, path = PseudoTerminal(), tmp_path / "s"
    tapped = Tapped(terminal)
    command = [sys.executable, "-c", RECORDER, terminal.port, str(path), str(SPEED)]

    def start() -> subprocess.Popen[bytes]:
        child = subprocess.Popen(command, stdout=subprocess.PIPE)
        assert child.stdout is not None
        while child.stdout.readline() not in (b"LinkChanged\n", b""):
            pass  # a run that the one before could not save any more
        return child

    with powered(tapped, script.edges, SPEED):
        recorder = start()
        for _ in range(KILLS):
            time.sleep(rng.uniform(0.0, LONGEST_LIFE_S))
            os.kill(recorder.pid, signal.SIGKILL)
            recorder.communicate()
            with Store.open(path) as store:
                assert store.check() == []
                numbers, lost = edges_in(store, 1)
                assert lost == 0
                assert numbers == list(range(len(numbers)))
                assert len(numbers) >= tapped.acknowledged
            recorder = start()
        with Store.open(path) as store:
            wait_for(lambda: whole(script, store), "all runs")
        os.kill(recorder.pid, signal.SIGKILL)
        recorder.communicate()
    terminal.close()
    with Store.open(path) as store:
        assert edges_in(store, 1) == (list(range(len(script.time_s))), 0)
        assert len(rebuild(store, 1)) == len(store.runs()) == len(script.truths)
        for row, truth in zip(store.runs(), script.truths, strict=True):
            assert len(store.run(row.id).train) >= len(truth.train)
