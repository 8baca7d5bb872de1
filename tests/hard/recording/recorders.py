"""Recorders as a user starts them, until the run is saved, and what they said."""

from __future__ import annotations

import signal
import time
from collections.abc import Callable
from pathlib import Path

from hard.asking import Started
from hard.recording.kept import saved_edges
from hard.rule import broken
from unspool.virtual.demo.scenario import SANDPIPER

LOOK_S = 0.05
PATIENCE_S = 25.0
STOPPED = (0, 2, 130)


def recorder(
    place: Path, port: str = "port", store: str = "s", before: Callable[[], None] | None = None
) -> Started:
    words = ["record", "--link", f"serial:{place / port}", "--car", str(SANDPIPER)]
    return Started([*words, "--no-page", "--store", store], place, before=before)


def until_saved(place: Path, edges: int, boot: int = 7) -> list[str]:
    """Waits until a run of this board with so many edges is in the store."""
    end = time.monotonic() + PATIENCE_S
    while saved_edges(place / "s", boot) < edges:
        if time.monotonic() > end:
            return [f"no run with {edges} edges was saved"]
        time.sleep(LOOK_S)
    return []


def stopped(started: Started) -> list[str]:
    """What was wrong with a recorder that Ctrl-C ends, once it has said something."""
    end = time.monotonic() + PATIENCE_S
    while not started.said and time.monotonic() < end:
        time.sleep(LOOK_S)
    started.signal(signal.SIGINT)
    return broken(started.wait(), STOPPED)
