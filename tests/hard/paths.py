"""Paths that cannot be used, and folders and files without the permission."""

from __future__ import annotations

import ctypes
import os
import random
import shlex
import struct
from pathlib import Path

from hard.asking import ask
from hard.files import edges
from hard.hard_class import HardClass, Tried
from hard.rule import broken
from unspool.virtual.demo.scenario import SANDPIPER

LINUX_CAPABILITY_VERSION_3 = 0x20080522  # linux/capability.h
CAR = str(SANDPIPER)
READS = (
    f"analyse {{}} --car {CAR}",
    f"import {{}} --car {CAR} --store s.sqlite",
    "predict {}",
    f"predict {CAR} --track {{}}",
    "plan {}",
    "runs --store {}",
    "export 1 --csv out.csv --store {}",
    f"record --replay {{}} --car {CAR} --no-page --store s.sqlite",
    f"record --cable {{}} --car {CAR} --no-page --store s.sqlite",
)
WRITES = (
    f"card {CAR} --out {{}}.html --force",
    f"card {CAR} --out {{}}.pdf --force",
    f"predict {CAR} --html {{}} --force",
    "part disc --slots 10 --out {}.svg --force",
    f"compare one.csv two.csv --car {CAR} --csv {{}} --force",
    f"import one.csv --car {CAR} --store {{}}",
)
ODD = (
    *("", ".", "..", "/", "-", "x" * 300, "/".join(["x" * 200] * 30), "one.csv/in", "no/such/file"),
    *("folder", "locked/in.csv", "locked/store", "unread.csv", "unwritten/new", "dangling", "loop"),
    *("/dev/null", "/dev/full", "/dev/zero", "/proc/self/mem", "/proc/1/mem", "/proc/new", "empty"),
    *(
        "a\nb",
        "a b\t",
        "\x1b[31mred",
        "\u202eback",
        "\udcff\udcfe",
        "nul",
        "C:\\x",
        "~/x",
        "$HOME/x",
    ),
)


def case(rng: random.Random, place: Path) -> Tried:
    _lay_out(place)
    line, path = rng.choice(READS + WRITES), rng.choice(ODD)
    words = [word.replace("{}", path) for word in shlex.split(line)]
    return Tried(f"{line} with {path[:60]!r}", broken(ask(words, place, obey_permissions)))


def obey_permissions() -> None:
    """Gives up root's right to read and write everything, if this is root."""
    if os.getuid() == 0:
        libc = ctypes.CDLL(None, use_errno=True)
        header = struct.pack("=Ii", LINUX_CAPABILITY_VERSION_3, 0)
        if libc.capset(header, bytes(24)) != 0:
            raise OSError(ctypes.get_errno(), "capabilities cannot be given up")


def _lay_out(place: Path) -> None:
    """Files for one case, all but a few of them for anybody."""
    for name, seed in (("one.csv", 4), ("two.csv", 5), ("unread.csv", 4)):
        (place / name).write_text(edges(seed))
    for name in ("folder", "locked", "unwritten", "data", "state"):
        (place / name).mkdir()
    (place / "locked" / "in.csv").write_text(edges())
    (place / "empty").touch()
    (place / "dangling").symlink_to("gone")
    (place / "loop").symlink_to("loop")
    for path in (place, place / "folder", place / "data", place / "state"):
        path.chmod(0o777)
    (place / "unwritten").chmod(0o555)
    (place / "locked").chmod(0o000)
    (place / "unread.csv").chmod(0o000)


CLASSES = (
    HardClass("paths", "paths that cannot be used, and permissions that lack", 300, 8, case),
)
