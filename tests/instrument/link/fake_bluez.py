"""A private message bus with an org.bluez of our own on it: Bluetooth without a radio.

bleak's own backend talks to it unchanged, by DBUS_SYSTEM_BUS_ADDRESS. The module in fake_module.py
is the radio's other end.

    with FakeBluez(tmp_path) as bluez:
        monkeypatch.setenv("DBUS_SYSTEM_BUS_ADDRESS", bluez.bus)
        module = bluez.add(Module("Sandpiper"))
"""

from __future__ import annotations

import asyncio
import subprocess
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Literal

from dbus_fast import BusType, Message
from dbus_fast.aio import MessageBus

from instrument.link.fake_module import Module
from instrument.link.fake_objects import (
    ADAPTER,
    INTERVAL_S,
    Adapter,
    Device,
    GattCharacteristic,
    Service,
)

State = Literal["on", "off", "missing", "classic", "forbidden", "no service"]
ADVERTISING_S = 0.05
AT_ONCE = 16  # packets; dbus-fast drops what a full socket does not take

BUS = """<!DOCTYPE busconfig PUBLIC "-//freedesktop//DTD D-Bus Bus Configuration 1.0//EN"
 "http://www.freedesktop.org/standards/dbus/1.0/busconfig.dtd">
<busconfig><type>session</type><listen>unix:path={socket}</listen><auth>EXTERNAL</auth>
<policy context="default"><allow user="*"/><allow own="*"/><allow send_type="method_call"/>
<allow send_type="signal"/><allow send_requested_reply="true" send_type="method_return"/>
<allow send_requested_reply="true" send_type="error"/><allow receive_type="method_call"/>
<allow receive_type="method_return"/><allow receive_type="error"/><allow receive_type="signal"/>
{more}</policy></busconfig>"""


class FakeBluez:
    """The daemon and the service, until the `with` block ends."""

    def __init__(self, folder: Path, state: State = "on") -> None:
        self._folder, self._state = folder, state
        self._socket = folder / "bus"
        self.bus = f"unix:path={self._socket}"
        self._devices: dict[str, Device] = {}
        self._modules: list[Module] = []
        self._daemon: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> FakeBluez:
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

    def hold(self, module: Module) -> None:
        """Connected for a program that was killed: the system does not let go by itself."""

        def work() -> None:
            device = self._shown(module)
            self._resolve(device)
            device.became(True)

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
            name, path = "org.freedesktop.DBus", "/org/freedesktop/DBus"
            reply = await self._bus.call(Message(name, path, name, "ListNames"))
            return sum(name.startswith(":") for name in reply.body[0])

        return asyncio.run_coroutine_threadsafe(ask(), self._loop).result()

    def _resolve(self, device: Device) -> None:
        path = f"{device.path}/service000a"
        if path in self._gatt:
            return
        self._gatt.add(path)
        self._bus.export(path, Service(device, device.module.service))
        for k, is_ in enumerate(device.module.characteristics):
            characteristic = GattCharacteristic(path, device, is_)
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
        self._adapter = Adapter(self._state != "off", roles)
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
                device = self._shown(module)
                if not device.connected:
                    device.emit_properties_changed({"RSSI": module.rssi})

    def _shown(self, module: Module) -> Device:
        if module.address not in self._devices:
            device = self._devices[module.address] = Device(module, self._resolve)
            self._bus.export(device.path, device)
        return self._devices[module.address]

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
