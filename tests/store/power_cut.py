"""A folder as it could lie on disk after a power cut, from the log that power_loss.c writes.

What was synced is there. Of the rest the disk wrote what it happened to: a write wholly, not at
all, or some of its sectors. A name is on disk once its folder is synced; before, perhaps.
"""

from __future__ import annotations

import os
import random
import struct
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

SECTOR = 512
SHARES = (0.0, 0.5, 0.5, 0.9, 1.0)  # of what was not synced and yet was written
SHARED_MEMORY = "-shm"  # SQLite's index of its log: made again by the first to open the store
_HEAD = struct.Struct("<5q")
_WARNINGS = ("-std=c11", "-Wall", "-Wextra", "-Werror")


@dataclass(frozen=True)
class Call:
    """kind: the letter in power_loss.c."""

    kind: str
    descriptor: int
    offset: int
    name: str
    data: bytes


def calls(log: bytes) -> Iterator[Call]:
    at = 0
    while at < len(log):
        kind, descriptor, offset, name, data = _HEAD.unpack_from(log, at)
        at += _HEAD.size + name + data
        middle = at - data
        yield Call(
            chr(kind), descriptor, offset, log[middle - name : middle].decode(), log[middle:at]
        )


def build_layer(folder: Path) -> Path:
    source, out = Path(__file__).with_suffix("").with_name("power_loss.c"), folder / "layer.so"
    build = ("gcc", *_WARNINGS, "-O1", "-shared", "-fPIC", "-o", str(out), str(source), "-ldl")
    subprocess.run(build, check=True)
    return out


def logged(layer: Path, log: Path, folder: Path, command: list[str]) -> None:
    """Runs the command; its calls on files in the folder go to the end of the log."""
    tests = Path(__file__).parents[1]
    paths = os.pathsep.join((os.environ["PYTHONPATH"], str(tests)))
    own = {"LD_PRELOAD": layer, "UNSPOOL_DISK_LOG": log, "UNSPOOL_DISK_FOLDER": folder}
    environment = os.environ | {"PYTHONPATH": paths} | {k: str(v) for k, v in own.items()}
    subprocess.run(command, env=environment, check=True, stdout=subprocess.DEVNULL)


@dataclass
class _File:
    synced: bytearray = field(default_factory=bytearray)
    waiting: list[Call] = field(default_factory=list)  # not synced, in order

    def sync(self) -> None:
        for call in self.waiting:
            _put(self.synced, call)
        self.waiting.clear()

    def after_cut(self, rng: random.Random, share: float) -> bytes:
        content = bytearray(self.synced)
        for call in self.waiting:
            for part in _written(call, rng, share):
                _put(content, part)
        return bytes(content)


class Disk:
    """One folder. Calls go in one by one; `cut` shows it as a cut at this moment could leave it."""

    def __init__(self) -> None:
        self.said = ""
        self._synced_names: dict[str, _File] = {}
        self._names: dict[str, _File] = {}
        self._changes: list[tuple[str, _File | None]] = []  # of names, not synced; None: gone
        self._open: dict[int, _File | None] = {}  # None: the folder itself

    def take(self, call: Call) -> None:
        if call.kind == "a":
            self.said += call.data.decode()
        elif call.kind in "oc":
            self._opened(call)
        elif call.kind == "u":
            self._name(call.name, None)
        elif call.kind == "r":
            self._name(call.data.decode(), self._names[call.name])
            self._name(call.name, None)
        else:
            self._changed(call)

    def _opened(self, call: Call) -> None:
        if call.kind == "c":
            self._name(call.name, _File())
        self._open[call.descriptor] = self._names[call.name] if call.name else None

    def _name(self, name: str, file: _File | None) -> None:
        self._changes.append((name, file))
        _rename(self._names, name, file)

    def _changed(self, call: Call) -> None:
        file = self._open[call.descriptor]
        if file is not None and call.kind == "s":
            file.sync()
        elif file is not None:
            file.waiting.append(call)
        else:
            self._synced_names = dict(self._names)
            self._changes.clear()

    def cut(self, folder: Path, rng: random.Random, share: float | None = None) -> None:
        """Writes the files to the new folder. share 1: as if nothing had been lost."""
        share = rng.choice(SHARES) if share is None else share
        names = dict(self._synced_names)
        for name, file in self._changes:
            if rng.random() < share:
                _rename(names, name, file)
        folder.mkdir()
        for name, file in names.items():
            content = file.after_cut(rng, share)
            is_shared = name.endswith(SHARED_MEMORY)
            (folder / name).write_bytes(rng.randbytes(len(content)) if is_shared else content)


def moments(asked: list[Call], rng: random.Random, count: int) -> Iterator[Disk]:
    """The disk at random moments, spread over all that was asked of it."""
    cuts = sorted(int(len(asked) * (i + rng.random()) / count) for i in range(count))
    disk, at = Disk(), 0
    for cut in cuts:
        for call in asked[at:cut]:
            disk.take(call)
        at = cut
        yield disk


def _rename(names: dict[str, _File], name: str, file: _File | None) -> None:
    if file is None:
        names.pop(name, None)
    else:
        names[name] = file


def _written(call: Call, rng: random.Random, share: float) -> Iterator[Call]:
    """What of one call the disk wrote: all, nothing or some sectors."""
    if rng.random() < share:
        yield call
    elif call.kind == "w" and rng.random() < 0.5:
        begin, end = call.offset, call.offset + len(call.data)
        for start in range(begin - begin % SECTOR, end, SECTOR):
            low, high = max(start, begin), min(start + SECTOR, end)
            if rng.random() < 0.5:
                yield Call("w", call.descriptor, low, "", call.data[low - begin : high - begin])


def _put(content: bytearray, call: Call) -> None:
    end = call.offset + len(call.data)
    if len(content) < end:
        content.extend(bytes(end - len(content)))
    if call.kind == "t":
        del content[call.offset :]
    else:
        content[call.offset : end] = call.data
