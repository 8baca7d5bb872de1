"""The firmware on the simulated chip, advanced step by step: the same bytes at each run.

Time stands still between steps, so nothing here depends on how fast the machine is.
"""

from __future__ import annotations

import subprocess
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TypeVar

from unspool.instrument.firmware.boards import ATMEGA328P
from unspool.instrument.firmware.build import build_firmware
from unspool.instrument.wire.conversation import Conversation
from unspool.instrument.wire.decoded import BoardHello, BoardStatus, Decoded, EdgeBatch, EdgeGap

CYCLES_PER_S = 16_000_000  # of a 16 MHz board; times of edges are in these for all boards
STEP_S = 0.01
RAM_RESERVE = 32  # bytes, as in board.mk

Edge = tuple[int, int]  # sixteenth of a microsecond since power-on, direction
Kind = TypeVar("Kind")


def edges_every(period_s: float, count: int, start_s: float, direction: int = 1) -> list[Edge]:
    return [(round((start_s + i * period_s) * CYCLES_PER_S), direction) for i in range(count)]


class SteppedBoard:
    def __init__(
        self, *options: str, elf: Path | None = None, board: str = ATMEGA328P.name
    ) -> None:
        built = build_firmware(board)
        self.report: dict[str, int] = {}
        self.time_s = 0.0
        self.lamp: list[tuple[float, bool]] = []  # each change: seconds, lit; with --lamp
        self._process = subprocess.Popen(
            [built.virtual_board, f"--board={board}", "--lines", *options, elf or built.program],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def __enter__(self) -> SteppedBoard:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def say(self, line: str) -> None:
        """One line of the script, after what was stepped through."""
        assert self._process.stdin
        self._process.stdin.write(line + "\n")

    def step(self, until_s: float, edges: Iterable[Edge] = (), sent: bytes = b"") -> bytes:
        """Let time pass; `sent` reaches the board from now on. Returns what the board sends."""
        assert self._process.stdin
        assert self._process.stdout
        if sent:
            self.say(f"now rx {sent.hex()}")
        for cycle, direction in edges:
            self.say(f"{cycle / 16:.4f} {'+' if direction > 0 else '-'}")
        self.say(f"{until_s * 1e6:.4f} .")
        self._process.stdin.flush()
        self.time_s = until_s
        received = bytearray()
        for line in self._process.stdout:
            word, _, rest = line.partition(" ")
            if word == "at":
                return bytes(received)
            if word == "lamp":
                at_us, level = rest.split()
                self.lamp.append((float(at_us) / 1e6, level == "1"))
                continue
            received += bytes.fromhex(rest.split()[1])
        raise AssertionError("the virtual board ended")

    def turn(self, edges: Sequence[Edge]) -> bytes:
        """Let all of these edges happen, with no host. Returns what the board sends."""
        return b"".join(
            self.step(some[-1][0] / CYCLES_PER_S, some)
            for some in (edges[at : at + 100] for at in range(0, len(edges), 100))
        )

    def close(self) -> None:
        said, _ = self._process.communicate(timeout=30)
        for line in said.splitlines():
            if line.startswith("report "):
                _, name, value = line.split()
                self.report[name] = int(value)


class Talk:
    """A host that talks with a stepped board and keeps all that it hears."""

    def __init__(self, board: SteppedBoard, before: Callable[[], bytes] = bytes) -> None:
        """`before` gives bytes that reach the board just before those of the host."""
        self.board = board
        self._before = before
        self.conversation = Conversation()
        self.heard: list[Decoded] = []
        self.received = 0  # bytes

    def until(self, end_s: float, edges: Sequence[Edge] = (), step_s: float = STEP_S) -> None:
        """Step on, ten milliseconds at a time, acknowledging what came."""
        at = 0
        while self.board.time_s < end_s:
            until_s = min(end_s, self.board.time_s + step_s)
            first = at
            while at < len(edges) and edges[at][0] <= until_s * CYCLES_PER_S:
                at += 1
            self._exchange(until_s, edges[first:at])
        assert at == len(edges), "edges behind the end"

    def _exchange(self, until_s: float, edges: Sequence[Edge]) -> None:
        sent = self.conversation.to_send(self.board.time_s)
        if sent:
            sent = self._before() + sent
        data = self.board.step(until_s, edges, sent)
        self.received += len(data)
        self.heard += self.conversation.receive(data)
        self.conversation.stored()

    @property
    def edges(self) -> list[tuple[int, int, int]]:
        """(number, ticks, direction) of all edges heard."""
        return [
            edge
            for batch in self.all_of(EdgeBatch)
            for edge in zip(
                batch.number.tolist(), batch.ticks.tolist(), batch.direction.tolist(), strict=True
            )
        ]

    @property
    def gaps(self) -> list[EdgeGap]:
        return self.all_of(EdgeGap)

    @property
    def hellos(self) -> list[BoardHello]:
        return self.all_of(BoardHello)

    @property
    def statuses(self) -> list[BoardStatus]:
        return self.all_of(BoardStatus)

    def all_of(self, kind: type[Kind]) -> list[Kind]:
        return [item for item in self.heard if isinstance(item, kind)]
