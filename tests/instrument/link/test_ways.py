"""The ways to a board, the virtual link and the list of ports."""

from __future__ import annotations

import subprocess
import sys
import threading
from pathlib import Path
from types import SimpleNamespace

import pytest

from unspool.errors import InputError, LinkError
from unspool.instrument.link import (
    LinkEndedError,
    SerialPort,
    cable_link,
    list_ports,
    only_port,
    place_of,
)
from unspool.instrument.link.ports import could_be_boards
from unspool.instrument.link.serial import FoundSerialLink, SerialLink
from unspool.instrument.link.virtual import Pipe, VirtualLink
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal


@pytest.mark.parametrize("port", ["/dev/ttyUSB0", "COM3", "/dev/serial/by-id/usb-1a86:7523"])
def test_cable(port: str) -> None:
    link = cable_link(port)
    assert isinstance(link, SerialLink)
    assert link.spec == f"serial:{port}"


@pytest.mark.parametrize(
    ("ports", "taken"),
    [
        ([("a", False)], "a"),
        ([("a", True)], "a"),
        ([("a", True), ("b", False)], "a"),
    ],
)
def test_one_likely_port_is_taken(ports: list[tuple[str, bool]], taken: str) -> None:
    assert only_port([SerialPort(device, "", likely) for device, likely in ports]) == taken


def test_several_ports_are_listed_and_none_is_said() -> None:
    with pytest.raises(InputError, match="of a, b"):
        only_port([SerialPort("a", "", True), SerialPort("b", "", True)])
    with pytest.raises(InputError, match="of a, b"):
        only_port([SerialPort("a", "", False), SerialPort("b", "", False)])
    with pytest.raises(LinkError, match="plugged in"):
        only_port([])


def test_found_port_is_looked_for_at_each_opening(tmp_path: Path) -> None:
    """A plug that is pulled and put back has another name, and one that is out is a LinkError."""
    first, second = PseudoTerminal(tmp_path / "ttyUSB0"), PseudoTerminal(tmp_path / "ttyUSB1")
    there = [first.port]
    link = FoundSerialLink(lambda: only_port([SerialPort(port, "", True) for port in there]))
    link.open()
    first.send(b"one")
    assert link.read(1.0) == b"one"
    there[:] = []
    with pytest.raises(LinkError, match="plugged in"):
        link.open()
    there[:] = [second.port]
    link.open()
    second.send(b"two")
    assert link.read(1.0) == b"two"
    there[:] = [first.port, second.port]
    with pytest.raises(LinkError, match="several"):
        link.open()
    link.close()


@pytest.mark.parametrize(
    ("spec", "place"),
    [
        ("serial:/dev/serial/by-id/usb-1a86:7523", "/dev/serial/by-id/usb-1a86:7523"),
        ("ble:Sandpiper", "the radio Sandpiper"),
        ("replay:run.bin", "run.bin"),
        ("virtual:", "the virtual board"),
    ],
)
def test_what_people_call_a_link(spec: str, place: str) -> None:
    assert place_of(spec) == place


def test_virtual_link_reads_what_its_pipe_sends() -> None:
    pipe = Pipe()
    link = VirtualLink(pipe)
    link.open()
    pipe.send(b"hello")
    assert link.read(1.0) == b"hello"
    assert link.read(0.0) == b""
    link.write(b"to board")
    assert pipe.heard() == b"to board"
    assert pipe.heard() == b""


def test_virtual_read_wakes_when_bytes_come() -> None:
    pipe = Pipe()
    timer = threading.Timer(0.05, pipe.send, [b"late"])
    timer.start()
    assert VirtualLink(pipe).read(30.0) == b"late"
    timer.join()


def test_cut_pipe_loses_what_is_on_its_way_and_comes_back() -> None:
    pipe = Pipe()
    link = VirtualLink(pipe)
    pipe.send(b"on its way")
    pipe.cut()
    pipe.send(b"into the air")
    for use in (link.open, lambda: link.read(1.0), lambda: link.write(b"x")):
        with pytest.raises(LinkError, match="cable is out"):
            use()
    pipe.cut(False)
    link.open()
    pipe.send(b"back")
    assert link.read(1.0) == b"back"


def test_ended_pipe_gives_its_last_bytes_first() -> None:
    pipe = Pipe()
    pipe.send(b"last")
    pipe.close()
    link = VirtualLink(pipe)
    assert link.read(1.0) == b"last"
    with pytest.raises(LinkEndedError):
        link.read(1.0)


def port(device: str, vid: int | None = None, description: str = "n/a") -> SimpleNamespace:
    return SimpleNamespace(device=device, vid=vid, description=description, hwid="n/a")


def test_ports_that_could_be_a_board_likely_ones_first() -> None:
    ports = [
        port("/dev/ttyS0"),
        port("/dev/cu.Bluetooth-Incoming-Port"),
        port("/dev/ttyACM1", 0x9999, "Modem"),
        port("/dev/ttyUSB0", 0x1A86, "USB Serial"),
        port("COM5", None, "Communications Port"),
    ]
    assert could_be_boards(ports) == [
        SerialPort("/dev/ttyUSB0", "USB Serial (QinHeng chip)", True),
        SerialPort("/dev/ttyACM1", "Modem", False),
        SerialPort("COM5", "Communications Port", False),
    ]


def test_listing_asks_the_system(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = [port("/dev/ttyUSB0", 0x1A86, "USB Serial")]
    monkeypatch.setattr("serial.tools.list_ports.comports", lambda: asked)
    assert [one.device for one in list_ports()] == ["/dev/ttyUSB0"]


def test_link_package_imports_no_backend() -> None:
    """A replay must work where no serial library does."""
    code = "import sys, unspool.instrument.link; print('serial' in sys.modules)"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout == "False\n"
