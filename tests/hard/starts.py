"""A stop signal while a command starts, as a process of its own: Python itself says nothing.

What Python itself does before the first line of ours is nothing that we could mend.
"""

from __future__ import annotations

import random
import shlex
import signal
import subprocess
import sys
import time
from pathlib import Path

from cli.shell import environment
from hard.asking import Done
from hard.files import edges
from hard.hard_class import HardClass, Tried
from hard.rule import broken
from unspool.virtual.demo.scenario import SANDPIPER

LATEST_S = 2.5  # by then the slowest of them is at work
PATIENCE_S = 60.0
ASKED = (
    f"predict {SANDPIPER}",
    f"analyse one.csv --car {SANDPIPER}",
    f"import one.csv --car {SANDPIPER} --store s",
    "runs --store s",
    "app --port 0 --no-browser --store s",
    f"record --cable no/such --car {SANDPIPER} --no-page --store s",
    "demo --no-page --store s",
)
SIGNALS = ("INT", "INT", "TERM", "HUP")


def case(rng: random.Random, place: Path) -> Tried:
    (place / "one.csv").write_text(edges())
    line, name, at_s = rng.choice(ASKED), rng.choice(SIGNALS), rng.uniform(0.0, LATEST_S)
    number = signal.Signals[f"SIG{name}"]
    with (place / "out").open("wb") as out, (place / "err").open("wb") as err:
        words = [sys.executable, "-m", "unspool", *shlex.split(line)]
        process = subprocess.Popen(
            words,
            cwd=place,
            stdout=out,
            stderr=err,
            env=environment(place),
            preexec_fn=_as_a_shell_starts_it,
        )
        time.sleep(at_s)
        process.send_signal(number)
        in_time = _ended(process)
    said = [(place / part).read_text(errors="replace") for part in ("out", "err")]
    done = Done(tuple(shlex.split(line)), process.returncode, *said, 0.0, 0.0, in_time)
    return Tried(f"{name} after {at_s:.3f} s: {line}", _judged(done, number))


def _as_a_shell_starts_it() -> None:
    """The harness itself may run in the background, in which signals are ignored."""
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, signal.SIG_DFL)


def _ended(process: subprocess.Popen[bytes]) -> bool:
    try:
        process.wait(PATIENCE_S)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
        return False
    return True


def _judged(done: Done, number: int) -> list[str]:
    if "Traceback" in done.err and "unspool" not in done.err:
        return []
    return broken(done, (0, 2, 130, -number))


CLASSES = (HardClass("starts", "a stop signal while a command starts", 200, 1, case),)
