"""One fixed conversation: the same bytes from the C core here, on the chip, and in Python.

The expected bytes are written out; `core/` and `unspool.instrument.wire` both implement them.
"""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from firmware.stepped import SteppedBoard
from unspool.instrument.firmware.build import SOURCES
from unspool.instrument.wire import BoardSide
from unspool.instrument.wire.table import ResetCause

pytestmark = pytest.mark.firmware

PROGRAM = Path(__file__).with_name("golden.c")
CORE = sorted((SOURCES / "core").glob("*.c"))
REQUEST = bytes.fromhex("0218010101010103551800")
CHECK = bytes.fromhex("051b01afbb00")
CONFIGURE = bytes.fromhex("031a040205010402c73400")
MS = 2000
START = 50 * MS
SLOTS = (900, 1000, 1300, 950)
HELLO = 0x11
EXPECTED = (  # COBS, head, fields, CRC; a closing zero
    "0513077b130204010101034c1d010101010101010101010103ff0e00"
    "0513077b130204010101031027010101010101010101010103bec800"
    "0813077b1305040301010458ae0501022d010101010101010391e600"
    "021201020801010103324b01013409fff19ccfff013ffc669c3752949508405208150814a85d2170"
    "87ffac985fff8bd7499f27d305cd999eebffc87a123ffe603900"
    "0314070104c4722d04957a2d0467822d04368a2d03d7f400"
)


def without_hellos(said: bytes) -> str:
    """A hello has the table's hash in it, so it changes with every word of the table."""
    frames = [piece + b"\0" for piece in said.split(b"\0")[:-1]]
    return b"".join(frame for frame in frames if frame[1] != HELLO).hex()


def c_list(data: bytes) -> str:
    return ",".join(str(byte) for byte in data)


def build(compiler: str, out: Path, *flags: str) -> Path:
    macros = [f"-DREQUEST={c_list(REQUEST)}", f"-DCONFIGURE={c_list(CONFIGURE)}"]
    macros.append(f"-DCHECK={c_list(CHECK)}")
    warnings = ["-std=c11", "-Wall", "-Wextra", "-Werror", f"-I{SOURCES / 'core'}"]
    subprocess.run([compiler, *flags, *warnings, *macros, PROGRAM, *CORE, "-o", out], check=True)
    return out


def test_c_core_on_this_computer(tmp_path: Path) -> None:
    sanitize = "-fsanitize=address,undefined"
    program = build("cc", tmp_path / "golden", sanitize, "-fno-sanitize-recover=all", "-g")
    said = subprocess.run([program], capture_output=True, check=True).stdout
    assert without_hellos(said) == EXPECTED


def test_c_core_on_the_chip(tmp_path: Path) -> None:
    elf = build("avr-gcc", tmp_path / "golden.elf", "-mmcu=atmega328p", "-Os")
    with SteppedBoard(elf=elf) as board:
        assert without_hellos(board.step(1.0)) == EXPECTED


def test_python_board() -> None:
    board = BoardSide(7, 20, firmware="golden 1", reset_cause=ResetCause.WATCHDOG)
    board.battery_mv = 4987
    said = board.to_send(START - 20 * MS)
    board.receive(REQUEST + CONFIGURE)
    said += board.to_send(START - 10 * MS)
    stamp = START
    for i in range(40):
        stamp += SLOTS[i % 4] * (60 - i)
        board.edge(stamp, 1 if i < 30 else -1)
    stamp += 500 * MS
    board.edge(stamp, -1)
    board.missed(3)
    board.edge(stamp + 1, 1)
    stamp += 1 + 100 * MS
    said += board.to_send(stamp)
    board.receive(CHECK)
    for i in range(4):
        board.sample(stamp + i * MS, i ^ i >> 1)
    board.missed(2)
    said += board.to_send(stamp + 60 * MS)
    assert without_hellos(said) == EXPECTED
