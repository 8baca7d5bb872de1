"""Recorders as a user starts them, until the run is saved, and what they said."""

from __future__ import annotations

import signal
import time
from collections.abc import Callable
from pathlib import Path

from hard.asking import Started
from hard.recording.expected import numbers
from hard.recording.kept import saved_numbers
from hard.rule import broken
from unspool.virtual.demo.scenario import SANDPIPER
from unspool.virtual.demo.wheel_script import WheelScript

LOOK_S = 0.05
PATIENCE_S = 90.0  # of waiting: the machine may be loaded
STOPPED = (0, 2, 130)


def recorder(
    place: Path, port: str = "port", store: str = "s", before: Callable[[], None] | None = None
) -> Started:
    words = ["record", "--cable", str(place / port), "--car", str(SANDPIPER)]
    return Started([*words, "--no-page", "--store", store], place, before=before)


def until_saved(place: Path, script: WheelScript, boot: int = 7, run: int = 0) -> list[str]:
    """Waits until a run in the store has all edges of this run of the board."""
    end, wanted = time.monotonic() + PATIENCE_S, set(numbers(script, run))
    while not any(wanted <= edges for edges in saved_numbers(place / "s", boot)):
        if time.monotonic() > end:
            return [f"no run with all {len(wanted)} edges was saved: {_last_words(place)!r}"]
        time.sleep(LOOK_S)
    return []


def _last_words(place: Path) -> str:
    """Of the recorders, the newest last."""
    files = sorted([*place.glob("*.out"), *place.glob("*.err")])
    return " | ".join(path.read_text(errors="replace").strip()[-200:] for path in files)


def until_it_speaks(started: Started) -> None:
    """Waits until a recorder listens, or has refused to."""
    end = time.monotonic() + PATIENCE_S
    while not started.said and time.monotonic() < end:
        time.sleep(LOOK_S)


def stopped(started: Started) -> list[str]:
    """What was wrong with a recorder that Ctrl-C ends, once it has said something."""
    until_it_speaks(started)
    started.signal(signal.SIGINT)
    return broken(started.wait(), STOPPED)
