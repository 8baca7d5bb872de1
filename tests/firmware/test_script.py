"""The virtual board's own script: what it refuses, with the line and what it expected."""

from __future__ import annotations

import subprocess
import time

import pytest
from serial import Serial

from unspool.instrument.firmware.build import build_firmware
from unspool.instrument.wire.table import HELLO, STATUS

pytestmark = pytest.mark.firmware


def run(script: str, board: str = "atmega328p") -> subprocess.CompletedProcess[str]:
    built = build_firmware(board)
    return subprocess.run(
        [built.virtual_board, "--lines", built.program],
        input=script,
        capture_output=True,
        text=True,
        timeout=60,
    )


@pytest.mark.parametrize("board", ["atmega328p", "rp2040"])
@pytest.mark.parametrize(
    ("script", "expected"),
    [
        ("5 turn\n", "expected +, -, pins, rx, battery, reset, hang or ."),
        ("soon +\n", "expected a time in microseconds"),
        ("-1 +\n", "expected a time in microseconds"),
        ("nan +\n", "expected a time in microseconds"),
        ("5 +\n4 +\n", "expected a time that is not before the line above"),
        ("now +\n", "expected a time with the sensors' edges and levels"),
        ("5 pins 12\n", "expected two levels such as 10"),
        ("5 reset often\n", "expected reset external, power or brownout"),
        ("5\n", "expected a time and an action"),
        ("5" * 70_000, "expected lines of at most 2047 characters"),
    ],
)
def test_bad_line_is_refused(script: str, expected: str, board: str) -> None:
    ended = run(script, board)
    assert ended.returncode == 2
    assert expected in ended.stderr
    assert len(ended.stderr.splitlines()) == 1


def test_comments_and_blank_lines_pass() -> None:
    ended = run("# a comment\n\n   \n1000 .\n")
    assert ended.returncode == 0
    assert "at 1000.0000" in ended.stdout


def test_no_firmware_is_refused() -> None:
    built = build_firmware()
    ended = subprocess.run(
        [built.virtual_board, "--lines", "/dev/null"], input="", capture_output=True, text=True
    )
    assert ended.returncode == 2
    assert "is no firmware" in ended.stderr


def test_nothing_is_lost_on_the_port_as_fast_as_it_goes() -> None:
    """Without --real the board's time stands still until someone reads: 300 s in a moment.

    It has more to say than the port can hold, so that it is still there for the last frame read.
    """
    built = build_firmware()
    with subprocess.Popen(
        [built.virtual_board, built.elf], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as board:
        assert board.stdin
        assert board.stdout
        word, path = board.stdout.readline().split()
        assert word == "pty"
        board.stdin.write("500000000 .\n")
        board.stdin.close()
        time.sleep(0.3)  # sent meanwhile it would be lost
        with Serial(path, 115200, timeout=2) as port:
            frames = b""
            while frames.count(b"\0") < 600:
                got = port.read(100)
                assert got, "the board fell silent"
                frames += got
        board.terminate()
    heads = [frame[1] for frame in frames.split(b"\0")[:600]]
    assert heads == [HELLO.head, STATUS.head] * 300
