"""The compiled firmware behind a Bluetooth module: a run, cut for 5 s in its middle, in real time.

The real ELF runs on a simulated chip. Its UART bytes pass a module of the slowest common kind,
bleak's own BlueZ backend over a private bus, and the recorder, into the store.
"""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from board_rig import Told, assert_on_time, wait_for
from instrument.link.fake_bluez import FakeBluez
from instrument.link.fake_module import Module
from unspool.instrument.link.ble import BleLink
from unspool.instrument.link.ble_address import BleAddress
from unspool.instrument.link.serial import SerialLink
from unspool.instrument.record import BoardHealth, Phase, Recorder, RunContext
from unspool.store import Store
from unspool.virtual.demo import start
from wires import wired

pytestmark = pytest.mark.firmware

CUT_S = 5.0


def test_a_run_of_the_firmware_over_bluetooth(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = Told()
    with (
        FakeBluez(tmp_path) as bluez,
        start("firmware", windings=[(2.0, 2.5)]) as demo,
        Store.open(tmp_path / "s") as store,
    ):
        monkeypatch.setenv("DBUS_SYSTEM_BUS_ADDRESS", bluez.bus)
        module = bluez.add(Module())
        assert isinstance(demo.link, SerialLink)
        with wired(demo.link.spec.removeprefix("serial:"), module):
            subject = RunContext(demo.car_text, demo.track_text, edges_per_turn=20)
            recorder = Recorder(BleLink(BleAddress("Sandpiper")), store, subject, [told])
            recorder.start()
            wait_for(lambda: len(told.live_numbers) > 200, "the run")
            bluez.drop(module)
            wait_for(lambda: told.phases[-1] is Phase.NO_LINK, "the loss to be noticed")
            threading.Event().wait(CUT_S)
            module.in_reach = True
            wait_for(lambda: told.saved, "the run to be saved")
            recorder.stop()
            recorder.join()
        run = store.run("1")
        true = demo.script.truths[0].train
    assert_on_time(run, true)
    assert told.of(BoardHealth)[-1].edges_lost == 0
    assert module.longest_packet == 20
