"""A capture belongs to a board and its boot: over any port or radio, and never to two boards."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from board_rig import (
    RECORDER,
    Told,
    assert_whole,
    has_whole_run,
    powered,
    recording,
    short_script,
    wait_for,
)
from unspool.errors import CaptureTakenError
from unspool.instrument.link.serial import SerialLink
from unspool.instrument.link.virtual import Pipe, VirtualLink
from unspool.instrument.record import BoardSeen, Phase, Recorder, rebuild
from unspool.reading.edges.ending import Ending
from unspool.store import BoardKey, Store
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal
from unspool.virtual.demo.wheel_script import WheelScript

SPEED = 20.0


class Port(VirtualLink):
    """A virtual board's pipe under a name that lasts, such as a radio's."""

    lasting = True

    def __init__(self, pipe: Pipe, spec: str) -> None:
        super().__init__(pipe)
        self.spec = spec


class Plug:
    """A board's end of whatever pipe it is plugged into; nobody notices a change."""

    def __init__(self, pipe: Pipe | None = None) -> None:
        self.pipe = pipe

    def send(self, data: bytes) -> None:
        if self.pipe is not None:
            self.pipe.send(data)

    def heard(self) -> bytes:
        return b"" if self.pipe is None else self.pipe.heard()


@pytest.fixture(scope="module")
def other_script() -> WheelScript:
    return short_script(seed=9)


def swap(out: Plug, into: Plug) -> None:
    """By hand: it takes three seconds of the boards'."""
    pipe, out.pipe = out.pipe, None
    time.sleep(3.0 / SPEED)
    pipe.heard()  # no cable keeps what nobody heard
    into.pipe = pipe


def in_the_run(told: Told, edges: int = 100) -> None:
    wait_for(lambda: len(told.live_numbers) > edges, "the run")


@contextmanager
def two_boards(
    one: WheelScript, two: WheelScript, boots: tuple[int, int]
) -> Iterator[tuple[Plug, Plug]]:
    """Board 11 and board 22, each with a run, neither plugged in."""
    plugs = Plug(), Plug()
    with (
        powered(plugs[0], one.edges, SPEED, boot=boots[0], identity=11),
        powered(plugs[1], two.edges, SPEED, boot=boots[1], identity=22),
    ):
        yield plugs


def test_a_port_that_changes_its_name_in_the_run_splits_no_run(
    script: WheelScript, store: Store, tmp_path: Path
) -> None:
    terminals = PseudoTerminal(tmp_path / "ttyUSB0"), PseudoTerminal(tmp_path / "ttyUSB1")
    first, second = (SerialLink(terminal.port) for terminal in terminals)
    plug = Plug(terminals[0])
    with powered(plug, script.edges, SPEED):
        with recording(first, store, SPEED) as (_, told):
            in_the_run(told)
            plug.pipe = None
            terminals[0].unplug()
            wait_for(lambda: Phase.NO_LINK in told.phases, "the loss to be noticed")
        plug.pipe = terminals[1]
        with recording(second, store, SPEED) as (_, told):
            wait_for(lambda: told.saved, "the run to be saved")
    (row,) = store.runs()
    assert (row.missing, row.ending) == (0, Ending.STOOD_STILL)
    assert_whole(store.run(row.id), script)
    assert [one.sessions for one in store.captures()] == [2]
    assert rebuild(store, 1) == [row.id]
    assert_whole(store.run(row.id), script)


def test_from_cable_to_radio_while_the_first_recorder_still_waits(
    script: WheelScript, store: Store
) -> None:
    cable, radio = Pipe(), Pipe()
    plug = Plug(cable)
    with (
        powered(plug, script.edges, SPEED),
        Store.open(store.place) as again,
        recording(Port(cable, "serial:/dev/ttyUSB0"), store, SPEED) as (_, told),
    ):
        in_the_run(told)
        cable.cut()
        plug.pipe = radio
        with recording(Port(radio, "ble:Sandpiper"), again, SPEED) as (_, second):
            wait_for(lambda: second.saved, "the run to be saved")
        plug.pipe = cable
        cable.cut(out=False)
        wait_for(lambda: store.captures()[0].sessions == 3, "the first recorder to go on")
    (row,) = store.runs()
    assert (row.missing, row.ending) == (0, Ending.STOOD_STILL)
    assert_whole(store.run(row.id), script)


def test_a_recorder_whose_board_another_one_took_writes_nothing_more(
    script: WheelScript, store: Store
) -> None:
    pipe = Pipe()
    with powered(pipe, script.edges, SPEED):
        link = Port(pipe, "serial:/dev/ttyUSB0")
        link.pace = SPEED
        told = Told()
        recorder = Recorder(link, store, observers=[told])
        recorder.start()
        in_the_run(told)
        taken = store.resume_capture(1)
        with pytest.raises(CaptureTakenError):
            recorder.join(60.0)
    assert {chunk.session for chunk in store.chunks(1)} == {1}
    assert taken.session == 2


@pytest.mark.parametrize("boots", [(7, 8), (7, 7)])
def test_two_boards_swapped_in_the_run_are_never_joined(
    script: WheelScript, other_script: WheelScript, store: Store, boots: tuple[int, int]
) -> None:
    """On one port, which stays open; then the first board comes back."""
    pipe = Pipe()
    with (
        two_boards(script, other_script, boots) as (one, two),
        recording(Port(pipe, "serial:/dev/ttyUSB0"), store, SPEED) as (_, told),
    ):
        one.pipe = pipe
        in_the_run(told)
        swap(one, two)
        wait_for(lambda: len(told.saved) == 2, "the part of the one run and the other run")
        swap(two, one)
        wait_for(lambda: store.run("1").ending is Ending.STOOD_STILL, "the first board's run")
    keys = BoardKey(11, boots[0]), BoardKey(22, boots[1])
    assert tuple(row.key for row in store.captures()) == keys
    assert [row.missing for row in store.runs()] == [0, 0]
    assert_whole(store.run("1"), script)
    assert_whole(store.run("2"), other_script)
    assert [rebuild(store, row.id) for row in store.captures()] == [["1"], ["2"]]
    assert_whole(store.run("1"), script)
    assert_whole(store.run("2"), other_script)
    assert [seen.boot for seen in told.of(BoardSeen)] == [boots[0], boots[1], boots[0]]


def test_boards_with_one_boot_number_one_after_the_other_on_one_port(
    script: WheelScript, other_script: WheelScript, store: Store
) -> None:
    """The second recorder meets another board than the first one on the same port."""
    pipe = Pipe()
    with two_boards(script, other_script, (1, 1)) as (one, two):
        one.pipe = pipe
        with recording(Port(pipe, "serial:COM3"), store, SPEED) as (_, told):
            in_the_run(told)
            one.pipe = None
        pipe.heard()
        two.pipe = pipe
        with recording(Port(pipe, "serial:COM3"), store, SPEED) as (_, told):
            wait_for(lambda: told.saved, "the run to be saved")
    assert [row.ending for row in store.runs()] == [Ending.RECORDING_STOPPED, Ending.STOOD_STILL]
    assert_whole(store.run("2"), other_script)


def test_killed_on_one_port_and_started_on_another(script: WheelScript, tmp_path: Path) -> None:
    """SIGKILL before the run is saved; the next recorder has another port."""
    terminals = PseudoTerminal(tmp_path / "ttyUSB0"), PseudoTerminal(tmp_path / "ttyUSB1")
    plug, path = Plug(terminals[0]), tmp_path / "s"

    def child(port: str) -> subprocess.Popen[bytes]:
        command = [sys.executable, "-c", RECORDER, port, str(path), "4"]
        started = subprocess.Popen(command, stdout=subprocess.PIPE)
        assert started.stdout is not None
        while started.stdout.readline() not in (b"RunEdges\n", b""):
            pass
        return started

    with powered(plug, script.edges, 4.0):
        recorder = child(terminals[0].port)
        os.kill(recorder.pid, signal.SIGKILL)
        recorder.communicate()
        plug.pipe = terminals[1]
        recorder = child(terminals[1].port)
        with Store.open(path) as store:
            wait_for(lambda: has_whole_run(store), "the run to be saved")
        os.kill(recorder.pid, signal.SIGKILL)
        recorder.communicate()
    with Store.open(path) as store:
        assert len(store.runs()) == len(store.captures()) == 1
        assert_whole(store.run("1"), script)
        assert store.check() == []


def test_a_run_that_a_killed_recorder_saw_is_saved_when_the_board_restarted(
    script: WheelScript, store: Store
) -> None:
    """The board's next boot begins another capture; the run under way in the first one is kept."""
    pipe = Pipe()
    with powered(pipe, script.edges, SPEED, boot=7, identity=11):
        with recording(Port(pipe, "serial:COM3"), store, SPEED) as (_, told):
            in_the_run(told)
        with store._write() as connection:
            connection.exec_driver_sql("DELETE FROM runs")  # as if it had been killed before
    with (
        powered(pipe, [], SPEED, boot=8, identity=11),
        recording(Port(pipe, "serial:COM3"), store, SPEED) as (_, told),
    ):
        wait_for(lambda: told.saved, "the part of the run")
    (row,) = store.runs()
    assert row.ending is Ending.BOARD_RESTARTED
    assert [one.key for one in store.captures()] == [BoardKey(11, 7), BoardKey(11, 8)]


def test_a_capture_of_a_time_without_numbers_goes_on(script: WheelScript, store: Store) -> None:
    """A run under way is completed in it; once the car rests, the board gets one of its own."""
    pipe = Pipe()
    with powered(pipe, script.edges, SPEED, identity=11):
        with recording(Port(pipe, "serial:COM3"), store, SPEED) as (_, told):
            in_the_run(told)
        with store._write() as connection:
            connection.exec_driver_sql("UPDATE captures SET board = NULL, boot = NULL")
        with recording(Port(pipe, "serial:COM3"), store, SPEED) as (_, told):
            wait_for(lambda: told.saved, "the run to be saved")
            wait_for(lambda: Phase.ENDED in told.phases, "the car to rest")
    (row,) = store.runs()
    assert (row.missing, row.ending) == (0, Ending.STOOD_STILL)
    assert_whole(store.run(row.id), script)
    assert [one.sessions for one in store.captures()] == [2]


def test_a_board_that_takes_no_number_goes_on_by_its_port(
    script: WheelScript, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("unspool.instrument.record.meeting.NUMBER_S", 0.05)
    monkeypatch.setattr("unspool.instrument.wire.board.BoardSide._identify", lambda *_: None)
    pipe = Pipe()
    with powered(pipe, script.edges, SPEED):
        for _ in range(2):
            with recording(Port(pipe, "serial:COM3"), store, SPEED) as (_, told):
                in_the_run(told)
        with recording(Port(pipe, "serial:COM3"), store, SPEED) as (_, told):
            wait_for(lambda: told.saved, "the run to be saved")
    (row,) = store.runs()
    assert_whole(store.run(row.id), script)
    assert [(one.key, one.sessions) for one in store.captures()] == [(None, 3)]
