"""A signal at a random moment of a recording; another recorder then goes on."""

from __future__ import annotations

import random
import signal
import time
from functools import partial
from pathlib import Path

from hard.board_bytes import script
from hard.hard_class import HardClass, Tried
from hard.recording.board_process import BoardProcess
from hard.recording.expected import Expected
from hard.recording.kept import faults_of
from hard.recording.recorders import STOPPED, recorder, stopped, until_saved
from hard.rule import broken

LATEST_S = 3.0  # the run is over after two, and read within the third
LONGEST_STOP_S = 1.5
ENDING = ("KILL", "TERM", "HUP", "INT")
SHORT = ("KILL", "TERM")  # one of each takes some seconds


def case(name: str, rng: random.Random, place: Path) -> Tried:
    number, at_s = signal.Signals[f"SIG{name}"], rng.uniform(0.0, LATEST_S)
    true = script()
    with BoardProcess(place / "port", true.edges) as board:
        hurt = recorder(place)
        time.sleep(at_s)
        hurt.signal(number)
        if name == "STOP":
            time.sleep(rng.uniform(0.0, LONGEST_STOP_S))
            hurt.signal(signal.SIGCONT)
            faults, again = [], hurt
        else:
            faults, again = _ended(name, hurt.wait()), recorder(place)
        faults += until_saved(place, true) + stopped(again)
        acknowledged = board.acknowledged
    faults += faults_of(place / "s", {7: Expected(true, acknowledged)})
    return Tried(f"{name} after {at_s:.3f} s", faults)


def _ended(name: str, done) -> list[str]:
    """A signal that comes before the command has begun kills it, as it kills any program."""
    killed = -signal.Signals[f"SIG{name}"]
    early = not done.out and not done.err
    allowed = (*STOPPED, killed) if name == "KILL" or early else STOPPED
    return broken(done, allowed)


CLASSES = tuple(
    HardClass(
        f"signal {name}",
        f"{name} at a random moment of a run",
        200,
        int(name in SHORT),
        partial(case, name),
    )
    for name in (*ENDING, "STOP")
)
