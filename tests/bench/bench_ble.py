"""Bluetooth without a radio beside a pseudo-terminal: what the way carries, how soon it resumes.

The fake BlueZ carries bytes as fast as it is asked to. So the throughput is that of bleak, the
message bus and the link. A real radio's is far below it. Each way is kept filled: a terminal holds
one piece, the fake module ten. The resume is at the planned 2 kB/s in
packets of 20 bytes, as with the slowest common modules.
"""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median

from bench.figures import Figure
from board_rig import Tapped, powered, recording, wait_for
from instrument.link.fake_bluez import FakeBluez
from instrument.link.fake_module import Module
from unspool.instrument.link import Link
from unspool.instrument.link.ble import BleLink
from unspool.instrument.link.ble_address import BleAddress
from unspool.instrument.link.serial import SerialLink
from unspool.store import Store
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal

PIECE = bytes(range(1, 201)) * 10
PIECES = 200
UNLIMITED = 1e9
OUTAGES = 5
OUTAGE_S = 3.0  # longer than the board waits for a host before it stops sending
EDGES = [(0.01 * k, 1) for k in range(10_000)]


@contextmanager
def bluetooth() -> Iterator[FakeBluez]:
    with tempfile.TemporaryDirectory() as folder, FakeBluez(Path(folder)) as bluez:
        before = os.environ.get("DBUS_SYSTEM_BUS_ADDRESS")
        os.environ["DBUS_SYSTEM_BUS_ADDRESS"] = bluez.bus
        try:
            yield bluez
        finally:
            if before is None:
                del os.environ["DBUS_SYSTEM_BUS_ADDRESS"]
            else:
                os.environ["DBUS_SYSTEM_BUS_ADDRESS"] = before


def throughput(link: Link, send: Callable[[bytes], None], ahead: int) -> float:
    """Bytes a second from the board's end to the reader, with `ahead` pieces on their way."""
    link.open()
    start = time.perf_counter()
    for _ in range(PIECES // ahead):
        send(PIECE * ahead)
        left = len(PIECE) * ahead
        while left > 0:
            left -= len(link.read(5.0))
    taken = time.perf_counter() - start
    link.close()
    return PIECES * len(PIECE) / taken


def ble_throughput(mtu: int) -> float:
    with bluetooth() as bluez:
        module = bluez.add(Module(mtu=mtu, rate=UNLIMITED, buffer=10 * len(PIECE)))
        return throughput(BleLink(BleAddress(module.address)), module.send, 10)


def serial_throughput() -> float:
    terminal = PseudoTerminal()
    try:
        return throughput(SerialLink(terminal.port), terminal.send, 1)
    finally:
        terminal.close()


def resumed_s(line: Tapped, link: Link, cut: Callable[[], None], mend: Callable[[], None]) -> float:
    """From the link's return to the last edge of the outage in the store; the median of some."""
    taken: list[float] = []
    with (
        tempfile.TemporaryDirectory() as folder,
        Store.open(Path(folder) / "s") as store,
        powered(line, EDGES, 1.0) as board,
        recording(link, store),
    ):
        for _ in range(OUTAGES):
            wait_for(lambda: 0 < board.played - 30 < line.acknowledged, "the host")
            cut()
            time.sleep(OUTAGE_S)
            there, start = board.played, time.perf_counter()
            mend()
            wait_for(lambda there=there: line.acknowledged >= there, "the edges")
            taken.append(time.perf_counter() - start)
    return median(taken)


def ble_resume() -> float:
    with bluetooth() as bluez:
        module = bluez.add(Module())

        def mend() -> None:
            module.in_reach = True

        link = BleLink(BleAddress("Sandpiper"))
        return resumed_s(Tapped(module), link, lambda: bluez.drop(module), mend)


def serial_resume() -> float:
    with tempfile.TemporaryDirectory() as folder:
        terminal = PseudoTerminal(Path(folder) / "board")
        try:
            link = SerialLink(terminal.port)
            return resumed_s(Tapped(terminal), link, terminal.unplug, terminal.plug)
        finally:
            terminal.close()


def figures() -> Iterable[Figure]:
    serial = serial_throughput() / 1000
    for mtu in (23, 247):
        carried = ble_throughput(mtu) / 1000
        yield Figure(f"ble_throughput_{mtu - 3}_byte_packets", carried, "kB/s", "serial", serial)
    yield Figure("ble_resume_at_2_kB_per_s", ble_resume(), "s", "serial", serial_resume())
