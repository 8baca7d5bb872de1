"""The demo's board gives over its link exactly the runs that its car made."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest

from board_rig import Told, wait_for
from unspool.car import parse_car
from unspool.errors import InputError
from unspool.instrument.link.serial import SerialLink
from unspool.instrument.link.virtual import Pipe, VirtualLink
from unspool.instrument.record import Recorder, RunContext
from unspool.instrument.wire import Conversation
from unspool.instrument.wire.decoded import BoardHello, EdgeBatch
from unspool.store import Store
from unspool.virtual.demo import start
from unspool.virtual.demo.board import VirtualBoard
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal
from unspool.virtual.demo.scenario import DUNLIN, corridor, sandpiper
from unspool.virtual.demo.wheel_script import PAUSE_S, wheel_script


def recorded(demo, path: Path, runs: int) -> list:
    told = Told()
    with Store.open(path) as store:
        slots = parse_car(demo.car_text, "car").encoder.pulses_per_turn
        recorder = Recorder(
            demo.link, store, RunContext(demo.car_text, demo.track_text, slots), [told]
        )
        recorder.start()
        wait_for(lambda: len(told.saved) == runs, "the demo's runs")
        recorder.stop()
        recorder.join()
        return [store.run(run_id) for run_id in told.saved]


def test_two_runs_over_a_real_serial_port(tmp_path: Path) -> None:
    with start("python", speed=20.0, runs=2) as demo:
        assert isinstance(demo.link, SerialLink)
        runs = recorded(demo, tmp_path / "s", 2)
        assert not demo.finished
        wait_for(lambda: demo.finished, "the demo's own end")
    for run, truth in zip(runs, demo.script.truths, strict=True):
        n = len(truth.train)
        np.testing.assert_array_equal(run.train.direction[-n:], truth.train.direction)
        since = run.train.time_s[-n:] - run.train.time_s[-n]
        np.testing.assert_allclose(since, truth.train.time_s - truth.train.time_s[0], atol=9e-6)
        assert run.winding.turns == pytest.approx(8.8, abs=0.051)
        assert run.car_text == demo.car_text


def test_where_there_are_no_terminals_it_is_in_process(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delattr(os, "openpty")
    with start("python", speed=20.0, car=DUNLIN) as demo:
        assert demo.link.spec == "virtual:"
        (run,) = recorded(demo, tmp_path / "s", 1)
    assert run.winding.turns == pytest.approx(
        sum(tier.turns for tier in demo.script.truths[0].car.drum), abs=0.051
    )


@pytest.mark.parametrize(("board", "speed"), [("python", 0.0), ("python", -1), ("firmware", 2.0)])
def test_a_speed_that_cannot_be(board, speed: float) -> None:
    with pytest.raises(InputError, match="speed"):
        start(board, speed=speed)


def test_a_sitting_is_in_order_and_leaves_pauses() -> None:
    script = wheel_script(sandpiper(), corridor(), runs=3, seed=5)
    assert np.all(np.diff(script.time_s) >= 0)
    assert script.time_s[0] == 2.0
    assert len(script.truths) == 3
    assert np.sum(np.diff(script.time_s) > PAUSE_S - 0.01) == 2
    launches = [t.launch_s + o for t, o in zip(script.truths, script.offset_s, strict=True)]
    for launch in launches:
        assert np.all(script.direction[np.abs(script.time_s - launch - 1.5) < 1.0] == 1)
    assert len(script.edges) == len(script.time_s)


def test_the_same_seed_is_the_same_sitting() -> None:
    one, two = (wheel_script(sandpiper(), corridor(), seed=9).time_s for _ in range(2))
    np.testing.assert_array_equal(one, two)
    assert len(wheel_script(sandpiper(), corridor(), seed=10).time_s) != len(
        one
    ) or not np.array_equal(wheel_script(sandpiper(), corridor(), seed=10).time_s, one)


def test_boots_differ_where_none_is_given() -> None:
    boots = set()
    for _ in range(4):
        pipe = Pipe()
        board = VirtualBoard(pipe, [])
        board.start()
        host = Conversation()
        heard = host.receive(VirtualLink(pipe).read(10.0))
        board.stop()
        boots |= {item.boot for item in heard if isinstance(item, BoardHello)}
    assert len(boots) > 1


def test_terminal_keeps_its_name_over_unplugging(tmp_path: Path) -> None:
    terminal = PseudoTerminal(tmp_path / "board")
    name = terminal.port
    terminal.unplug()
    assert not Path(name).exists()
    terminal.send(b"into the air")
    assert terminal.heard() == b""
    terminal.plug()
    assert terminal.port == name
    link = SerialLink(name)
    link.open()
    link.write(b"hello")
    wait_for(lambda: terminal.heard() == b"hello", "the bytes")
    link.close()
    terminal.close()


def test_a_terminal_that_nobody_reads_loses_and_goes_on() -> None:
    terminal = PseudoTerminal()
    for _ in range(50):
        terminal.send(bytes(1000))
    link = SerialLink(terminal.port)
    link.open()
    terminal.send(b"fresh")
    assert link.read(10.0).endswith(b"fresh")
    link.close()
    terminal.close()


def test_edges_wait_on_the_board_for_a_late_host() -> None:
    pipe = Pipe()
    edges = [(0.02 * k, 1) for k in range(1, 101)]
    board = VirtualBoard(pipe, edges, speed=4.0, boot=3)
    board.start()
    wait_for(lambda: board.played == 100, "the edges")
    host, link, numbers = Conversation(), VirtualLink(pipe), []

    def listen() -> bool:
        for item in host.receive(link.read(0.05)):
            if isinstance(item, EdgeBatch):
                numbers.extend(item.number.tolist())
        host.stored()
        link.write(host.to_send(0.0) or b"")
        return len(numbers) >= 100

    wait_for(listen, "all edges")
    board.stop()
    assert numbers == list(range(100))
