"""What a store holds of boards whose every edge is known: nothing lost, invented or left unsaid."""

from __future__ import annotations

import sqlite3
import zlib
from collections import defaultdict
from contextlib import closing
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np

from hard.recording.expected import Expected, numbers
from unspool.errors import BoardError
from unspool.instrument.record import RunContext
from unspool.instrument.record.capture_reader import CaptureReader
from unspool.instrument.wire.decoded import BoardHello, EdgeBatch, EdgeGap
from unspool.store import Chunk, Store, StoredRun

Edges = dict[int, set[int]]  # numbers of a board's edges, by its boot number


def saved_numbers(path: Path, boot: int) -> list[set[int]]:
    """The edges of each of the board's runs in the store, read past everything of ours."""
    try:
        with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True, timeout=1.0)) as store:
            rows = store.execute("SELECT number FROM runs WHERE boot = ?", (boot,)).fetchall()
    except sqlite3.Error:
        return []
    steps = (np.frombuffer(zlib.decompress(packed), "<i8") for (packed,) in rows)
    return [set(np.cumsum(step).tolist()) for step in steps]


def faults_of(path: Path, boards: dict[int, Expected]) -> list[str]:
    """Each board is known by its boot number."""
    if not path.exists():
        return ["there is no store"]
    with Store.open(path) as store:
        faults = [f"the store's own check: {line}" for line in store.check()]
        return faults + _captures(store, boards) + _runs(store, path, boards)


def _captures(store: Store, boards: dict[int, Expected]) -> list[str]:
    faults: list[str] = []
    kept, gone = defaultdict(set), defaultdict(set)
    for capture in store.captures():
        reader, boot = CaptureReader(RunContext(), capture.known), 0
        for heard in (h for chunk in store.chunks(capture.id) for h in _heard(reader, chunk)):
            if isinstance(heard, BoardHello):
                boot = heard.boot
            elif isinstance(heard, EdgeBatch) and boot in boards:
                kept[boot].update(heard.number.tolist())
                if not boards[boot].is_true(heard.number, heard.ticks * 4e-6):
                    faults.append(f"capture {capture.id} has edges that never were")
            elif isinstance(heard, EdgeGap):
                gone[boot].update(range(heard.first, heard.first + heard.count))
    for boot, board in boards.items():
        faults += _unkept(board, kept[boot], gone[boot])
    return faults


def _unkept(board: Expected, kept: set[int], gone: set[int]) -> list[str]:
    """Edges that the board may forget and nobody has, and gaps that it never had."""
    lost = set(range(board.acknowledged)) - kept
    unsaid = set(range(max(kept, default=0))) - kept - gone
    faults = []
    if len(lost) > board.lost:
        faults.append(f"{len(lost)} acknowledged edges are lost, {board.lost} by the board")
    if unsaid or lost - gone:
        faults.append(f"{len(unsaid | (lost - gone))} edges are lost, and nothing says so")
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
    faults, seen = [], defaultdict(list)
    for run in (store.run(row.id) for row in store.runs()):
        boot = boots[run.id]
        if boot not in boards:
            faults.append(f"run {run.id} is of no board")
            continue
        seen[boot].append(set(run.train.number.tolist()))
        faults += _run(run, boards[boot])
    for boot, board in boards.items():
        for k in board.whole:
            if not any(set(numbers(board.script, k)) <= edges for edges in seen[boot]):
                faults.append(f"no run has all edges of run {k} of board {boot}")
        twice = sum(len(a & b) for a, b in combinations(seen[boot], 2))
        faults += [f"{twice} edges are in two runs"] if twice else []
    return faults


def _run(run: StoredRun, board: Expected) -> list[str]:
    """A run that lacks edges of what the wheel did, or joins two, must say so."""
    faults = []
    if run.clock is None and not board.is_true(run.train.number, run.train.time_s):
        faults.append(f"run {run.id} has edges that never were")
    mine = set(run.train.number.tolist())
    true = [set(numbers(board.script, k)) for k in range(len(board.script.truths))]
    touched = [edges for edges in true if edges & mine]
    whole = len(touched) == 1 and touched[0] <= mine
    said = run.train.missing or run.train.lost_before or run.ending.is_cut
    if not whole and not said:
        faults.append(f"run {run.id} lacks edges and says that it stood still")
    return faults
