"""The recorder over Bluetooth: every edge of a run is in the store, whatever the radio does.

bleak's own BlueZ backend, a private bus, a fake BlueZ, a transparent module, the board in Python.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest

from board_rig import Told, assert_whole, has_whole_run, powered, recording, wait_for
from instrument.link.fake_bluez import FakeBluez
from instrument.link.fake_module import Module
from unspool.errors import LinkError
from unspool.instrument.link.ble import BleLink, BleTimeouts
from unspool.instrument.link.ble_address import BleAddress
from unspool.instrument.record import Phase, Recorder
from unspool.store import Store
from unspool.virtual.demo.board import VirtualBoard
from unspool.virtual.demo.wheel_script import WheelScript

SANDPIPER = BleAddress("Sandpiper")
SPEED = 8.0  # seconds of the board in one of ours
QUICK = BleTimeouts(scan_s=0.5, linger_s=0.1, connect_s=2.0, write_s=5.0, idle_s=1.0)
IN_RUN_S = 18.0  # on the board's clock; the run is from 16.2 s to 28.0 s


@pytest.fixture
def bluez(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[FakeBluez]:
    with FakeBluez(tmp_path) as made:
        monkeypatch.setenv("DBUS_SYSTEM_BUS_ADDRESS", made.bus)
        yield made


@contextmanager
def at_work(
    module: Module, script: WheelScript, store: Store, address: BleAddress = SANDPIPER
) -> Iterator[tuple[VirtualBoard, Told]]:
    with (
        powered(module, script.edges, SPEED) as board,
        recording(BleLink(address, QUICK), store, SPEED) as (_, told),
    ):
        yield board, told


def until(board: VirtualBoard, script: WheelScript, at_s: float) -> None:
    due = int(np.searchsorted(script.time_s, at_s))
    wait_for(lambda: board.played > due, f"second {at_s:g} of the board")


def assert_nothing_missing(store: Store, script: WheelScript) -> None:
    assert_whole(store.run("1"), script)
    assert store.run("1").train.missing == 0
    assert store.check() == []


@pytest.mark.parametrize("mtu", [23, 247])
def test_a_run_in_packets_of_20_and_244_bytes(
    bluez: FakeBluez, script: WheelScript, store: Store, mtu: int
) -> None:
    module = bluez.add(Module(mtu=mtu, rate=2000 * SPEED))
    with at_work(module, script, store) as (_, told):
        wait_for(lambda: told.saved, "the run to be saved")
    assert_nothing_missing(store, script)
    assert store.captures()[0].link == "ble:Sandpiper"
    assert told.link_ups == [True]
    assert 0 < module.longest_packet <= mtu - 3
    assert module.lost == 0


def test_cut_for_5_s_in_the_run(bluez: FakeBluez, script: WheelScript, store: Store) -> None:
    module = bluez.add(Module(rate=2000 * SPEED))
    with at_work(module, script, store) as (board, told):
        until(board, script, IN_RUN_S)
        bluez.drop(module)
        wait_for(lambda: Phase.NO_LINK in told.phases, "the loss to be noticed")
        until(board, script, IN_RUN_S + 5.0)
        module.in_reach = True
        wait_for(lambda: told.saved, "the run to be saved")
    assert_nothing_missing(store, script)
    assert "out of reach" in told.link_reasons[0]
    assert told.link_ups[-1]


def test_cut_for_the_rest_of_the_run(bluez: FakeBluez, script: WheelScript, store: Store) -> None:
    """The edges wait on the board, and come out of it when the car is carried back."""
    module = bluez.add(Module(rate=2000 * SPEED))
    with at_work(module, script, store) as (board, told):
        until(board, script, IN_RUN_S)
        bluez.drop(module)
        wait_for(lambda: board.played == len(script.edges), "the end of the run")
        assert not told.saved
        module.in_reach = True
        wait_for(lambda: told.saved, "the run to be saved")
    assert_nothing_missing(store, script)
    assert "no Bluetooth device called Sandpiper is in reach" in told.link_reasons[-1]
    # what is known already is not reported again
    assert len(told.link_reasons) == len(set(told.link_reasons))


def test_vanishing_without_a_word_in_the_run(
    bluez: FakeBluez, script: WheelScript, store: Store
) -> None:
    module = bluez.add(Module(rate=2000 * SPEED))
    with at_work(module, script, store) as (board, told):
        until(board, script, IN_RUN_S)
        module.in_reach = False
        wait_for(lambda: Phase.NO_LINK in told.phases, "the loss to be noticed")
        module.in_reach = True
        wait_for(lambda: told.saved, "the run to be saved")
    assert_nothing_missing(store, script)
    assert "nothing has come from Sandpiper" in told.link_reasons[0]


def test_the_daemon_dies_in_the_run(bluez: FakeBluez, script: WheelScript, store: Store) -> None:
    module = bluez.add(Module(rate=2000 * SPEED))
    with at_work(module, script, store) as (board, told):
        until(board, script, IN_RUN_S)
        bluez.stop()
        module.linked(False)
        wait_for(lambda: Phase.NO_LINK in told.phases, "the loss to be noticed")
        bluez.start()
        wait_for(lambda: told.saved, "the run to be saved")
    assert_nothing_missing(store, script)


def test_a_module_whose_buffer_overflows(
    bluez: FakeBluez, script: WheelScript, store: Store
) -> None:
    """It carries half of what it was said to carry: the numbers find each hole, and fill it."""
    module = bluez.add(Module(rate=1000 * SPEED, buffer=100))
    with at_work(module, script, store) as (board, told):
        until(board, script, IN_RUN_S)
        bluez.drop(module)
        until(board, script, IN_RUN_S + 9.0)
        module.in_reach = True
        wait_for(lambda: told.saved, "the run to be saved")
    assert module.lost > 0
    assert_nothing_missing(store, script)


def test_the_board_sends_no_faster_than_the_spec_says(
    bluez: FakeBluez, script: WheelScript, store: Store
) -> None:
    """With a rate that fits, a small buffer does not overflow when all that waited comes."""
    module = bluez.add(Module(rate=1000 * SPEED, buffer=250))
    with at_work(module, script, store, BleAddress("Sandpiper", rate=500)) as (board, told):
        until(board, script, IN_RUN_S)
        bluez.drop(module)
        until(board, script, IN_RUN_S + 9.0)
        module.in_reach = True
        wait_for(lambda: told.saved, "the run to be saved")
    assert module.lost == 0
    assert_nothing_missing(store, script)


RECORD = """
import sys
from pathlib import Path
from unspool.instrument.link.ble import BleLink, BleTimeouts
from unspool.instrument.link.ble_address import BleAddress
from unspool.instrument.record import Recorder
from unspool.store import Store
link = BleLink(BleAddress("Sandpiper"), BleTimeouts(scan_s=2.0, linger_s=0.1))
link.pace = float(sys.argv[2])
tell = lambda notice: print(type(notice).__name__, flush=True)
Recorder(link, Store.open(Path(sys.argv[1])), observers=[tell]).run()
"""


def test_killed_in_the_run_and_started_again(
    bluez: FakeBluez, script: WheelScript, tmp_path: Path
) -> None:
    """The system keeps the dead program's connection: the module shows itself to nobody."""
    module = bluez.add(Module(rate=2000 * SPEED))

    def child() -> subprocess.Popen[str]:
        command = [sys.executable, "-c", RECORD, str(tmp_path / "s"), str(SPEED)]
        started = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert started.stdout is not None
        assert started.stdout.readline() == "LinkChanged\n"
        return started

    with powered(module, script.edges, SPEED) as board:
        recorder = child()
        until(board, script, IN_RUN_S)
        recorder.kill()
        recorder.communicate()
        assert module.subscribed is not None
        recorder = child()
        with Store.open(tmp_path / "s") as store:
            wait_for(lambda: has_whole_run(store), "the run to be saved")
        recorder.kill()
        recorder.communicate()
    with Store.open(tmp_path / "s") as store:
        assert_nothing_missing(store, script)
        assert len(store.runs()) == 1


def test_stopped_while_it_looks_for_the_module(bluez: FakeBluez, store: Store) -> None:
    told = Told()
    recorder = Recorder(
        BleLink(BleAddress("Nobody"), BleTimeouts(scan_s=600.0)), store, None, [told]
    )
    recorder.start()
    assert not recorder.join(0.3)
    recorder.stop()
    assert recorder.join(60.0)
    assert told.notices == []
    assert store.captures() == []


def test_no_such_module(bluez: FakeBluez, store: Store) -> None:
    with pytest.raises(LinkError, match="no Bluetooth device called Nobody"):
        Recorder(BleLink(BleAddress("Nobody"), QUICK), store).run()
    assert store.captures() == []
