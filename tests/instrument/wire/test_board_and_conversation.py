"""Board (in Python and in C) and host talk over a line that may lose, spoil and repeat bytes."""

from __future__ import annotations

import random
from collections.abc import Callable

import numpy as np
import pytest

from native_core import NativeBoard
from unspool.instrument.wire import (
    BoardSide,
    BoardStatus,
    Conversation,
    Decoded,
    EdgeBatch,
    EdgeGap,
    ResumePoint,
)

MS = 2000  # in 0.5 us stamps

Board = BoardSide | NativeBoard
NewBoard = Callable[..., Board]


@pytest.fixture(params=[BoardSide, NativeBoard], ids=["python", "C"])
def new_board(request: pytest.FixtureRequest) -> NewBoard:
    """Makes a board; of the C one there is only one at a time."""
    return request.param


class Line:
    """A board, a host and the bytes between them, in steps of 5 ms."""

    def __init__(self, board: Board, known: ResumePoint | None = None, spoil: float = 0.0) -> None:
        self.board, self.host = board, Conversation(known)
        self.now = 0
        self.heard: list[Decoded] = []
        self._spoil, self._random = spoil, random.Random(1)

    def _spoilt(self, data: bytes) -> bytes:
        out = bytearray()
        for byte in data:
            chance = self._random.random() / self._spoil if self._spoil else 1.0
            if chance >= 1:
                out.append(byte)
            elif chance < 1 / 3:
                out.append(byte ^ 1 << self._random.randrange(8))
            elif chance < 2 / 3:
                out += bytes([byte, byte])
        return bytes(out)

    def run(self, stamps: list[int], seconds: float = 3.0, linked: bool = True) -> None:
        """Let the edges happen (forward), and `seconds` more pass."""
        stamps = list(stamps)
        end = (stamps[-1] if stamps else self.now) + int(seconds * 1000 * MS)
        while self.now < end:
            self.now += 5 * MS
            while stamps and stamps[0] <= self.now:
                self.board.edge(stamps.pop(0), 1)
            sent = self.board.to_send(self.now)
            if linked:
                self.heard += self.host.receive(self._spoilt(sent))
                self.host.stored()
                self.board.receive(self._spoilt(self.host.to_send(self.now / 2e6)))

    @property
    def numbers(self) -> list[int]:
        batches = [h.number for h in self.heard if isinstance(h, EdgeBatch)]
        return np.concatenate(batches).tolist() if batches else []

    @property
    def ticks(self) -> list[int]:
        return np.concatenate([h.ticks for h in self.heard if isinstance(h, EdgeBatch)]).tolist()

    @property
    def gaps(self) -> list[EdgeGap]:
        return [h for h in self.heard if isinstance(h, EdgeGap)]


def _stamps(count: int, start: int = 10 * MS, step: int = 6 * MS) -> list[int]:
    shape = random.Random(2)
    stamps = [start]
    for _ in range(count - 1):
        stamps.append(stamps[-1] + step + shape.randrange(step // 20))
    return stamps


@pytest.mark.parametrize("spoil", [0.0, 0.001, 0.01])
def test_every_edge_arrives_once_and_exact_over_a_bad_line(
    new_board: NewBoard, spoil: float
) -> None:
    stamps = _stamps(700)
    line = Line(new_board(boot=3), spoil=spoil)
    line.run(stamps)
    assert line.numbers == list(range(700))
    assert line.ticks == [stamp // 8 for stamp in stamps]
    assert line.gaps == []


def test_edges_held_without_a_link_come_when_it_returns(new_board: NewBoard) -> None:
    stamps = _stamps(900)
    line = Line(new_board(boot=3))
    line.run(stamps, linked=False)
    line.run([])
    assert line.numbers == list(range(900))


def test_overflow_drops_the_oldest_and_says_how_many(new_board: NewBoard) -> None:
    line = Line(new_board(boot=3))
    line.run(_stamps(6000), linked=False)
    line.run([])
    (gap,) = line.gaps
    assert gap.first == 0
    assert line.numbers == list(range(gap.count, 6000))
    assert 6000 - gap.count > 1000


def test_a_restarted_host_resumes_by_number(new_board: NewBoard) -> None:
    board = new_board(boot=3)
    first = Line(board)
    stamps = _stamps(300)
    first.run(stamps[:137])
    second = Line(board, ResumePoint(boot=3, next_edge=137))
    second.now = first.now
    later = [stamp + first.now for stamp in stamps[:163]]
    second.run(later)
    assert first.numbers == list(range(137))
    assert second.numbers == list(range(137, 300))
    assert second.ticks == [stamp // 8 for stamp in later]


def test_a_reset_between_is_another_boot_and_not_joined(new_board: NewBoard) -> None:
    line = Line(new_board(boot=3))
    line.run(_stamps(50))
    line.board = new_board(boot=4)
    line.run(_stamps(20, start=line.now + 10 * MS))
    assert line.numbers == list(range(50)) + list(range(20))


def test_a_status_says_whether_older_edges_are_still_to_come(new_board: NewBoard) -> None:
    """A host that was away must not take a status from now for rest since the last edge it has."""
    line = Line(new_board(boot=3))
    line.run([], seconds=1.5)
    assert {h.next_edge for h in line.heard if isinstance(h, BoardStatus)} == {0}
    line.run([line.now + 10 * MS, line.now + 30 * MS], seconds=2.0)
    assert [h.next_edge for h in line.heard if isinstance(h, BoardStatus)][-1] == 2


def test_a_link_that_comes_and_goes_costs_nothing(new_board: NewBoard) -> None:
    """Cuts at any moment, some longer than the board's patience, a new host after each fourth."""
    stamps, chance = _stamps(1500), random.Random(6)
    line = Line(new_board(boot=3), spoil=0.0005)
    seen: list[int] = []
    while stamps:
        count = chance.randrange(1, 160)
        line.run(stamps[:count], chance.choice([0.0, 0.0, 0.02, 3.0]), chance.random() < 0.6)
        stamps = [stamp + max(0, line.now - stamps[count - 1]) for stamp in stamps[count:]]
        if chance.random() < 0.25:
            seen += line.numbers
            line.heard = []
            line.host = Conversation(ResumePoint(boot=3, next_edge=len(seen)))
    line.run([])
    assert seen + line.numbers == list(range(1500))


def test_a_slow_radio_gets_no_more_than_it_carries_and_loses_nothing(new_board: NewBoard) -> None:
    stamps = _stamps(900, start=1000 * MS)
    line = Line(new_board(boot=3))
    line.host.configure(edges_per_turn=20, flush_ms=5, rate=1000)
    sent = []

    def counted(now: int, say: Callable[[int], bytes] = line.board.to_send) -> bytes:
        sent.append((now, len(data := say(now))))
        return data

    line.board.to_send = counted
    line.run(stamps)
    assert line.numbers == list(range(900))
    begin = 1000 * MS
    for second in range(5):
        span = range(begin + second * 1000 * MS, begin + (second + 1) * 1000 * MS)
        assert sum(size for now, size in sent if now in span) <= 1000 + 80


def test_a_host_that_acknowledges_late_gets_edges_twice_and_hears_them_once(
    new_board: NewBoard,
) -> None:
    board, host = new_board(boot=3), Conversation()
    numbers: list[int] = []
    stamps = _stamps(400)
    for step in range(1, 900):
        now = step * 5 * MS
        while stamps and stamps[0] <= now:
            board.edge(stamps.pop(0), 1)
        heard = host.receive(board.to_send(now))
        numbers += [n for h in heard if isinstance(h, EdgeBatch) for n in h.number.tolist()]
        if step % 240 == 0:
            host.stored()
        board.receive(host.to_send(now / 2e6))
    assert numbers == list(range(400))


def test_missed_edges_are_a_gap_in_the_numbers(new_board: NewBoard) -> None:
    line = Line(new_board(boot=3))
    line.run(_stamps(30), seconds=0.1)
    line.board.missed(12)
    line.run(_stamps(30, start=line.now + 10 * MS), seconds=2)
    assert line.gaps == [EdgeGap(first=30, count=12)]
    assert line.numbers == [*range(30), *range(42, 72)]
    statuses = [h for h in line.heard if isinstance(h, BoardStatus)]
    assert statuses[-1].edges_lost == 12
