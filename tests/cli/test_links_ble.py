"""`unspool links --ble` as a user runs it, with a fake BlueZ for the radio."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from cli.shell import unspool
from instrument.link.fake_bluez import FakeBluez
from instrument.link.fake_module import SHORT, Module


@pytest.fixture
def bluez(tmp_path: Path) -> Iterator[FakeBluez]:
    with FakeBluez(tmp_path) as made:
        yield made


def test_modules_in_reach(bluez: FakeBluez, tmp_path: Path) -> None:
    bluez.add(Module("Dunlin [2]", "00:00:5E:00:53:02")).rssi = -88
    bluez.add(Module("Lamp", "00:00:5E:00:53:03", service=SHORT.format("180f"))).rssi = -30
    done = unspool("links", "--ble", home=tmp_path, DBUS_SYSTEM_BUS_ADDRESS=bluez.bus)
    assert done.status == 0
    first, second = (line.split() for line in done.out.splitlines()[1:])
    assert " ".join(first) == "ble:Dunlin [2] yes Dunlin [2] 00:00:5E:00:53:02 -88 dBm, weak"
    assert " ".join(second) == "ble:Lamp perhaps Lamp 00:00:5E:00:53:03 -30 dBm, strong"


def test_for_other_programs(bluez: FakeBluez, tmp_path: Path) -> None:
    bluez.add(Module())
    done = unspool("links", "--ble", "--json", home=tmp_path, DBUS_SYSTEM_BUS_ADDRESS=bluez.bus)
    assert done.answer == {
        "unspool": 1,
        "links": [
            {
                "link": "ble:Sandpiper",
                "description": "Sandpiper",
                "likely": True,
                "address": "00:00:5E:00:53:01",
                "signal_dbm": -60,
            }
        ],
    }


def test_nobody_there(bluez: FakeBluez, tmp_path: Path) -> None:
    done = unspool("links", "--ble", home=tmp_path, DBUS_SYSTEM_BUS_ADDRESS=bluez.bus)
    assert (done.status, done.out) == (0, "")
    (complaint,) = done.complaints
    assert "no Bluetooth device was found" in complaint


def test_bluetooth_is_off(tmp_path: Path) -> None:
    with FakeBluez(tmp_path, "off") as bluez:
        done = unspool("links", "--ble", home=tmp_path, DBUS_SYSTEM_BUS_ADDRESS=bluez.bus)
    assert done.status == 2
    (complaint,) = done.complaints
    assert complaint.startswith("unspool: Bluetooth is off; turn it on")


def test_no_bus_at_all(tmp_path: Path) -> None:
    missing = f"unix:path={tmp_path}/none"
    done = unspool("links", "--ble", home=tmp_path, DBUS_SYSTEM_BUS_ADDRESS=missing)
    assert done.status == 2
    (complaint,) = done.complaints
    assert "message bus" in complaint
