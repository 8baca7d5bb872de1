"""Why Bluetooth does not work now, in one sentence with what to do."""

from __future__ import annotations

import sys
from collections.abc import Mapping

from unspool.errors import LinkError

# Each by the system that it is said on; "" stands for any other.
_MISSING = {
    "linux": "plug in a USB Bluetooth adapter (4.0 or newer), and see `bluetoothctl list`",
    "darwin": "this Mac has none that programs may use; use a cable",
    "win32": "plug in a USB Bluetooth adapter (4.0 or newer), and see the Device Manager",
    "": "plug in a USB Bluetooth adapter (4.0 or newer)",
}
_CLASSIC = "its adapter is too old: plug in one with Bluetooth 4.0 or newer"
_OFF = {
    "linux": "turn it on with `bluetoothctl power on`, and if that is refused first"
    " `rfkill unblock bluetooth`",
    "darwin": "turn it on in the menu bar or in System Settings > Bluetooth",
    "win32": "turn it on in Settings > Bluetooth & devices, and leave aeroplane mode",
    "": "turn it on in the system's settings",
}
_FORBIDDEN = {
    "linux": "`sudo usermod -aG bluetooth $USER` and a new login give the right on most systems",
    "darwin": "allow it for your terminal in System Settings > Privacy & Security > Bluetooth,"
    " and start the terminal again",
    "win32": "allow it in Settings > Privacy & security > Radios, or ask the person who looks after"
    " this computer",
    "": "ask the person who looks after this computer",
}
_NO_SERVICE = (
    "the system's Bluetooth service is not running; `sudo systemctl start bluetooth` starts it,"
    " and the package is called bluez if it is missing"
)
_NO_BUS = (
    "this computer's Bluetooth does not answer: switch Bluetooth on, or restart the computer, or"
    " use the cable. In a container, pass /run/dbus in"
)
_PAIRING = 0x05, 0x08, 0x0C, 0x0F  # ATT errors: authentication, authorization, key size, encryption


def why_not(error: BaseException, name: str, system: str = sys.platform) -> str:
    """name: the device that was wanted. error: anything that bleak or its backend raised."""
    from bleak.exc import (
        BleakBluetoothNotAvailableError,
        BleakDBusError,
        BleakDeviceNotFoundError,
        BleakGATTProtocolError,
    )

    match error:
        case LinkError():
            return str(error)
        case BleakBluetoothNotAvailableError():
            return _unavailable(error.reason.name, system)
        case BleakDBusError():
            return _refused(error.dbus_error, str(error), name, system)
        case BleakDeviceNotFoundError():
            return not_found(name)
        case BleakGATTProtocolError() if int(error.code) in _PAIRING:
            return f"{name} wants to be paired first: do so once in the system's Bluetooth settings"
        case TimeoutError():
            return f"{name} did not answer in time; go nearer, and look at the battery of its board"
        case OSError() if system == "linux":
            return _NO_BUS
        case _:
            return _failed(name, str(error) or type(error).__name__)


def not_found(name: str) -> str:
    return (
        f"no Bluetooth device called {name} is in reach; switch its board on, go nearer, end other"
        " programs and phones that are connected with it, and see `unspool links`"
    )


def namesakes(name: str, addresses: list[str]) -> str:
    return (
        f"{len(addresses)} Bluetooth devices called {name} are in reach"
        f" ({', '.join(sorted(addresses))}); say which one by its address, as in"
        f" ble:{min(addresses)}"
    )


def dropped(name: str) -> str:
    return (
        f"{name} is out of reach or switched off; the edges wait on the board and are fetched when"
        " it is back"
    )


def silent(name: str, seconds: float, ever: bool) -> str:
    if ever:
        return (
            f"nothing has come from {name} for {seconds:g} s though the system calls it connected;"
            " connecting again, the edges wait on the board meanwhile"
        )
    return (
        f"{name} is connected but the board behind it says nothing; check the board's power, that"
        " its wires TX and RX are crossed, and the module's 115200 baud"
    )


def _unavailable(reason: str, system: str) -> str:
    match reason:
        case "NO_BLUETOOTH":
            return f"this computer has no Bluetooth; {_on(system, _MISSING)}"
        case "NO_BLE_CENTRAL_ROLE":
            return f"this computer has no Bluetooth Low Energy; {_CLASSIC}"
        case "POWERED_OFF":
            return f"Bluetooth is off; {_on(system, _OFF)}"
        case "UNKNOWN":
            return f"Bluetooth is not ready; {_on(system, _OFF)}, or wait a moment"
        case _:
            return f"this user may not use Bluetooth; {_on(system, _FORBIDDEN)}"


def _refused(kind: str, text: str, name: str, system: str) -> str:
    """An error that the Bluetooth service of Linux, or the bus before it, answered with."""
    match kind.rpartition(".")[2]:
        case "AccessDenied":
            return _unavailable("DENIED_BY_SYSTEM", system)
        case "ServiceUnknown" | "NameHasNoOwner" | "NoReply":
            return _NO_SERVICE
        case "NotReady":
            return _unavailable("POWERED_OFF", system)
        case "UnknownObject" | "DoesNotExist":
            return not_found(name)
        case _:
            return _failed(name, text)


def _failed(name: str, text: str) -> str:
    return f"{name} cannot be reached by Bluetooth now ({text}); go nearer and try again"


def _on(system: str, words: Mapping[str, str]) -> str:
    return words.get(system, words[""])
