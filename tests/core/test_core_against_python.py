"""The C core and the Python board, given the same edges, bytes and times, send the same bytes."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from native_core import NativeBoard
from unspool.instrument.wire import BoardSide, Conversation
from unspool.instrument.wire.frames import frame
from unspool.instrument.wire.messages import (
    Acknowledge,
    Check,
    Configure,
    HelloRequest,
    Identify,
)
from unspool.instrument.wire.table import ResetCause

BOOT = 0x1234
RESETS = [cause for cause in ResetCause if cause is not ResetCause.POWER_ON]
RING = 600  # small, so that overflow is common

bytes_8 = st.integers(0, 255)
positions = st.one_of(st.integers(0, 3000), st.integers(0, 2**32 - 1))
host_messages = st.one_of(
    st.builds(HelloRequest, st.sampled_from([0, BOOT, 7]), positions),
    st.builds(Acknowledge, positions, positions, st.integers(0, 1)),
    st.builds(Identify, st.sampled_from([0, 1, 0xC0FFEE01])),
    st.builds(Check, st.integers(0, 2)),
    st.builds(
        Configure,
        st.sampled_from([0, 1, 5, 20, 48, 49, 276, 65_535]),
        bytes_8,
        st.integers(0, 3000),
        st.sampled_from([2, 2, 2, 1]),
    ),
)
steps = st.one_of(
    st.tuples(
        st.just("edges"),
        st.integers(1, 300),  # how many
        st.sampled_from([0, 1, 7, 260, 9_000, 80_000, 3_000_000, 9_000_000]),  # stamps between
        st.integers(0, 400),  # and their spread
        st.sampled_from([0, 0, 0, 3, 25]),  # turn round after so many
    ),
    st.tuples(st.just("wait"), st.sampled_from([1, 1999, 40_000, 1_000_001, 2**30])),
    st.tuples(st.just("say"), host_messages),
    st.tuples(st.just("say to another"), host_messages),
    st.tuples(st.just("noise"), st.binary(max_size=40)),
    st.tuples(st.just("missed"), st.integers(1, 60_000)),
    st.tuples(st.just("listen")),
    st.tuples(st.just("reset"), st.sampled_from(RESETS)),
)


class Pair:
    def __init__(self, edges_per_turn: int) -> None:
        self.boards = (
            BoardSide(BOOT, edges_per_turn, RING),
            NativeBoard(BOOT, edges_per_turn, RING),
        )
        self.host = Conversation()
        self.before = 0  # stamps before the last reset
        self.now = 0
        self.direction = 1

    def do(self, step: tuple) -> None:
        match step:
            case ("edges", count, between, spread, turn):
                self._edges(count, between, spread, turn)
            case ("wait", stamps):
                self.now += stamps
            case ("say", message):
                self._receive(frame(message, (self.boards[0].identity, BOOT)))
            case ("say to another", message):
                self._receive(frame(message, (7, BOOT)))
            case ("noise", data):
                self._receive(data)
            case ("missed", count):
                for board in self.boards:
                    board.missed(count)
            case ("listen",):
                self.host.stored()
                self._receive(self.host.to_send((self.before + self.now) / 2e6))
            case ("reset", cause):
                self._reset(cause)
        self._compare()

    def _reset(self, cause: ResetCause) -> None:
        python, native = self.boards
        python.reset(cause)
        assert native.reset(cause) == BOOT
        self.before, self.now = self.before + self.now, 0

    def _compare(self) -> None:
        ours, theirs = (board.to_send(self.now) for board in self.boards)
        assert theirs == ours
        python, native = ((b.checks, b.takes, b.wants_sample) for b in self.boards)
        assert native == python
        if python[2]:
            for board in self.boards:
                board.sample(self.now, 3)
        self.host.receive(ours)

    def _edges(self, count: int, between: int, spread: int, turn: int) -> None:
        for i in range(count):
            self.now += between + (i * i * 7919) % (spread + 1)
            if turn and i % turn == 0:
                self.direction = -self.direction
            self._pass_edge(i)
            if between > 1_000_000:  # a board looks at its clock now and then
                self._compare()

    def _pass_edge(self, i: int) -> None:
        """As a board does it: during a check both levels, and missed where none can be taken."""
        for board in self.boards:
            if not board.checks:
                board.edge(self.now, self.direction)
            elif board.takes:
                board.sample(self.now, i % 4)
            else:
                board.missed(1)

    def _receive(self, data: bytes) -> None:
        for board in self.boards:
            board.receive(data)


@settings(max_examples=300, deadline=None)
@given(st.sampled_from([0, 1, 20, 48, 50]), st.lists(steps, max_size=25))
def test_both_boards_send_the_same_bytes(edges_per_turn: int, script: list[tuple]) -> None:
    pair = Pair(edges_per_turn)
    pair.do(("say", HelloRequest(0, 0)))
    for step in script:
        pair.do(step)
    pair.do(("say", HelloRequest(BOOT, 0)))
    pair.do(("wait", 100_000))


def test_both_boards_agree_past_every_wrap_of_the_stamps() -> None:
    pair = Pair(20)
    for _ in range(20):
        pair.do(("edges", 3, 3_000_000, 5, 0))
        pair.do(("wait", 2**30))
        pair.do(("listen",))
