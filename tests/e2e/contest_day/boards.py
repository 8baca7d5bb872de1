"""The day's boards in a process of their own: the firmware's core, each behind a pseudo-terminal.

Each plays edges as soon as the test gives them.
"""

from __future__ import annotations

import json
import os
import pickle
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from native_core import NativeBoard
from unspool.closing import Closing
from unspool.virtual.demo.board import BoardLine, VirtualBoard
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal

LOOK_S = 0.02
PATIENCE_S = 60.0
Edges = Sequence[tuple[float, int]]


class CoreBoard(VirtualBoard):
    """Number k of the day: boot and identity are k + 1."""

    def __init__(self, k: int, line: BoardLine, speed: float) -> None:
        self._k, self._now_s = k, 0.0
        super().__init__(line, [], speed, boot=k + 1, identity=k + 1)

    def play(self, edges: Edges) -> None:
        """From now on, by the board's clock."""
        start_s = self._now_s
        self._edges += [(start_s + after_s, direction) for after_s, direction in edges]

    def _power_on(self) -> NativeBoard:
        return NativeBoard(
            self._boot, self._edges_per_turn, identity=self._identity, copy=self._k + 1
        )

    def _turn(self, side: NativeBoard, until_s: float, booted_s: float) -> None:
        self._now_s = until_s
        super()._turn(side, until_s, booted_s)


def serve(folder: Path, count: int, speed: float) -> None:
    """Answers each request on standard input with the edges that each board has played."""
    ports = [PseudoTerminal(folder / f"board-{k}") for k in range(count)]
    boards = [CoreBoard(k, port, speed) for k, port in enumerate(ports)]
    for board in boards:
        board.start()
    while True:
        print(json.dumps([board.played for board in boards]), flush=True)
        try:
            k, edges = pickle.load(sys.stdin.buffer)
        except EOFError:
            return
        if edges:
            boards[k].play(edges)


class Boards(Closing):
    """ports: what a serial link opens, by the board's place in the list."""

    def __init__(self, folder: Path, count: int, speed: float) -> None:
        self.ports = [str(folder / f"board-{k}") for k in range(count)]
        self._given = [0] * count
        paths = os.pathsep.join(part for part in sys.path if part)
        self._process = subprocess.Popen(
            [sys.executable, "-m", "e2e.contest_day.boards", str(folder), str(count), str(speed)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env=os.environ | {"PYTHONPATH": paths},
        )
        self.played = self._answer()

    def close(self) -> None:
        self._process.kill()
        self._process.communicate()

    def play(self, k: int, edges: Edges) -> None:
        """Does not wait for their end."""
        self._given[k] += len(edges)
        self._ask(k, edges)

    def rested(self, k: int) -> None:
        """Returns when the board has played all its edges."""
        self.until(k, self._given[k])

    def until(self, k: int, count: int) -> None:
        """Returns when the board has played so many edges in all."""
        end = time.monotonic() + PATIENCE_S
        while self.played[k] < count:
            assert time.monotonic() < end, f"board {k} stands at edge {self.played[k]} of {count}"
            time.sleep(LOOK_S)
            self._ask(k, [])

    def _ask(self, k: int, edges: Edges) -> None:
        assert self._process.stdin is not None
        pickle.dump((k, edges), self._process.stdin)
        self._process.stdin.flush()
        self.played = self._answer()

    def _answer(self) -> list[int]:
        assert self._process.stdout is not None
        return list(json.loads(self._process.stdout.readline()))


if __name__ == "__main__":
    serve(Path(sys.argv[1]), int(sys.argv[2]), float(sys.argv[3]))
