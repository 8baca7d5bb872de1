"""firmware/core compiled for this machine, once a process, and called through ctypes."""

from __future__ import annotations

import ctypes
import subprocess
import tempfile
from functools import cache
from pathlib import Path

from unspool.instrument.wire.board import RING_BYTES

CORE = Path(__file__).resolve().parent.parent / "firmware" / "core"
KEPT_MEMORY = Path(__file__).with_name("kept_memory.c")
WARNINGS = ("-std=c11", "-Wall", "-Wextra", "-Werror")


class Setup(ctypes.Structure):
    _fields_ = (
        ("firmware", ctypes.c_char_p),
        ("boot", ctypes.c_uint16),
        ("reset_cause", ctypes.c_uint8),
        ("edges_per_turn", ctypes.c_uint16),
        ("identity", ctypes.c_uint32),
        ("one_sensor", ctypes.c_bool),
    )


@cache
def library(log_bytes: int = RING_BYTES, copy: int = 0) -> ctypes.CDLL:
    """The core with undefined behaviour turned into a crash that fails the test.

    copy: one for each board that is to live beside others, since each has one core.
    """
    with tempfile.NamedTemporaryFile(prefix="unspool-core-", suffix=".so") as file:
        file.write(_compiled(log_bytes))
        file.flush()
        core = ctypes.CDLL(file.name)
    for name in ("core_next_byte", "core_checks", "core_takes", "core_wants_sample"):
        getattr(core, name).restype = ctypes.c_bool
    core.core_sample.argtypes = (ctypes.c_uint32, ctypes.c_uint8)
    core.core_edge.argtypes = (ctypes.c_uint32, ctypes.c_bool)
    core.core_resume.restype = ctypes.c_uint16
    core.core_edges_per_turn.restype = ctypes.c_uint16
    core.core_one_sensor.restype = ctypes.c_bool
    core.core_identity.restype = ctypes.c_uint32
    core.crc16.restype = ctypes.c_uint16
    core.kept_memory.restype = ctypes.c_void_p
    core.kept_bytes.restype = ctypes.c_size_t
    core.cobs_decode.restype = ctypes.c_uint8
    return core


@cache
def _compiled(log_bytes: int) -> bytes:
    sources = [str(path) for path in (*sorted(CORE.glob("*.c")), KEPT_MEMORY)]
    trap = ("-fsanitize=undefined", "-fsanitize-undefined-trap-on-error")
    # -Bsymbolic: the core's names must not meet those of a library that was loaded before
    build = ("gcc", *WARNINGS, "-O2", *trap, "-shared", "-fPIC", "-Wl,-Bsymbolic")
    with tempfile.TemporaryDirectory(prefix="unspool-core-") as folder:
        out = f"{folder}/core.so"
        kept = ('-DKEPT_SECTION="outlives"',)
        subprocess.run([*build, f"-DLOG_BYTES={log_bytes}", *kept, "-o", out, *sources], check=True)
        return Path(out).read_bytes()


class NativeBoard:
    """The C core with BoardSide's methods.

    One core a library: use one board at a time, or give each a `copy` of its own.
    """

    def __init__(
        self,
        boot: int,
        edges_per_turn: int = 20,
        ring_bytes: int = RING_BYTES,
        firmware: str = "python",
        reset_cause: int = 1,
        identity: int = 0,
        sensors: int = 2,
        copy: int = 0,
    ) -> None:
        self._core = library(ring_bytes, copy)
        self._name = firmware.encode()
        self._setup = Setup(self._name, boot, reset_cause, edges_per_turn, identity, sensors == 1)
        assert not self._core.core_resume(1), "after power-on it finds no log"
        self._core.core_init(ctypes.byref(self._setup))

    def reset(self, cause: int) -> int:
        """The board's start after a reset; returns the boot number of the log in memory, 0 none."""
        self._setup.reset_cause = cause
        self._setup.identity = self._core.core_identity()
        self._setup.edges_per_turn = self._core.core_edges_per_turn()
        self._setup.one_sensor = self._core.core_one_sensor()
        found = int(self._core.core_resume(cause))
        self._core.core_init(ctypes.byref(self._setup))
        return found

    @property
    def memory(self) -> ctypes.Array[ctypes.c_ubyte]:
        """What a reset leaves as it is."""
        size = self._core.kept_bytes()
        return (ctypes.c_ubyte * size).from_address(self._core.kept_memory())

    @property
    def battery_mv(self) -> int:
        raise AttributeError

    @battery_mv.setter
    def battery_mv(self, value: int) -> None:
        self._core.core_set_battery(value)

    def edge(self, stamp: int, direction: int) -> None:
        self._core.core_edge(stamp & 0xFFFFFFFF, direction > 0)

    @property
    def checks(self) -> bool:
        return bool(self._core.core_checks())

    @property
    def takes(self) -> bool:
        return bool(self._core.core_takes())

    @property
    def wants_sample(self) -> bool:
        return bool(self._core.core_wants_sample())

    def sample(self, stamp: int, levels: int) -> None:
        self._core.core_sample(stamp & 0xFFFFFFFF, levels)

    def missed(self, count: int) -> None:
        self._core.core_missed(count)

    def receive(self, data: bytes) -> None:
        for byte in data:
            self._core.core_receive(byte)

    def to_send(self, now: int) -> bytes:
        self._core.core_now(now & 0xFFFFFFFF)
        out = bytearray()
        byte = ctypes.c_uint8()
        while self._core.core_next_byte(ctypes.byref(byte)):
            out.append(byte.value)
        return bytes(out)
