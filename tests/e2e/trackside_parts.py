"""What a journey stands on: the app as a process, a USB port that comes and goes, a car's wheel.

Behind the port is the compiled firmware on a simulated chip, in real time. The app is the command
that users start; only the system's list of USB ports is ours, as no container has a USB port.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from cli.shell import environment
from unspool.car import FLAT, Car
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal
from unspool.virtual.demo.simulated_chip import SimulatedBoard
from unspool.virtual.truth import Imperfections, TrueRun, run
from wires import wired

SLOT_S = 0.008  # between two slots of a wheel that is wound quickly
LEAD_S = 0.1
ENDING_S = 60.0
# The app's command, in a system whose one USB port is named in the file that comes first.
APP = """
import sys
from pathlib import Path
from serial.tools import list_ports
from serial.tools.list_ports_common import ListPortInfo
name = Path(sys.argv.pop(1))
def comports():
    if not name.exists():
        return []
    port = ListPortInfo(name.read_text())
    port.device, port.vid, port.pid, port.serial_number = name.read_text(), 0x1A86, 0x7523, "A1"
    port.description = "USB Serial"
    return [port]
list_ports.comports = comports
from unspool.cli.entry import main
main()
"""


class App:
    """`unspool app` on a store of its own; what it says of faults is kept in `faults`."""

    def __init__(self, home: Path, usb: Path) -> None:
        self._home, self._usb = home, usb
        self._said = home / "app-stderr"
        self._process: subprocess.Popen[str] | None = None
        self._port = "0"
        self.address = ""
        self.start()

    def start(self) -> None:
        """On the port that it had before."""
        words = ["app", "--no-browser", "--port", self._port]
        with self._said.open("a") as said:
            self._process = subprocess.Popen(
                [sys.executable, "-c", APP, str(self._usb), *words],
                stdout=subprocess.PIPE,
                stderr=said,
                text=True,
                env=environment(self._home),
            )
        assert self._process.stdout is not None
        self.address = self._process.stdout.readline().split()[1]
        self._port = self.address.rstrip("/").rpartition(":")[2]

    def kill(self) -> None:
        """As when the system ends it, or its computer: without a word before."""
        assert self._process is not None
        self._process.kill()
        self._process.wait()

    def end(self) -> int:
        """Asks it to end, as the system does when the user logs out. Returns its exit status."""
        assert self._process is not None
        self._process.terminate()
        return self._process.wait(ENDING_S)

    @property
    def store(self) -> Path:
        return self._home / "data" / "unspool" / "unspool.sqlite"

    @property
    def faults(self) -> str:
        return self._said.read_text()


class Trackside:
    """One car with its board on one USB port."""

    def __init__(self, chip: SimulatedBoard, port: PseudoTerminal, usb: Path) -> None:
        self._chip, self._port, self._usb = chip, port, usb
        self._show()

    def _show(self) -> None:
        self._usb.write_text(self._port.port)

    def unplug(self) -> str:
        """The board goes on by its battery. Returns the port's name."""
        name = self._port.port
        self._usb.unlink()
        self._port.unplug()
        return name

    def plug(self, *, elsewhere: bool = False) -> str:
        """The system gives the port the name that it had, or another one."""
        if not elsewhere:
            self._port.plug()
            self._show()
            return self._port.port
        taken = os.openpty()  # the lowest free number, which the port had
        try:
            return self.plug()
        finally:
            for end in taken:
                os.close(end)

    def wind(self, turns: float, slots: int = 20) -> None:
        start = self._chip.time_s + LEAD_S
        self._chip.feed((start + SLOT_S * n, -1) for n in range(round(turns * slots)))

    def let_go(self, car: Car) -> TrueRun:
        """The car runs from now on. Returns what it does."""
        truth = run(car, FLAT, Imperfections(), seed=1)
        times = truth.train.time_s - truth.train.time_s[0] + self._chip.time_s + LEAD_S
        self._chip.feed(zip(times.tolist(), truth.train.direction.tolist(), strict=True))
        return truth


@contextmanager
def trackside(folder: Path) -> Iterator[Trackside]:
    port = PseudoTerminal()
    try:
        with SimulatedBoard() as chip, wired(chip.port, port):
            yield Trackside(chip, port, folder / "usb-port")
    finally:
        port.close()


@contextmanager
def app(home: Path) -> Iterator[App]:
    started = App(home, home / "usb-port")
    try:
        yield started
        assert started.end() == 0
    finally:
        started.kill()
    assert "Traceback" not in started.faults
