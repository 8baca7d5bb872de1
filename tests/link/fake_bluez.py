"""A private message bus with an org.bluez of our own on it: Bluetooth without a radio.

bleak's own backend talks to it unchanged, by DBUS_SYSTEM_BUS_ADDRESS. The module in fake_module.py
is the radio's other end.

    with FakeBluez(tmp_path) as bluez:
        monkeypatch.setenv("DBUS_SYSTEM_BUS_ADDRESS", bluez.bus)
        module = bluez.add(Module("Sandpiper"))
"""

# no `from __future__ import annotations`: dbus-fast reads the annotations as they are
import asyncio
import subprocess
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, Literal

from dbus_fast import BusType, DBusError
from dbus_fast.aio import MessageBus
from dbus_fast.annotations import DBusBool, DBusBytes, DBusDict, DBusInt16, DBusSignature, DBusStr
from dbus_fast.annotations import DBusUInt16 as DBusUInt16
from dbus_fast.constants import PropertyAccess
from dbus_fast.service import ServiceInterface, dbus_method, dbus_property

from link.fake_module import Characteristic, Module

ADAPTER = "/org/bluez/hci0"
READ = PropertyAccess.READ
Strings = Annotated[list[str], DBusSignature("as")]
Path_ = Annotated[str, DBusSignature("o")]
State = Literal["on", "off", "missing", "classic", "forbidden", "no service"]
ADVERTISING_S = 0.05
INTERVAL_S = 0.01  # between two connection events
CONNECTING_S = 0.02
AT_ONCE = 16  # packets; dbus-fast drops what a full socket does not take

BUS = """<!DOCTYPE busconfig PUBLIC "-//freedesktop//DTD D-Bus Bus Configuration 1.0//EN"
 "http://www.freedesktop.org/standards/dbus/1.0/busconfig.dtd">
<busconfig><type>session</type><listen>unix:path={socket}</listen><auth>EXTERNAL</auth>
<policy context="default"><allow user="*"/><allow own="*"/><allow send_type="method_call"/>
<allow send_type="signal"/><allow send_requested_reply="true" send_type="method_return"/>
<allow send_requested_reply="true" send_type="error"/><allow receive_type="method_call"/>
<allow receive_type="method_return"/><allow receive_type="error"/><allow receive_type="signal"/>
{more}</policy></busconfig>"""


class Adapter(ServiceInterface):
    def __init__(self, bluez: "FakeBluez", powered: bool, roles: list[str]) -> None:
        super().__init__("org.bluez.Adapter1")
        self._bluez, self.powered, self._roles = bluez, powered, roles
        self.discovering = 0

    @dbus_property(READ)
    def Address(self) -> DBusStr:  # noqa: N802 - D-Bus names it so
        return "00:00:5E:00:53:00"

    @dbus_property(READ)
    def Powered(self) -> DBusBool:  # noqa: N802
        return self.powered

    @dbus_property(READ)
    def Roles(self) -> Strings:  # noqa: N802
        return self._roles

    @dbus_method()
    def SetDiscoveryFilter(self, _: DBusDict) -> None:  # noqa: N802
        pass

    @dbus_method()
    def StartDiscovery(self) -> None:  # noqa: N802
        if not self.powered:
            raise DBusError("org.bluez.Error.NotReady", "Resource Not Ready")
        self.discovering += 1

    @dbus_method()
    def StopDiscovery(self) -> None:  # noqa: N802
        self.discovering = max(0, self.discovering - 1)


class Device(ServiceInterface):
    def __init__(self, bluez: "FakeBluez", module: Module) -> None:
        super().__init__("org.bluez.Device1")
        self._bluez, self._module = bluez, module
        self.path = f"{ADAPTER}/dev_{module.address.replace(':', '_')}"
        self.connected = self.resolved = self._connecting = False

    @dbus_property(READ)
    def Address(self) -> DBusStr:  # noqa: N802
        return self._module.address

    @dbus_property(READ)
    def Name(self) -> DBusStr:  # noqa: N802
        return self._module.name

    @dbus_property(READ)
    def Alias(self) -> DBusStr:  # noqa: N802
        return self._module.name

    @dbus_property(READ)
    def Adapter(self) -> Path_:  # noqa: N802
        return ADAPTER

    @dbus_property(READ)
    def RSSI(self) -> DBusInt16:  # noqa: N802
        return self._module.rssi

    @dbus_property(READ)
    def UUIDs(self) -> Strings:  # noqa: N802
        return [self._module.service]

    @dbus_property(READ)
    def Paired(self) -> DBusBool:  # noqa: N802
        return False

    @dbus_property(READ)
    def Connected(self) -> DBusBool:  # noqa: N802
        return self.connected

    @dbus_property(READ)
    def ServicesResolved(self) -> DBusBool:  # noqa: N802
        return self.resolved

    @dbus_method()
    async def Connect(self) -> None:  # noqa: N802
        self._connecting = True
        await asyncio.sleep(CONNECTING_S)
        while self._connecting and not (self._module.in_reach and self._module.answers):
            await asyncio.sleep(CONNECTING_S)
        if not self._connecting:
            raise DBusError("org.bluez.Error.Failed", "Operation already in progress")
        self._bluez.resolve(self, self._module)
        self.became(True)

    @dbus_method()
    def Disconnect(self) -> None:  # noqa: N802
        self._connecting = False
        self.became(False)

    def became(self, connected: bool) -> None:
        self.connected = self.resolved = connected
        self._module.linked(connected)
        self.emit_properties_changed({"Connected": connected, "ServicesResolved": connected})


class Service(ServiceInterface):
    def __init__(self, device: Device, uuid: str) -> None:
        super().__init__("org.bluez.GattService1")
        self._device, self._uuid = device, uuid

    @dbus_property(READ)
    def UUID(self) -> DBusStr:  # noqa: N802
        return self._uuid

    @dbus_property(READ)
    def Primary(self) -> DBusBool:  # noqa: N802
        return True

    @dbus_property(READ)
    def Device(self) -> Path_:  # noqa: N802
        return self._device.path


class GattCharacteristic(ServiceInterface):
    def __init__(self, service: str, device: Device, module: Module, is_: Characteristic) -> None:
        super().__init__("org.bluez.GattCharacteristic1")
        self._service, self._device, self._module, self._is = service, device, module, is_
        self._value = b""

    @dbus_property(READ)
    def UUID(self) -> DBusStr:  # noqa: N802
        return self._is.uuid

    @dbus_property(READ)
    def Service(self) -> Path_:  # noqa: N802
        return self._service

    @dbus_property(READ)
    def Flags(self) -> Strings:  # noqa: N802
        return list(self._is.flags)

    @dbus_property(READ)
    def MTU(self) -> DBusUInt16:  # noqa: N802
        return self._module.mtu

    @dbus_property(READ)
    def Value(self) -> DBusBytes:  # noqa: N802
        return self._value

    @dbus_method()
    def StartNotify(self) -> None:  # noqa: N802
        if not {"notify", "indicate"} & set(self._is.flags):
            raise DBusError("org.bluez.Error.NotSupported", "Operation is not supported")
        self._module.subscribed = self

    @dbus_method()
    async def WriteValue(self, value: DBusBytes, options: DBusDict) -> None:  # noqa: N802
        if not self._device.connected:
            raise DBusError("org.bluez.Error.Failed", "Not connected")
        kind = options["type"].value
        if kind == "command" and len(value) > self._module.mtu - 3:
            raise DBusError("org.bluez.Error.Failed", "Failed to initiate write")
        if kind == "request":
            await asyncio.sleep(2 * INTERVAL_S)
            if not self._device.connected:
                raise DBusError("org.bluez.Error.Failed", "Operation failed with ATT error: 0x0e")
        self._module.written(self._is.uuid, bytes(value), kind)

    def notify(self, value: bytes) -> None:
        self._value = value
        self.emit_properties_changed({"Value": value})


class FakeBluez:
    """The daemon and the service, until the `with` block ends."""

    def __init__(self, folder: Path, state: State = "on") -> None:
        self._folder, self._state = folder, state
        self._socket = folder / "bus"
        self.bus = f"unix:path={self._socket}"
        self._devices: dict[str, Device] = {}
        self._modules: list[Module] = []
        self._daemon: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> "FakeBluez":
        self.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()

    def start(self) -> None:
        deny = '<deny send_destination="org.bluez"/>' if self._state == "forbidden" else ""
        config = self._folder / "bus.conf"
        config.write_text(BUS.format(socket=self._socket, more=deny))
        # setpriv: the daemon ends with this process, however that ends
        command = ["setpriv", "--pdeathsig", "TERM", "dbus-daemon", "--nofork", "--nopidfile"]
        self._daemon = subprocess.Popen(
            [*command, f"--config-file={config}", "--print-address"], stdout=subprocess.PIPE
        )
        assert self._daemon.stdout is not None
        assert self._daemon.stdout.readline().startswith(b"unix:"), "the bus did not start"
        self._devices.clear()
        started = threading.Event()
        self._thread = threading.Thread(target=lambda: asyncio.run(self._serve(started)))
        self._thread.start()
        assert started.wait(10.0), "the fake service did not start"

    def stop(self) -> None:
        """The daemon dies and takes the service with it; `start` brings both back."""
        if self._daemon is None:
            return
        daemon, self._daemon = self._daemon, None
        self._loop.call_soon_threadsafe(self._ending.set)
        self._thread.join()
        daemon.kill()
        daemon.communicate()
        self._socket.unlink(missing_ok=True)

    def add(self, module: Module) -> Module:
        """In reach from now on."""
        self._modules.append(module)
        return module

    def drop(self, module: Module, *, in_reach: bool = False) -> None:
        """The connection breaks and the system notices."""

        def work() -> None:
            module.in_reach = in_reach
            self._devices[module.address].became(False)

        self._in_loop(work)

    def remove(self, module: Module) -> None:
        """The system forgets the device, without a word of the connection."""
        self._in_loop(lambda: self._forget(module))

    def power(self, on: bool) -> None:
        def work() -> None:
            self._adapter.powered = on
            self._adapter.emit_properties_changed({"Powered": on})
            for device in self._devices.values():
                if device.connected and not on:
                    device.became(False)

        self._in_loop(work)

    def clients(self) -> int:
        """Connections to the bus, the fake's own and this question's included."""

        async def ask() -> int:
            reply = await self._bus.call(_list_names())
            return sum(name.startswith(":") for name in reply.body[0])

        return asyncio.run_coroutine_threadsafe(ask(), self._loop).result()

    def resolve(self, device: Device, module: Module) -> None:
        path = f"{device.path}/service000a"
        if path in self._gatt:
            return
        self._gatt.add(path)
        self._bus.export(path, Service(device, module.service))
        for k, is_ in enumerate(module.characteristics):
            characteristic = GattCharacteristic(path, device, module, is_)
            self._bus.export(f"{path}/char{0x0B + 2 * k:04x}", characteristic)

    def _in_loop(self, work: Callable[[], object]) -> None:
        async def run() -> None:
            work()

        asyncio.run_coroutine_threadsafe(run(), self._loop).result()

    async def _serve(self, started: threading.Event) -> None:
        self._loop, self._ending = asyncio.get_running_loop(), asyncio.Event()
        self._gatt: set[str] = set()
        self._bus = await MessageBus(bus_address=self.bus, bus_type=BusType.SYSTEM).connect()
        if self._state != "no service":
            await self._bus.request_name("org.bluez")
        roles = ["peripheral"] if self._state == "classic" else ["central", "peripheral"]
        self._adapter = Adapter(self, self._state != "off", roles)
        if self._state != "missing":
            self._bus.export(ADAPTER, self._adapter)
        work = [asyncio.create_task(self._advertise()), asyncio.create_task(self._radio())]
        started.set()
        await self._ending.wait()
        for task in work:
            task.cancel()
        self._bus.disconnect()

    async def _advertise(self) -> None:
        while True:
            await asyncio.sleep(ADVERTISING_S)
            for module in self._modules:
                if not (self._adapter.discovering and self._adapter.powered and module.in_reach):
                    continue
                device = self._devices.get(module.address)
                if device is None:
                    device = self._devices[module.address] = Device(self, module)
                    self._bus.export(device.path, device)
                if not device.connected:
                    device.emit_properties_changed({"RSSI": module.rssi})

    async def _radio(self) -> None:
        while True:
            await asyncio.sleep(INTERVAL_S)
            for module in self._modules:
                listener = module.subscribed
                if listener is not None and module.in_reach:
                    for k, packet in enumerate(module.packets(), 1):
                        listener.notify(packet)
                        if k % AT_ONCE == 0:
                            await asyncio.sleep(0.001)

    def _forget(self, module: Module) -> None:
        device = self._devices.pop(module.address)
        module.linked(False)
        for path in [p for p in self._gatt if p.startswith(device.path)]:
            for k in range(len(module.characteristics)):
                self._bus.unexport(f"{path}/char{0x0B + 2 * k:04x}")
            self._bus.unexport(path)
            self._gatt.discard(path)
        self._bus.unexport(device.path)


def _list_names() -> Any:
    from dbus_fast import Message

    name = "org.freedesktop.DBus"
    return Message(
        destination=name, path="/org/freedesktop/DBus", interface=name, member="ListNames"
    )
