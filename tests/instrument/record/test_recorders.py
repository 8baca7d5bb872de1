"""Several boards at once: each in its own capture, none disturbed, none recorded twice."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from board_rig import Told, assert_whole, powered, short_script, wait_for
from unspool.errors import BoardTakenError, InputError, LinkError
from unspool.instrument.link import Link
from unspool.instrument.link.serial import SerialLink
from unspool.instrument.link.virtual import Pipe, VirtualLink
from unspool.instrument.record import BoardSeen, Phase, Recorder, Recorders, RunContext
from unspool.instrument.record.recorder import ContextOf
from unspool.reading.edges.ending import Ending
from unspool.store import Store
from unspool.virtual.demo.board import BoardLine
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal
from unspool.virtual.demo.wheel_script import WheelScript

SPEED = 20.0
SANDPIPER, DUNLIN = (RunContext(f'name = "{name}"\n', None, 20) for name in ("Sandpiper", "Dunlin"))


class Plug:
    """A board's line, which can be pulled and put into another port."""

    def __init__(self, line: BoardLine | None) -> None:
        self.line = line

    def send(self, data: bytes) -> None:
        if self.line:
            self.line.send(data)

    def heard(self) -> bytes:
        return self.line.heard() if self.line else b""


class Board:
    """A recorder of the set, and what it reported."""

    def __init__(
        self, recorders: Recorders, link: Link, context: RunContext | ContextOf = SANDPIPER
    ) -> None:
        link.pace = SPEED
        self.told, self.ended = Told(), list[Exception | None]()
        self.recorder: Recorder = recorders.start(link, context, [self.told], self.ended.append)

    def in_the_run(self) -> None:
        wait_for(lambda: len(self.told.live_numbers) > 100, "the run")


def named(link: Link, spec: str) -> Link:
    """A virtual link that is found again as a port is."""
    link.spec, link.lasting = spec, True
    return link


@pytest.fixture
def recorders(store: Store) -> Iterator[Recorders]:
    made = Recorders(store)
    yield made
    made.stop()
    wait_for(lambda: not made.links, "the recorders to end")


def test_a_cable_that_is_pulled_in_a_run_disturbs_no_other(
    script: WheelScript, store: Store, recorders: Recorders, tmp_path: Path
) -> None:
    pulled = PseudoTerminal(tmp_path / "board")
    pipes = [Pipe(), Pipe()]
    with ExitStack() as stack:
        stack.callback(pulled.close)
        lines: list[BoardLine] = [pulled, *pipes]
        for i, line in enumerate(lines):
            stack.enter_context(powered(line, script.edges, SPEED, identity=100 + i))
        first = Board(recorders, SerialLink(pulled.port))
        others = [
            Board(recorders, named(VirtualLink(pipe), f"virtual:{i}"))
            for i, pipe in enumerate(pipes)
        ]
        first.in_the_run()
        pulled.unplug()
        wait_for(lambda: Phase.NO_LINK in first.told.phases, "the loss to be noticed")
        wait_for(lambda: all(one.told.saved for one in others), "the others' runs")
        assert not first.told.saved
        pulled.plug()
        wait_for(lambda: first.told.saved, "the run of the board that was pulled")
    assert [one.told.link_ups for one in others] == [[True], [True]]
    for one in (first, *others):
        assert_whole(store.run(one.told.saved[0]), script)
    assert sorted(row.key.identity for row in store.captures() if row.key) == [100, 101, 102]


def test_a_port_that_is_not_there_ends_its_own_recorder_alone(
    script: WheelScript, recorders: Recorders
) -> None:
    pipe = Pipe()
    with powered(pipe, script.edges, SPEED):
        good = Board(recorders, VirtualLink(pipe))
        good.in_the_run()
        bad = Board(recorders, SerialLink("/dev/no-such-port"))
        wait_for(lambda: bad.ended, "its end")
        assert isinstance(bad.ended[0], LinkError)
        seen = len(good.told.live_numbers)
        wait_for(lambda: len(good.told.live_numbers) > seen + 50, "more of the run")
    assert not good.ended


def test_a_link_is_recorded_once(recorders: Recorders) -> None:
    first = Board(recorders, named(VirtualLink(Pipe()), "serial:A"))
    with pytest.raises(InputError):
        Board(recorders, named(VirtualLink(Pipe()), "serial:A"))
    first.recorder.stop()
    wait_for(lambda: first.ended, "its end")
    assert first.ended == [None]
    Board(recorders, named(VirtualLink(Pipe()), "serial:A"))


def test_a_board_is_known_by_its_number_and_recorded_over_its_first_port(
    script: WheelScript, store: Store, recorders: Recorders
) -> None:
    asked: list[int] = []

    def context_of(board: int) -> RunContext:
        asked.append(board)
        return DUNLIN

    one, two = Pipe(), Pipe()
    with (
        powered(one, script.edges, SPEED, identity=9),
        powered(two, [], SPEED, identity=9),
    ):
        first = Board(recorders, named(VirtualLink(one), "serial:A"), context_of)
        wait_for(lambda: first.told.of(BoardSeen), "the board")
        second = Board(recorders, named(VirtualLink(two), "ble:B"))
        wait_for(lambda: second.ended, "the refusal")
        assert isinstance(second.ended[0], BoardTakenError)
        wait_for(lambda: first.told.saved, "the run")
    assert_whole(store.run("1"), script)
    assert [seen.identity for seen in first.told.of(BoardSeen)] == [9]
    assert (asked, store.runs()[0].car) == ([9], "Dunlin")


def test_a_board_that_moves_in_a_run_takes_its_run_along(
    script: WheelScript, store: Store, recorders: Recorders
) -> None:
    cable, radio = Pipe(), Pipe()
    plug = Plug(cable)
    with powered(plug, script.edges, SPEED, identity=9):
        first = Board(recorders, named(VirtualLink(cable), "serial:A"))
        first.in_the_run()
        cable.cut()
        wait_for(lambda: Phase.NO_LINK in first.told.phases, "the loss to be noticed")
        plug.line = radio
        second = Board(recorders, named(VirtualLink(radio), "ble:B"))
        wait_for(lambda: second.told.saved, "the run")
        wait_for(lambda: first.ended, "the first recorder's end")
    assert (first.ended, first.told.saved) == ([None], [])
    (row,) = store.runs()
    assert row.ending is Ending.STOOD_STILL
    assert_whole(store.run(row.id), script)


def test_another_car_is_told_in_the_middle_of_a_run(store: Store, recorders: Recorders) -> None:
    two_runs = short_script(runs=2)
    pipe = Pipe()
    with powered(pipe, two_runs.edges, SPEED, identity=9):
        board = Board(recorders, named(VirtualLink(pipe), "serial:A"))
        wait_for(lambda: board.told.saved, "the first run")
        seen = len(board.told.live_numbers)
        wait_for(lambda: len(board.told.live_numbers) > seen + 100, "the second run")
        board.recorder.change_context(DUNLIN)
        wait_for(lambda: len(board.told.saved) == 2, "the second run")
    for k, run_id in enumerate(board.told.saved):
        assert_whole(store.run(run_id), two_runs, k)
    assert [row.car for row in store.runs()] == ["Sandpiper", "Dunlin"]
    assert [row.missing for row in store.runs()] == [0, 0]
