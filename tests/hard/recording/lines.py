"""Ports that go and come back, lines that spoil bytes, and boards that are not the right one."""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from dataclasses import fields
from pathlib import Path

from hard.board_bytes import script
from hard.hard_class import Case, HardClass, Tried
from hard.recording.board_process import BoardProcess, Harm
from hard.recording.expected import Expected
from hard.recording.kept import faults_of
from hard.recording.recorders import (
    LOOK_S,
    PATIENCE_S,
    recorder,
    stopped,
    until_it_speaks,
    until_saved,
)
from unspool.instrument.wire import cobs
from unspool.instrument.wire.crc import with_crc
from unspool.instrument.wire.frames import frame
from unspool.instrument.wire.messages import Hello
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal

RUN_S = 2.2  # from power-on to the wheel's stop, in ours
LAST = 2  # of three runs; the board has room for the newest one
FLIPPED = (0.0001, 0.001, 0.01)  # shares of bytes


def one_board(rng: random.Random, place: Path, harm: Harm, what: str) -> Tried:
    """A whole run over a line that does harm; all its edges must be saved."""
    true = script()
    with BoardProcess(place / "port", true.edges, harm=harm) as board:
        recording = recorder(place)
        faults = until_saved(place, true) + stopped(recording)
        acknowledged = board.acknowledged
    return Tried(what, faults + faults_of(place / "s", {7: Expected(true, acknowledged)}))


def pulled(rng: random.Random, place: Path) -> Tried:
    out_s, back_s = rng.uniform(0.1, RUN_S), rng.uniform(0.05, 1.5)
    events = ((out_s, PseudoTerminal.unplug), (out_s + back_s, PseudoTerminal.plug))
    return one_board(rng, place, Harm(events=events), f"out at {out_s:.3f} s for {back_s:.3f} s")


def overflowed(rng: random.Random, place: Path) -> Tried:
    """The cable is out for longer than the board remembers: what is lost is said, the rest kept."""
    true, out_s, back_s = script(3), rng.uniform(0.2, 3.0), rng.uniform(1.0, 3.5)
    events = ((out_s, PseudoTerminal.unplug), (out_s + back_s, PseudoTerminal.plug))
    with BoardProcess(place / "port", true.edges, harm=Harm(events=events)) as board:
        recording = recorder(place)
        faults = until_saved(place, true, run=LAST) + stopped(recording)
        end = Expected(true, board.acknowledged, board.lost, whole=(LAST,))
    faults += faults_of(place / "s", {7: end})
    return Tried(f"out at {out_s:.3f} s for {back_s:.3f} s, {end.lost} edges lost", faults)


def flipped(rng: random.Random, place: Path) -> Tried:
    share = rng.choice(FLIPPED)

    def spoil(data: bytes) -> bytes:
        return bytes(b ^ (1 << rng.randrange(8)) if rng.random() < share else b for b in data)

    return one_board(rng, place, Harm(spoil, spoil), f"{share:%} of bytes flipped")


def noisy(rng: random.Random, place: Path) -> Tried:
    share, ways = rng.choice((0.01, 0.05)), rng.choice(("up", "down", "both"))

    def burst(data: bytes) -> bytes:
        return data + rng.randbytes(rng.randrange(1, 20)) if rng.random() < share else data

    harm = Harm(burst if ways != "down" else bytes, burst if ways != "up" else bytes)
    return one_board(rng, place, harm, f"bursts in {share:.0%} of steps, {ways}")


def renamed(rng: random.Random, place: Path) -> Tried:
    """The board comes back under another name, and the user starts a recorder there."""
    at_s, true = rng.uniform(0.2, RUN_S), script()

    def rename(terminal: PseudoTerminal) -> None:
        terminal.unplug()
        terminal._path = place / "other"
        terminal.plug()

    with BoardProcess(place / "port", true.edges, harm=Harm(events=((at_s, rename),))) as board:
        first = recorder(place)
        until_there(place / "other")
        faults, second = stopped(first), recorder(place, "other")
        faults += until_saved(place, true) + stopped(second)
        acknowledged = board.acknowledged
    faults += faults_of(place / "s", {7: Expected(true, acknowledged)})
    return Tried(f"renamed at {at_s:.3f} s", faults)


def until_there(port: Path) -> None:
    end = time.monotonic() + PATIENCE_S
    while not port.is_symlink():
        assert time.monotonic() < end, f"there is no {port}"
        time.sleep(LOOK_S)


def foreign(rng: random.Random, place: Path) -> Tried:
    """Another program's board, or one of an older version, was on the port before the good one."""
    what, words = rng.choice(sorted(_FOREIGN.items()))
    said = words(rng)
    with BoardProcess(place / "port", [], boot=99, harm=Harm(up=lambda _data: said)):
        bad = recorder(place)
        time.sleep(rng.uniform(0.3, 1.0))
        faults = stopped(bad)
    good = one_board(rng, place, Harm(), "")
    return Tried(f"{what}, then the good board", faults + good.faults)


def _hello(table: int) -> bytes:
    numbers = dict.fromkeys((field.name for field in fields(Hello)), 0)
    numbers |= {"table_hash": table, "tick_hz": 250_000, "boot": 99, "edges_per_turn": 20}
    return frame(Hello(**numbers | {"firmware": "another"}))


_FOREIGN: dict[str, Callable[[random.Random], bytes]] = {
    "another table": lambda rng: _hello(rng.randrange(2**16)),
    "noise": lambda rng: rng.randbytes(200),
    "text": lambda _rng: b"\x1b[2Jboot 1\r\n" * 20,
    "frames of anything": lambda rng: cobs.encode(with_crc(rng.randbytes(20))) + b"\0",
}


def swapped(rng: random.Random, place: Path) -> Tried:
    """One board after the other on one port; the first is taken away in the middle of its run."""
    one, two, at_s = script(1, 3), script(1, 9), rng.uniform(0.3, RUN_S)
    with BoardProcess(place / "port", one.edges, boot=7) as first:
        recording = recorder(place)
        until_it_speaks(recording)
        time.sleep(at_s)
        taken = first.acknowledged
    with BoardProcess(place / "port", two.edges, boot=8) as second:
        faults = until_saved(place, two, 8) + stopped(recording)
        acknowledged = second.acknowledged
    boards = {7: Expected(one, taken, whole=()), 8: Expected(two, acknowledged)}
    return Tried(f"swapped at {at_s:.3f} s", faults + faults_of(place / "s", boards))


def _class(case: Case, about: str) -> HardClass:
    return HardClass(case.__name__, about, 40, 1, case)


CLASSES = (
    _class(pulled, "the cable is pulled in a run and put back"),
    _class(overflowed, "the cable is out for longer than the board remembers"),
    _class(flipped, "bytes flipped both ways"),
    _class(noisy, "bursts of noise, up, down or both ways"),
    _class(renamed, "the port changes its name in a run"),
    _class(foreign, "a foreign board, or noise, and then a good board"),
    _class(swapped, "two boards swapped on one port"),
)
