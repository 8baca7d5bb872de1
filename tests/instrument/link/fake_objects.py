"""The objects of a fake org.bluez, as far as bleak looks at them."""

# no `from __future__ import annotations`: dbus-fast reads the annotations as they are
import asyncio
from collections.abc import Callable
from typing import Annotated

from dbus_fast import DBusError
from dbus_fast.annotations import (
    DBusBool,
    DBusBytes,
    DBusDict,
    DBusInt16,
    DBusObjectPath,
    DBusSignature,
    DBusStr,
    DBusUInt16,
)
from dbus_fast.constants import PropertyAccess
from dbus_fast.service import ServiceInterface, dbus_method, dbus_property

from instrument.link.fake_module import Characteristic, Module

ADAPTER = "/org/bluez/hci0"
READ = PropertyAccess.READ
Strings = Annotated[list[str], DBusSignature("as")]
INTERVAL_S = 0.01  # between two connection events
CONNECTING_S = 0.02


class Adapter(ServiceInterface):
    def __init__(self, powered: bool, roles: list[str]) -> None:
        super().__init__("org.bluez.Adapter1")
        self.powered, self._roles = powered, roles
        self.discovering = 0

    @dbus_property(READ)
    def Address(self) -> DBusStr:
        return "00:00:5E:00:53:00"

    @dbus_property(READ)
    def Powered(self) -> DBusBool:
        return self.powered

    @dbus_property(READ)
    def Roles(self) -> Strings:
        return self._roles

    @dbus_method()
    def SetDiscoveryFilter(self, _: DBusDict) -> None:
        pass

    @dbus_method()
    def StartDiscovery(self) -> None:
        if not self.powered:
            raise DBusError("org.bluez.Error.NotReady", "Resource Not Ready")
        self.discovering += 1

    @dbus_method()
    def StopDiscovery(self) -> None:
        self.discovering = max(0, self.discovering - 1)


class Device(ServiceInterface):
    """resolve puts the module's services on the bus."""

    def __init__(self, module: Module, resolve: Callable[["Device"], None]) -> None:
        super().__init__("org.bluez.Device1")
        self.module, self._resolve = module, resolve
        self.path = f"{ADAPTER}/dev_{module.address.replace(':', '_')}"
        self.connected = self.resolved = self._connecting = False

    @dbus_property(READ)
    def Address(self) -> DBusStr:
        return self.module.address

    @dbus_property(READ)
    def Name(self) -> DBusStr:
        return self.module.name

    @dbus_property(READ)
    def Alias(self) -> DBusStr:
        return self.module.name

    @dbus_property(READ)
    def Adapter(self) -> DBusObjectPath:
        return ADAPTER

    @dbus_property(READ)
    def RSSI(self) -> DBusInt16:
        return self.module.rssi

    @dbus_property(READ)
    def UUIDs(self) -> Strings:
        return [self.module.service]

    @dbus_property(READ)
    def Paired(self) -> DBusBool:
        return False

    @dbus_property(READ)
    def Connected(self) -> DBusBool:
        return self.connected

    @dbus_property(READ)
    def ServicesResolved(self) -> DBusBool:
        return self.resolved

    @dbus_method()
    async def Connect(self) -> None:
        self._connecting = True
        await asyncio.sleep(CONNECTING_S)
        while self._connecting and not (self.module.in_reach and self.module.answers):
            await asyncio.sleep(CONNECTING_S)
        if not self._connecting:
            raise DBusError("org.bluez.Error.Failed", "Operation already in progress")
        self._resolve(self)
        self.became(True)

    @dbus_method()
    def Disconnect(self) -> None:
        self._connecting = False
        self.became(False)

    def became(self, connected: bool) -> None:
        self.connected = self.resolved = connected
        self.module.linked(connected)
        self.emit_properties_changed({"Connected": connected, "ServicesResolved": connected})


class Service(ServiceInterface):
    def __init__(self, device: Device, uuid: str) -> None:
        super().__init__("org.bluez.GattService1")
        self._device, self._uuid = device, uuid

    @dbus_property(READ)
    def UUID(self) -> DBusStr:
        return self._uuid

    @dbus_property(READ)
    def Primary(self) -> DBusBool:
        return True

    @dbus_property(READ)
    def Device(self) -> DBusObjectPath:
        return self._device.path


class GattCharacteristic(ServiceInterface):
    def __init__(self, service: str, device: Device, is_: Characteristic) -> None:
        super().__init__("org.bluez.GattCharacteristic1")
        self._service, self._device, self._is = service, device, is_
        self._module = device.module
        self._value = b""

    @dbus_property(READ)
    def UUID(self) -> DBusStr:
        return self._is.uuid

    @dbus_property(READ)
    def Service(self) -> DBusObjectPath:
        return self._service

    @dbus_property(READ)
    def Flags(self) -> Strings:
        return list(self._is.flags)

    @dbus_property(READ)
    def MTU(self) -> DBusUInt16:
        return self._module.mtu

    @dbus_property(READ)
    def Value(self) -> DBusBytes:
        return self._value

    @dbus_method()
    def StartNotify(self) -> None:
        if not {"notify", "indicate"} & set(self._is.flags):
            raise DBusError("org.bluez.Error.NotSupported", "Operation is not supported")
        self._module.subscribed = self

    @dbus_method()
    async def WriteValue(self, value: DBusBytes, options: DBusDict) -> None:
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
