"""What a store holds of boards whose every edge is known: nothing lost, invented or left unsaid."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from unspool.errors import BoardError
from unspool.instrument.record import RunContext
from unspool.instrument.record.capture_reader import CaptureReader
from unspool.instrument.wire.decoded import BoardHello, EdgeBatch, EdgeGap
from unspool.reading.edges.ending import Ending
from unspool.store import Chunk, Store, StoredRun
from unspool.virtual.demo.wheel_script import WheelScript

TICK_S = 5e-6


@dataclass(frozen=True)
class Expected:
    """A board's edges, how many the host acknowledged, and whether its run must be whole."""

    script: WheelScript
    acknowledged: int = 0
    whole: bool = True


def saved_edges(path: Path, boot: int) -> int:
    """Edges of the board's longest run in the store, read past everything of ours."""
    try:
        with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True, timeout=1.0)) as store:
            found = store.execute("SELECT max(edges) FROM runs WHERE boot = ?", (boot,))
            return int(found.fetchone()[0] or 0)
    except sqlite3.Error:
        return 0


def faults_of(path: Path, boards: dict[int, Expected]) -> list[str]:
    """Each board is known by its boot number."""
    if not path.exists():
        return ["there is no store"]
    with Store.open(path) as store:
        faults = [f"the store's own check: {line}" for line in store.check()]
        return faults + _captures(store, boards) + _runs(store, path, boards)


def _captures(store: Store, boards: dict[int, Expected]) -> list[str]:
    faults, kept, gone = [], defaultdict(set), defaultdict(set)
    for capture in store.captures():
        reader, boot = CaptureReader(RunContext(), capture.known), 0
        for heard in (h for chunk in store.chunks(capture.id) for h in _heard(reader, chunk)):
            if isinstance(heard, BoardHello):
                boot = heard.boot
            elif isinstance(heard, EdgeBatch) and boot in boards:
                kept[boot].update(heard.number.tolist())
                if not _true(boards[boot].script, heard.number, heard.ticks * 4e-6):
                    faults.append(f"capture {capture.id} has edges that never were")
            elif isinstance(heard, EdgeGap):
                gone[boot].update(range(heard.first, heard.first + heard.count))
    for boot, board in boards.items():
        if lost := set(range(board.acknowledged)) - kept[boot]:
            faults.append(
                f"{len(lost)} acknowledged edges are lost, {len(lost - gone[boot])} unsaid"
            )
    return faults


def _heard(reader: CaptureReader, chunk: Chunk) -> list[Any]:
    """What a foreign board says is refused, and holds no edges of ours."""
    try:
        return list(reader.feed(chunk))
    except BoardError:
        return []


def _runs(store: Store, path: Path, boards: dict[int, Expected]) -> list[str]:
    with closing(sqlite3.connect(path)) as direct:
        boots = {str(i): boot for i, boot in direct.execute("SELECT id, boot FROM runs")}
    faults, whole = [], set()
    for row in store.runs():
        boot, run = boots[row.id], store.run(row.id)
        if boot not in boards:
            faults.append(f"run {row.id} is of no board")
            continue
        script = boards[boot].script
        if run.clock is None and not _true(script, run.train.number, run.train.time_s):
            faults.append(f"run {row.id} has edges that never were")
        if set(_numbers(script)) <= set(run.train.number.tolist()):
            whole.add(boot)
        elif run.ending is Ending.STOOD_STILL and not run.train.missing:
            faults.append(f"run {row.id} lacks edges and says that it stood still")
    missed = [boot for boot, board in boards.items() if board.whole and boot not in whole]
    return (
        faults + [f"no run has all edges of board {boot}" for boot in missed] + _twice(store, boots)
    )


def _twice(store: Store, boots: dict[str, int]) -> list[str]:
    """The same edges of the same board in two runs."""
    runs: list[StoredRun] = [store.run(row.id) for row in store.runs()]
    seen = [(set(run.train.number.tolist()), boots[run.id]) for run in runs]
    pairs = [(a, b) for i, a in enumerate(seen) for b in seen[:i] if a[1] == b[1]]
    return [f"{len(a[0] & b[0])} edges are in two runs" for a, b in pairs if a[0] & b[0]]


def _numbers(script: WheelScript) -> range:
    """Numbers of the first run's edges, from letting go to standing still."""
    true = script.truths[0].train
    first = int(np.searchsorted(script.time_s, true.time_s[0] + script.offset_s[0] - 1e-9))
    return range(first, first + len(true))


def _true(script: WheelScript, number: np.ndarray, time_s: np.ndarray) -> bool:
    inside = bool(len(number) == 0 or (number.min() >= 0 and number.max() < len(script.time_s)))
    return inside and bool(np.all(np.abs(script.time_s[number] - time_s) < 2 * TICK_S))
