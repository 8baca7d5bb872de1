"""The serial link over a real pseudo-terminal, and its refusals."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
import termios
import tty
from pathlib import Path

import pytest
import serial

from unspool.errors import LinkError
from unspool.instrument.link.serial import SerialLink, _why_not


class Terminal:
    """The board's end of a pseudo-terminal."""

    def __init__(self) -> None:
        self.board, self._host = os.openpty()
        tty.setraw(self._host)
        self.port = os.ttyname(self._host)

    def close(self) -> None:
        for end in (self.board, self._host):
            os.close(end)

    def unplug(self) -> None:
        self.close()
        self.close = lambda: None


@pytest.fixture
def terminal():
    made = Terminal()
    yield made
    made.close()


@pytest.fixture
def link(terminal: Terminal):
    opened = SerialLink(terminal.port)
    opened.open()
    yield opened
    opened.close()


def test_bytes_come_and_go_unchanged(terminal: Terminal, link: SerialLink) -> None:
    every_byte = bytes(range(256))
    os.write(terminal.board, every_byte)
    heard = b""
    while len(heard) < 256:
        heard += link.read(5.0)
    assert heard == every_byte
    link.write(every_byte)
    sent = b""
    while len(sent) < 256:
        sent += os.read(terminal.board, 256)
    assert sent == every_byte


def test_silence_is_empty(link: SerialLink) -> None:
    assert link.read(0.01) == b""


def test_spec_is_what_the_user_writes() -> None:
    assert SerialLink("COM3").spec == "serial:COM3"


def test_no_such_port() -> None:
    with pytest.raises(LinkError, match="there is no port /dev/ttyUSB77") as caught:
        SerialLink("/dev/ttyUSB77").open()
    assert "unspool links" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_second_program_on_the_port(terminal: Terminal, link: SerialLink) -> None:
    other = (
        "import sys\n"
        "from unspool.instrument.link.serial import SerialLink\n"
        "from unspool.errors import *\n"
        "try: SerialLink(sys.argv[1]).open()\n"
        "except LinkError as error: print(error)"
    )
    out = subprocess.run(
        [sys.executable, "-c", other, terminal.port], capture_output=True, text=True, check=True
    )
    assert "in use by another program" in out.stdout
    link.close()
    out = subprocess.run(
        [sys.executable, "-c", other, terminal.port], capture_output=True, text=True, check=True
    )
    assert out.stdout == ""


def test_a_port_that_its_last_program_is_letting_go_of(
    terminal: Terminal, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = SerialLink(terminal.port), SerialLink(terminal.port)
    first.open()
    monkeypatch.setattr("unspool.instrument.link.serial.time.sleep", lambda _s: first.close())
    second.open()
    second.close()


def test_a_plain_file_is_no_port(tmp_path: Path) -> None:
    (tmp_path / "port").write_text("")
    with pytest.raises(LinkError, match="cannot be opened as a serial port"):
        SerialLink(str(tmp_path / "port")).open()


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (serial.SerialException(errno.EACCES, "denied"), "dialout"),
        (serial.SerialException(errno.EBUSY, "busy"), "in use"),
        (
            serial.SerialException("could not open port 'COM9': FileNotFoundError(2, ...)"),
            "no port",
        ),
        (ValueError("Not a valid baudrate"), "cannot be opened"),
    ],
)
def test_why_a_port_does_not_open(error: Exception, words: str) -> None:
    assert words in _why_not("PORT", error)


def test_vanished_board_when_reading(terminal: Terminal, link: SerialLink) -> None:
    terminal.unplug()
    with pytest.raises(LinkError, match="is gone; check the cable"):
        link.read(1.0)


def test_vanished_board_when_writing(terminal: Terminal, link: SerialLink) -> None:
    terminal.unplug()
    with pytest.raises(LinkError, match="is gone"):
        link.write(b"x")


def test_not_open_is_said() -> None:
    with pytest.raises(LinkError, match="not open"):
        SerialLink("/dev/null").read(0.0)


def test_opens_again_after_the_board_came_back(terminal: Terminal, link: SerialLink) -> None:
    terminal.unplug()
    with pytest.raises(LinkError):
        link.read(1.0)
    back = Terminal()
    link._port = back.port  # a pseudo-terminal comes back under another name, a cable does not
    link.open()
    os.write(back.board, b"again")
    assert link.read(5.0) == b"again"
    back.close()


def test_closing_leaves_dtr_up(terminal: Terminal) -> None:
    """A rising DTR would reset the board, and the edges that it holds would be lost."""
    settings = termios.tcgetattr(terminal._host)
    settings[2] |= termios.HUPCL
    termios.tcsetattr(terminal._host, termios.TCSANOW, settings)
    link = SerialLink(terminal.port)
    link.open()
    assert not termios.tcgetattr(terminal._host)[2] & termios.HUPCL
    link.close()


def test_closing_twice_does_nothing(link: SerialLink) -> None:
    link.close()
    link.close()


@pytest.mark.parametrize(("platform", "dtr"), [("win32", False), ("linux", True)])
def test_dtr_stays_down_where_the_system_lets_it(
    platform: str, dtr: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A rising DTR resets most boards. Only on Windows can a program open a port without it."""
    opened: list[tuple[str | None, bool]] = []

    class Port:
        def __init__(self, port: str | None, *_: object, **__: object) -> None:
            self.port, self.dtr = port, True

        def open(self) -> None:
            opened.append((self.port, self.dtr))

        def fileno(self) -> int:
            raise OSError

        def close(self) -> None:
            pass

    monkeypatch.setattr("serial.Serial", Port)
    monkeypatch.setattr(sys, "platform", platform)
    SerialLink("COM3").open()
    assert opened == [("COM3", dtr)]
