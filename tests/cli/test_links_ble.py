"""`unspool links` as a user runs it, with a fake BlueZ for the radio."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from cli.shell import here
from instrument.link.fake_bluez import FakeBluez
from instrument.link.fake_module import SHORT, Module


@pytest.fixture(autouse=True)
def soon(monkeypatch: pytest.MonkeyPatch) -> None:
    """A test's modules are in reach from the start."""
    monkeypatch.setattr("unspool.instrument.link.ble_scan.SCAN_S", 0.5)


@pytest.fixture
def bluez(tmp_path: Path) -> Iterator[FakeBluez]:
    with FakeBluez(tmp_path) as made:
        yield made


def test_modules_in_reach(bluez: FakeBluez, tmp_path: Path) -> None:
    bluez.add(Module("Dunlin [2]", "00:00:5E:00:53:02")).rssi = -88
    bluez.add(Module("Lamp", "00:00:5E:00:53:03", service=SHORT.format("180f"))).rssi = -30
    done = here("links", home=tmp_path, DBUS_SYSTEM_BUS_ADDRESS=bluez.bus)
    assert done.status == 0
    first, second = (" ".join(line.split()) for line in done.out.splitlines()[-2:])
    assert first == "Dunlin [2] yes 00:00:5E:00:53:02 -88 dBm, weak"
    assert second == "Lamp perhaps 00:00:5E:00:53:03 -30 dBm, strong"


def test_for_other_programs(bluez: FakeBluez, tmp_path: Path) -> None:
    bluez.add(Module())
    done = here("links", "--json", home=tmp_path, DBUS_SYSTEM_BUS_ADDRESS=bluez.bus)
    assert done.answer["radios"] == [
        {
            "radio": "Sandpiper",
            "name": "Sandpiper",
            "likely": True,
            "address": "00:00:5E:00:53:01",
            "signal_dbm": -60,
        }
    ]
    assert done.answer["radio_fault"] is None


def test_nobody_there(bluez: FakeBluez, tmp_path: Path) -> None:
    done = here("links", home=tmp_path, DBUS_SYSTEM_BUS_ADDRESS=bluez.bus)
    assert done.status == 0
    assert "no Bluetooth device was found" in done.complaints[-1]


def test_bluetooth_is_off(tmp_path: Path) -> None:
    with FakeBluez(tmp_path, "off") as bluez:
        done = here("links", home=tmp_path, DBUS_SYSTEM_BUS_ADDRESS=bluez.bus)
    assert done.status == 0
    assert done.complaints[-1].startswith("unspool: Bluetooth is off; turn it on")


def test_no_bus_at_all(tmp_path: Path) -> None:
    missing = f"unix:path={tmp_path}/none"
    done = here("links", home=tmp_path, DBUS_SYSTEM_BUS_ADDRESS=missing)
    assert done.status == 0
    assert "switch Bluetooth on" in done.complaints[-1]
