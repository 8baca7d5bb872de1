"""Stores that cannot be written: what is in them is read all the same, as from any other."""

from __future__ import annotations

import random
import resource
import shlex
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from hard.asking import ask
from hard.hard_class import HardClass, Tried
from hard.paths import obey_permissions
from hard.rule import broken
from hard.stores import RUNS, whole

ASKED = ("runs", "runs --json", "analyse {}", "analyse {} --json", "compare 1 2 --json")
FULL_BYTES = 30_000  # room for what is printed, and for none of SQLite's own files


def case(rng: random.Random, place: Path) -> Tried:
    """The same answer as from a copy that can be written."""
    what, hinder = rng.choice(sorted(HINDRANCES.items()))
    line = rng.choice(ASKED).format(rng.choice(RUNS))
    folder, store = place / "there", place / "there" / "s"
    folder.mkdir()
    store.write_bytes(whole()[0])
    as_ever = ask(shlex.split(f"{line} --store {shutil.copy(store, place)}"), place)
    with closing(sqlite3.connect(store, isolation_level=None)) as other:
        done = ask(shlex.split(f"{line} --store {store}"), place, hinder(store, other))
    faults = broken(done, (0,))
    if not faults and done.out != as_ever.out:
        faults.append(f"another answer: {done.out[:100]!r}")
    return Tried(f"{what}: {line}", faults)


Before = Callable[[], None]


def _file(store: Path, other: sqlite3.Connection) -> Before:
    other.close()
    store.chmod(0o444)
    return obey_permissions


def _folder(store: Path, other: sqlite3.Connection) -> Before:
    store.parent.chmod(0o555)
    return _file(store, other)


def _full(_store: Path, other: sqlite3.Connection) -> Before:
    other.close()
    return lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (FULL_BYTES, FULL_BYTES))


def _locked(_store: Path, other: sqlite3.Connection) -> Before:
    other.execute("BEGIN IMMEDIATE")
    return lambda: None


def _written(_store: Path, other: sqlite3.Connection) -> Before:
    """Another program is in the middle of a change that it may never keep."""
    other.execute("BEGIN IMMEDIATE")
    other.execute("UPDATE runs SET builder_note = 'half written'")
    return lambda: None


HINDRANCES: dict[str, Callable[[Path, sqlite3.Connection], Before]] = {
    "a file that may not be written": _file,
    "a folder that may not be written": _folder,
    "a full disk": _full,
    "a locked store": _locked,
    "a store under change": _written,
}
CLASSES = (
    HardClass("reading", "stores that cannot be written are read all the same", 100, 3, case),
)
