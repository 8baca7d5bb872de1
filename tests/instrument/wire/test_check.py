"""A sensor check over the wire: what both sensors showed, and what that leaves alone."""

from __future__ import annotations

import numpy as np
import pytest

from golden_wire import FRAMES
from native_core import NativeBoard
from unspool.instrument.wire import BoardSide, Conversation, Decoded, EdgeBatch, SensorSamples
from unspool.instrument.wire.check import SampleReader
from unspool.instrument.wire.messages import Sensors

MS = 2000
SECOND = 1000 * MS
TURNING = (0, 2, 3, 1)  # levels of a wheel that goes forward: A first, then B

Board = BoardSide | NativeBoard


@pytest.fixture(params=[BoardSide, NativeBoard], ids=["python", "C"])
def board(request: pytest.FixtureRequest) -> Board:
    return request.param(0x1234)


class Checking:
    """A host that checks a board, 5 ms at a time; what either says reaches the other."""

    def __init__(self, board: Board) -> None:
        self.board, self.host = board, Conversation()
        self.host.check()
        self.now = 0
        self.heard: list[Decoded] = []

    def run(self, seconds: float, changes: int = 0, asking: bool = True) -> None:
        """Let so many changes happen, spread over the time."""
        steps, done = round(seconds * 200), 0
        for step in range(1, steps + 1):
            self.now += 5 * MS
            while done < changes * step // steps:
                self._change(done)
                done += 1
            if self.board.wants_sample:
                self.board.sample(self.now, TURNING[changes % 4])
            self.heard += self.host.receive(self.board.to_send(self.now))
            if asking:
                self.board.receive(self.host.to_send(self.now / SECOND))

    def _change(self, number: int) -> None:
        if self.board.checks:
            self.board.sample(self.now, TURNING[(number + 1) % 4])
        elif number % 2 == 0:
            self.board.edge(self.now, 1)

    def column(self, name: str) -> list[int]:
        batches = [getattr(h, name) for h in self.heard if isinstance(h, SensorSamples)]
        return np.concatenate(batches).tolist() if batches else []


def test_every_change_arrives_in_order(board: Board) -> None:
    line = Checking(board)
    line.run(1.0)
    quiet = len(line.column("number"))
    line.run(2.0, changes=400)
    line.run(0.2)
    changed = [2 * a + b for a, b in zip(line.column("a"), line.column("b"), strict=True)][quiet:]
    assert changed[:400] == [TURNING[(i + 1) % 4] for i in range(400)]
    assert line.column("number") == list(range(len(changed) + quiet))
    times = line.column("time_s")
    assert times == sorted(times)
    assert times[quiet + 399] - times[quiet] == pytest.approx(1.995, abs=0.001)


def test_at_rest_it_shows_the_levels_twenty_times_a_second(board: Board) -> None:
    line = Checking(board)
    line.run(3.0)
    assert 50 <= len(line.column("number")) <= 60


def test_what_the_board_held_before_is_still_there_after(board: Board) -> None:
    for i in range(60):
        board.edge(i * 10 * MS, 1)
    line = Checking(board)
    line.now = SECOND
    line.run(0.1)
    line.run(3.0, changes=2000)
    assert not [h for h in line.heard if isinstance(h, EdgeBatch)]
    line.run(2.5, asking=False)
    assert not board.checks
    recorder = Conversation()
    heard: list[Decoded] = []
    for _ in range(100):
        line.now += 5 * MS
        heard += recorder.receive(board.to_send(line.now))
        board.receive(recorder.to_send(line.now / SECOND))
    numbers = [n for h in heard if isinstance(h, EdgeBatch) for n in h.number.tolist()]
    assert numbers == list(range(60))


def test_more_changes_than_the_line_takes_are_skipped_numbers(board: Board) -> None:
    line = Checking(board)
    line.run(1.0)
    before = len(line.column("number"))
    for i in range(40):
        if board.takes:
            board.sample(line.now, i % 4)
        else:
            board.missed(1)
    line.run(0.2)
    numbers = line.column("number")
    assert numbers[before : before + 16] == list(range(before, before + 16))
    assert numbers[before + 16] == before + 40


def test_other_boards_checks_are_none_of_its_own(board: Board) -> None:
    board.to_send(0)
    board.receive(bytes.fromhex("061b33013fe900"))
    assert not board.checks


def test_reader_widens_stamps_and_numbers_past_their_wrap() -> None:
    reader = SampleReader()
    sensors = FRAMES[-1][0]
    assert isinstance(sensors, Sensors)
    reader.read(sensors, 2_000_000)
    late = Sensors(0x34, 260, (0xFFFFFFFC).to_bytes(4, "little") + (7).to_bytes(4, "little"))
    heard = reader.read(late, 2_000_000)
    assert heard is not None
    assert heard.number.tolist() == [260, 261]
    assert heard.time_s[1] - heard.time_s[0] == pytest.approx(4e-6)
    assert heard.a.tolist() == [0, 1]


def test_check_that_began_anew_goes_on_behind_the_last() -> None:
    reader = SampleReader()
    one = (8).to_bytes(4, "little")
    numbers = [
        heard.number.tolist()
        for number in (65530, 65535, 0, 1, 0)
        if (heard := reader.read(Sensors(0, number, one), 2_000_000)) is not None
    ]
    assert numbers == [[0], [5], [6], [7], [8]]


def test_frame_without_a_whole_sample_says_nothing() -> None:
    assert SampleReader().read(Sensors(0, 0, b"abc"), 2_000_000) is None
