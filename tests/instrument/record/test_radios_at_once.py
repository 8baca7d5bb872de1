"""Two radios and a cable at once: one radio that is out of reach in its run disturbs no other."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

import pytest

from board_rig import Told, assert_whole, powered, short_script, wait_for
from instrument.link.fake_bluez import FakeBluez
from instrument.link.fake_module import Module
from unspool.instrument.link import Link
from unspool.instrument.link.ble import BleLink, BleTimeouts
from unspool.instrument.link.ble_address import BleAddress
from unspool.instrument.link.virtual import Pipe, VirtualLink
from unspool.instrument.record import Phase, Recorders, RunContext
from unspool.store import Store

SPEED = 8.0
QUICK = BleTimeouts(scan_s=0.5, linger_s=0.1, connect_s=2.0, write_s=5.0, idle_s=1.0)
CAR = RunContext('name = "Sandpiper"\n', None, 20)


def test_a_radio_out_of_reach_disturbs_no_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    script = short_script()
    with (
        FakeBluez(tmp_path) as bluez,
        Store.open(tmp_path / "s") as store,
        ExitStack() as stack,
    ):
        monkeypatch.setenv("DBUS_SYSTEM_BUS_ADDRESS", bluez.bus)
        away, near = (
            bluez.add(Module(name, address, rate=2000 * SPEED))
            for name, address in (("Dunlin", "00:00:5E:00:53:01"), ("Curlew", "00:00:5E:00:53:02"))
        )
        cable = Pipe()
        radios = [BleLink(BleAddress(module.name), QUICK) for module in (away, near)]
        links: list[Link] = [*radios, VirtualLink(cable)]
        recorders = Recorders(store)
        told = [Told() for _ in links]
        for link, one in zip(links, told, strict=True):
            link.pace = SPEED
            recorders.start(link, CAR, [one], lambda _why: None)
        stack.callback(lambda: wait_for(lambda: not recorders.links, "the recorders to end"))
        stack.callback(recorders.stop)
        wait_for(lambda: all(True in one.link_ups for one in told), "the links")
        for k, line in enumerate((away, near, cable)):
            stack.enter_context(powered(line, script.edges, SPEED, identity=k + 1))
        wait_for(lambda: len(told[0].live_numbers) > 50, "the run")
        bluez.drop(away)
        wait_for(lambda: Phase.NO_LINK in told[0].phases, "the loss to be noticed")
        wait_for(lambda: told[1].saved and told[2].saved, "the others' runs")
        assert not told[0].saved
        away.in_reach = True
        wait_for(lambda: told[0].saved, "the run of the one that was away")
        assert [one.link_ups for one in told[1:]] == [[True], [True]]
        for one in told:
            assert_whole(store.run(one.saved[0]), script)
