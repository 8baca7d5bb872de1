"""Why Bluetooth does not work now, in one sentence with what to do, for readers of any language."""

from __future__ import annotations

import sys
from collections.abc import Mapping

from unspool.errors import LinkError
from unspool.language import Phrase, later

# Each by the system that it is said on; "" stands for any other.
_MISSING = {
    "linux": later("plug in a USB Bluetooth adapter (4.0 or newer), and see `bluetoothctl list`"),
    "darwin": later("this Mac has none that programs may use; use a cable"),
    "win32": later("plug in a USB Bluetooth adapter (4.0 or newer), and see the Device Manager"),
    "": later("plug in a USB Bluetooth adapter (4.0 or newer)"),
}
_OFF = {
    "linux": later(
        "turn it on with `bluetoothctl power on`, and if that is refused first"
        " `rfkill unblock bluetooth`"
    ),
    "darwin": later("turn it on in the menu bar or in System Settings > Bluetooth"),
    "win32": later("turn it on in Settings > Bluetooth & devices, and leave aeroplane mode"),
    "": later("turn it on in the system's settings"),
}
_FORBIDDEN = {
    "linux": later(
        "`sudo usermod -aG bluetooth $USER` and a new login give the right on most systems"
    ),
    "darwin": later(
        "allow it for your terminal in System Settings > Privacy & Security > Bluetooth, and start"
        " the terminal again"
    ),
    "win32": later(
        "allow it in Settings > Privacy & security > Radios, or ask the person who looks after this"
        " computer"
    ),
    "": later("ask the person who looks after this computer"),
}
_NO_SERVICE = later(
    "the system's Bluetooth service is not running; `sudo systemctl start bluetooth` starts it,"
    " and the package is called bluez if it is missing"
)
_NO_BUS = later(
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
            return error.sentence
        case BleakBluetoothNotAvailableError():
            return _unavailable(error.reason.name, system)
        case BleakDBusError():
            return _refused(error.dbus_error, str(error), name, system)
        case BleakDeviceNotFoundError():
            return not_found(name)
        case BleakGATTProtocolError() if int(error.code) in _PAIRING:
            return Phrase(
                "{name} wants to be paired first: do so once in the system's Bluetooth settings",
                name=name,
            )
        case TimeoutError():
            return Phrase(
                "{name} did not answer in time; go nearer, and look at the battery of its board",
                name=name,
            )
        case OSError() if system == "linux":
            return Phrase(_NO_BUS)
        case _:
            return _failed(name, str(error) or type(error).__name__)


def not_found(name: str) -> str:
    return Phrase(
        "no Bluetooth device called {name} is in reach; switch its board on, go nearer, end other"
        " programs and phones that are connected with it, and see `unspool links`",
        name=name,
    )


def namesakes(name: str, addresses: list[str]) -> str:
    return Phrase(
        "{count} Bluetooth devices called {name} are in reach ({addresses}); say which one by its"
        " address, as in ble:{first}",
        count=len(addresses),
        name=name,
        addresses=", ".join(sorted(addresses)),
        first=min(addresses),
    )


def dropped(name: str) -> str:
    return Phrase(
        "{name} is out of reach or switched off; the edges wait on the board and are fetched when"
        " it is back",
        name=name,
    )


def silent(name: str, seconds: float, ever: bool) -> str:
    if ever:
        return Phrase(
            "nothing has come from {name} for {seconds} s though the system calls it connected;"
            " connecting again, the edges wait on the board meanwhile",
            name=name,
            seconds=format(seconds, "g"),
        )
    return Phrase(
        "{name} is connected but the board behind it says nothing; check the board's power, that"
        " its wires TX and RX are crossed, and the module's 115200 baud",
        name=name,
    )


def _unavailable(reason: str, system: str) -> str:
    match reason:
        case "NO_BLUETOOTH":
            return Phrase("this computer has no Bluetooth; {help}", help=_on(system, _MISSING))
        case "NO_BLE_CENTRAL_ROLE":
            return Phrase(
                "this computer has no Bluetooth Low Energy; its adapter is too old: plug in one"
                " with Bluetooth 4.0 or newer"
            )
        case "POWERED_OFF":
            return Phrase("Bluetooth is off; {help}", help=_on(system, _OFF))
        case "UNKNOWN":
            return Phrase(
                "Bluetooth is not ready; {help}, or wait a moment", help=_on(system, _OFF)
            )
        case _:
            return Phrase("this user may not use Bluetooth; {help}", help=_on(system, _FORBIDDEN))


def _refused(kind: str, text: str, name: str, system: str) -> str:
    """An error that the Bluetooth service of Linux, or the bus before it, answered with."""
    match kind.rpartition(".")[2]:
        case "AccessDenied":
            return _unavailable("DENIED_BY_SYSTEM", system)
        case "ServiceUnknown" | "NameHasNoOwner" | "NoReply":
            return Phrase(_NO_SERVICE)
        case "NotReady":
            return _unavailable("POWERED_OFF", system)
        case "UnknownObject" | "DoesNotExist":
            return not_found(name)
        case _:
            return _failed(name, text)


def _failed(name: str, text: str) -> str:
    return Phrase(
        "{name} cannot be reached by Bluetooth now ({reason}); go nearer and try again",
        name=name,
        reason=text,
    )


def _on(system: str, words: Mapping[str, str]) -> Phrase:
    return Phrase(words.get(system, words[""]))
