"""What the recording computer does: a full disk, a store nobody may write, a clock set back."""

from __future__ import annotations

import random
import resource
import sqlite3
import time
from contextlib import closing
from pathlib import Path

from hard.board_bytes import script
from hard.hard_class import HardClass, Tried
from hard.paths import obey_permissions
from hard.recording.board_process import BoardProcess
from hard.recording.expected import Expected
from hard.recording.kept import faults_of
from hard.recording.recorders import STOPPED, recorder, stopped, until_it_speaks, until_saved
from hard.rule import broken
from unspool.store import Store

LONGEST_LOCK_S = 16.0  # the recorder waits ten for the lock, and then tries again


def disk_full(rng: random.Random, place: Path) -> Tried:
    """No file may grow over a limit; then there is room again, and another recorder."""
    limit, true = rng.randrange(60_000, 400_000), script()

    def fill() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))

    with BoardProcess(place / "port", true.edges) as board:
        hurt = recorder(place, before=fill)
        time.sleep(rng.uniform(0.5, 3.0))
        faults, again = stopped(hurt), recorder(place)
        faults += until_saved(place, true) + stopped(again)
        acknowledged = board.acknowledged
    faults += faults_of(place / "s", {7: Expected(true, acknowledged)})
    return Tried(f"files of at most {limit} bytes", faults)


def room_again(rng: random.Random, place: Path) -> Tried:
    """No file may grow over a limit for a while; the same recorder goes on after it."""
    limit, full_s, true = rng.randrange(120_000, 600_000), rng.uniform(0.5, 4.0), script()

    def fill() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, resource.RLIM_INFINITY))

    with BoardProcess(place / "port", true.edges) as board:
        hurt = recorder(place, before=fill)
        time.sleep(full_s)
        resource.prlimit(hurt.pid, resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY,) * 2)
        faults = until_saved(place, true) + stopped(hurt)
        acknowledged = board.acknowledged
    faults += faults_of(place / "s", {7: Expected(true, acknowledged)})
    return Tried(f"files of at most {limit} bytes for {full_s:.1f} s", faults)


def locked(rng: random.Random, place: Path) -> Tried:
    """Another program has the store's lock for a while; the same recorder goes on after it."""
    at_s, held_s, true = rng.uniform(0.0, 2.0), rng.uniform(0.5, LONGEST_LOCK_S), script()
    with Store.open(place / "s"):
        pass
    with (
        BoardProcess(place / "port", true.edges) as board,
        closing(sqlite3.connect(place / "s", isolation_level=None)) as other,
    ):
        hurt = recorder(place)
        time.sleep(at_s)
        other.execute("BEGIN IMMEDIATE")
        time.sleep(held_s)
        other.execute("ROLLBACK")
        faults = until_saved(place, true) + stopped(hurt)
        acknowledged = board.acknowledged
    faults += faults_of(place / "s", {7: Expected(true, acknowledged)})
    return Tried(f"locked at {at_s:.3f} s for {held_s:.3f} s", faults)


def read_only(rng: random.Random, place: Path) -> Tried:
    """Refused at the start, and the board keeps its edges for the next recorder."""
    true = script()
    with Store.open(place / "s"):
        pass
    (place / "s").chmod(0o444)
    with BoardProcess(place / "port", true.edges) as board:
        hurt = recorder(place, before=obey_permissions)
        time.sleep(rng.uniform(0.3, 1.5))
        faults = stopped(hurt)
        (place / "s").chmod(0o644)
        again = recorder(place)
        faults += until_saved(place, true) + stopped(again)
        acknowledged = board.acknowledged
    return Tried("read-only", faults + faults_of(place / "s", {7: Expected(true, acknowledged)}))


def clock_back(rng: random.Random, place: Path) -> Tried:
    by_s, at_s, true = rng.choice((1.0, 3600.0, 1e9)), rng.uniform(0.0, 2.0), script()

    def step() -> None:
        start, now, now_ns = time.perf_counter(), time.time, time.time_ns

        def back_s() -> float:
            return by_s if time.perf_counter() - start > at_s else 0.0

        time.time = lambda: now() - back_s()
        time.time_ns = lambda: now_ns() - int(back_s() * 1e9)

    with BoardProcess(place / "port", true.edges) as board:
        recording = recorder(place, before=step)
        faults = until_saved(place, true) + stopped(recording)
        acknowledged = board.acknowledged
    faults += faults_of(place / "s", {7: Expected(true, acknowledged)})
    return Tried(f"set back by {by_s:g} s after {at_s:.3f} s", faults)


def two_recorders(rng: random.Random, place: Path) -> Tried:
    """Two boards into one store at once; a third recorder wants a port that is taken."""
    one, two = script(1, 3), script(1, 9)
    with (
        BoardProcess(place / "port", one.edges, boot=7) as first,
        BoardProcess(place / "other", two.edges, boot=8) as second,
    ):
        both = [recorder(place), recorder(place, "other")]
        for recording in both:
            until_it_speaks(recording)
        time.sleep(rng.uniform(0.0, 1.0))
        third = recorder(place)
        faults = broken(third.wait(), STOPPED)
        for true, boot in ((one, 7), (two, 8)):
            faults += until_saved(place, true, boot)
        for recording in both:
            faults += stopped(recording)
        boards = {7: Expected(one, first.acknowledged), 8: Expected(two, second.acknowledged)}
    return Tried("two recorders", faults + faults_of(place / "s", boards))


CLASSES = (
    HardClass("disk full", "no file may grow beyond a limit", 60, 1, disk_full),
    HardClass("room again", "the same for a while; one recorder goes on", 40, 1, room_again),
    HardClass("locked", "another program holds the store's lock for a while", 20, 1, locked),
    HardClass("read-only", "a store that nobody may write", 10, 1, read_only),
    HardClass("clock back", "the computer's clock is set back", 20, 1, clock_back),
    HardClass("two recorders", "two boards, one store; a port that is taken", 20, 1, two_recorders),
)
