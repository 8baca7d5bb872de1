"""Board and host over a line on which frames are also spoilt, cut, repeated and mixed with noise.

Whatever the line does, an edge that arrives is the edge that was. An edge that does not arrive is
reported. Frames whose CRC holds though they are forged are left out: anyone who can write those may
acknowledge what nobody has. With PYTHONPATH=host:tests:

    python tests/fuzz/line.py native|chip FIRST_SEED COUNT
"""

from __future__ import annotations

import random
import sys
from dataclasses import dataclass
from typing import Protocol

from firmware.stepped import RAM_RESERVE, SteppedBoard
from native_core import NativeBoard
from unspool.instrument.wire import Conversation, EdgeBatch, EdgeGap

MS = 2000  # in 0.5 us stamps
STEP = 10 * MS
QUIET_S = 6.0  # once as spoilt as before, once on a clean line
PAUSES = (0.0005, 0.002, 0.01, 0.05, 0.8)  # seconds between edges, from a flat-out wheel to a halt


class Board(Protocol):
    def edge(self, stamp: int, direction: int) -> None: ...
    def receive(self, data: bytes) -> None: ...
    def to_send(self, now: int) -> bytes: ...


@dataclass(frozen=True)
class Told:
    """edges: given. gone: reported as lost. frames: spoilt pieces that either side got."""

    edges: int
    gone: int
    frames: int


class SpoiltLine:
    """One direction; remembers frames to send again, whole or in pieces."""

    def __init__(self, chance: random.Random, share: float) -> None:
        self._random, self.share = chance, share
        self._kept: list[bytes] = [b"\0"]
        self.spoilt = 0

    def carry(self, data: bytes) -> bytes:
        out = bytearray()
        for piece in data.split(b"\0"):
            self._kept = [*self._kept[-20:], piece]
            if self._random.random() < self.share:
                out += self._some() + b"\0"
                self.spoilt += 1
            out += piece + b"\0"
        if not data and self._random.random() < self.share:
            out += self._some()
            self.spoilt += 1
        return bytes(out) if data or out else b""

    def _some(self) -> bytes:
        """Noise, or a frame of before: with bits flipped, cut, joined to another, or as it was."""
        old, other = self._random.choice(self._kept), self._random.choice(self._kept)
        match self._random.randrange(5):
            case 0:
                return self._random.randbytes(self._random.randrange(90))
            case 1:
                return bytes(b ^ (1 << self._random.randrange(8)) for b in old)
            case 2:
                return old[: self._random.randrange(len(old) + 1)]
            case 3:
                return old[: len(old) // 2] + other[len(other) // 2 :]
            case _:
                return old


class Case:
    """One seed: edges at changing rates, and a line that spoils and is cut at times.

    slack: ticks by which the board's stamps may lie apart from those given, up to a constant.
    """

    def __init__(self, board: Board, seed: int, share: float = 0.3, slack: int = 0) -> None:
        self._slack = slack
        self._board, self._random = board, random.Random(seed)
        self._down = SpoiltLine(self._random, share)
        self._up = SpoiltLine(self._random, share)
        self._host = Conversation()
        self._heard: dict[int, tuple[int, int]] = {}
        self._gone: set[int] = set()
        self._true: list[tuple[int, int]] = []
        self._now = 0

    def begin(self, at_s: float) -> None:
        """The board has run for so long already."""
        self._now = round(at_s * 1000 * MS)

    def run(self, edges: int) -> Told:
        """Raises AssertionError where an edge was altered, or lost in silence."""
        direction = 1
        while len(self._true) < edges:
            pause = self._random.choice(PAUSES)
            linked = self._random.random() < 0.8
            direction *= self._random.choice((1, 1, 1, -1))
            for _ in range(self._random.randrange(1, 120 if linked else 1200)):
                self._turn(
                    round(pause * 1000 * MS * self._random.uniform(0.9, 1.1)), direction, linked
                )
        self._rest()
        self._down.share = self._up.share = 0.0
        self._rest()
        self._judge()
        return Told(len(self._true), len(self._gone), self._down.spoilt + self._up.spoilt)

    def _rest(self) -> None:
        """No edges: what was held up comes through."""
        end = self._now + round(QUIET_S * 1000 * MS)
        while self._now < end:
            self._exchange(self._now + STEP, True)

    def _turn(self, pause: int, direction: int, linked: bool) -> None:
        at = self._now + max(1, pause)
        while self._now + STEP < at:
            self._exchange(self._now + STEP, linked)
        self._now = at
        self._board.edge(at, direction)
        self._true.append((at >> 3, direction))
        self._exchange(at, linked)

    def _exchange(self, now: int, linked: bool) -> None:
        self._now = now
        sent = self._board.to_send(now)
        if not linked:
            return
        for heard in self._host.receive(self._down.carry(sent)):
            if isinstance(heard, EdgeBatch):
                edges = zip(heard.ticks.tolist(), heard.direction.tolist(), strict=True)
                self._heard.update(zip(heard.number.tolist(), edges, strict=True))
            elif isinstance(heard, EdgeGap):
                self._gone.update(range(heard.first, heard.first + heard.count))
        self._host.stored()
        self._board.receive(self._up.carry(self._host.to_send(now / 1000 / MS)))

    def _judge(self) -> None:
        pairs = [(self._true[number], edge) for number, edge in self._heard.items()]
        assert all(true[1] == edge[1] for true, edge in pairs)
        late = [true[0] - edge[0] for true, edge in pairs]
        assert max(late) - min(late) <= self._slack
        assert not self._gone & self._heard.keys()
        assert len(self._gone | self._heard.keys()) == len(self._true)


class ChipBoard:
    """The firmware on the simulated chip as a board that is stepped by its own clock."""

    def __init__(self, chip: SteppedBoard) -> None:
        self._chip = chip
        self._edges: list[tuple[int, int]] = []
        self._sent = b""

    def edge(self, stamp: int, direction: int) -> None:
        self._edges.append((stamp * 8, direction))

    def receive(self, data: bytes) -> None:
        self._sent += data

    def to_send(self, now: int) -> bytes:
        edges, self._edges = self._edges, []
        sent, self._sent = self._sent, b""
        return self._chip.step(now / 2e6, edges, sent)


def on_chip(seed: int, edges: int, share: float = 0.1) -> tuple[Told, dict[str, int]]:
    """One case on the simulated chip, and the chip's report."""
    with SteppedBoard() as chip:
        chip.step(0.1)
        case = Case(ChipBoard(chip), seed, share, slack=1)
        case.begin(0.1)
        told = case.run(edges)
    return told, chip.report


def main(where: str, first: int, count: int) -> None:
    edges = gone = frames = 0
    for seed in range(first, first + count):
        if where == "chip":
            told, report = on_chip(seed, 1000)
            assert report["stack_room_bytes"] >= RAM_RESERVE
        else:
            told = Case(NativeBoard(seed % 65_535 + 1), seed).run(2000)
        edges, gone, frames = edges + told.edges, gone + told.gone, frames + told.frames
    print(f"{where}: {count} cases, {edges} edges, {gone} told as gone, {frames} spoilt pieces")


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
