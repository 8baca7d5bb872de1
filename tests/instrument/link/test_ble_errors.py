"""Each reason why Bluetooth does not work has its own sentence, fit for the user's system."""

from __future__ import annotations

import pytest
from bleak.exc import (
    BleakBluetoothNotAvailableError,
    BleakBluetoothNotAvailableReason,
    BleakDBusError,
    BleakDeviceNotFoundError,
    BleakError,
    BleakGATTProtocolError,
)

from unspool.instrument.link.ble_errors import why_not

SYSTEMS = ["linux", "darwin", "win32", "freebsd14"]
Reason = BleakBluetoothNotAvailableReason


def unavailable(reason: Reason, system: str) -> str:
    return why_not(BleakBluetoothNotAvailableError("text", reason), "Car", system)


@pytest.mark.parametrize("system", SYSTEMS)
def test_reasons_do_not_share_a_sentence(system: str) -> None:
    said = {unavailable(reason, system) for reason in Reason}
    denied = 3  # by whom it was denied changes nothing for the user
    assert len(said) == len(Reason) - denied + 1
    assert all("; " in sentence and "\n" not in sentence for sentence in said)


@pytest.mark.parametrize(
    ("reason", "system", "words"),
    [
        (Reason.NO_BLUETOOTH, "linux", "bluetoothctl list"),
        (Reason.NO_BLUETOOTH, "win32", "Device Manager"),
        (Reason.NO_BLE_CENTRAL_ROLE, "linux", "Bluetooth 4.0 or newer"),
        (Reason.POWERED_OFF, "linux", "bluetoothctl power on"),
        (Reason.POWERED_OFF, "darwin", "System Settings > Bluetooth"),
        (Reason.POWERED_OFF, "win32", "Bluetooth & devices"),
        (Reason.DENIED_BY_USER, "darwin", "Privacy & Security > Bluetooth"),
        (Reason.DENIED_BY_SYSTEM, "linux", "usermod -aG bluetooth"),
        (Reason.DENIED_BY_UNKNOWN, "win32", "Radios"),
    ],
)
def test_what_to_do_about_it(reason: Reason, system: str, words: str) -> None:
    assert words in unavailable(reason, system)


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (BleakDBusError("org.freedesktop.DBus.Error.AccessDenied", []), "may not use Bluetooth"),
        (BleakDBusError("org.freedesktop.DBus.Error.ServiceUnknown", []), "systemctl start"),
        (BleakDBusError("org.freedesktop.DBus.Error.NameHasNoOwner", []), "systemctl start"),
        (BleakDBusError("org.bluez.Error.NotReady", []), "Bluetooth is off"),
        (BleakDBusError("org.freedesktop.DBus.Error.UnknownObject", []), "no Bluetooth device"),
        (BleakDBusError("org.bluez.Error.Failed", ["br-busy"]), "br-busy"),
        (BleakDeviceNotFoundError("00:00"), "no Bluetooth device called Car"),
        (BleakGATTProtocolError(0x05), "paired first"),
        (BleakGATTProtocolError(0x0E), "Unlikely Error"),
        (BleakError("Not connected"), "Not connected"),
        (TimeoutError(), "did not answer in time"),
        (ConnectionRefusedError(111, "refused"), "switch Bluetooth on"),
        (FileNotFoundError(2, "no"), "switch Bluetooth on"),
        (EOFError(), "EOFError"),
        (AssertionError(), "AssertionError"),
    ],
)
def test_errors_of_the_system(error: Exception, words: str) -> None:
    sentence = why_not(error, "Car", "linux")
    assert words in sentence
    assert "\n" not in sentence


def test_no_bus_is_a_matter_of_linux() -> None:
    assert "bus" not in why_not(OSError(22, "Element not found"), "Car", "win32")
