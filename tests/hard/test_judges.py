"""The judges of hard use fail when something does not hold; each of these must be seen."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from hard.asking import Done
from hard.board_bytes import script
from hard.recording.expected import Expected, numbers
from hard.recording.kept import _run, _unkept
from hard.rule import broken
from unspool.reading.edges.ending import Ending
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import StoredRun

TESTS = Path(__file__).parents[1]
GOOD = Done(("predict", "car.toml"), 0, "fine\n", "", 1.0, 100.0)
REFUSED = replace(GOOD, status=2, out="", err="unspool: no\n  a fault\n")


@pytest.mark.parametrize("done", [GOOD, REFUSED, replace(GOOD, err="unspool: a warning\n")])
def test_what_holds(done: Done) -> None:
    assert broken(done) == []


@pytest.mark.parametrize(
    "done",
    [
        replace(GOOD, status=1),
        replace(GOOD, status=-11),
        replace(GOOD, in_time=False),
        replace(GOOD, cpu_s=21.0),
        replace(GOOD, peak_mb=900.0),
        replace(GOOD, err="Traceback (most recent call last):\n"),
        replace(GOOD, out="\x1b[31mred\n"),
        replace(GOOD, err="RuntimeWarning: overflow\n"),
        replace(GOOD, err="unspool: no\n" + "  a fault\n" * 2000),
        replace(GOOD, arguments=("runs", "--json"), out='{"distance_m": NaN}'),
        replace(GOOD, arguments=("runs", "--json"), out="{"),
        replace(REFUSED, err=""),
        replace(REFUSED, err="unspool: no\nunspool: no\n"),
        replace(REFUSED, out="half an answer\n"),
        replace(REFUSED, arguments=("record",), err=""),
    ],
)
def test_what_does_not_hold(done: Done) -> None:
    assert broken(done)


def test_edges_that_nobody_has() -> None:
    board = Expected(script(), acknowledged=100)
    assert _unkept(board, set(range(100)), set()) == []
    assert _unkept(board, set(range(99)), set())
    assert _unkept(board, set(range(100)) - {50}, {50})  # the board had it, whatever the gap says


def test_edges_that_the_board_lost_must_be_said() -> None:
    board = Expected(script(), acknowledged=100, lost=10)
    kept = set(range(100)) - set(range(40, 50))
    assert _unkept(board, kept, set(range(40, 50))) == []
    assert _unkept(board, kept, set(range(40, 49)))
    assert _unkept(board, kept - {50}, set(range(40, 51)))


def stored(picked: slice, shift_s: float = 0.0, ending: Ending = Ending.STOOD_STILL) -> StoredRun:
    """A run of some of the board's edges, as the store gives it."""
    true = script()
    number = np.array(numbers(true))[picked]
    train = PulseTrain(true.time_s[number] + shift_s, true.direction[number], number, ending=ending)
    return StoredRun("1", datetime.now(UTC), "virtual:", train, None, None, None, None, 250_000.0)


def test_a_run_that_is_not_what_the_wheel_did() -> None:
    board = Expected(script())
    assert _run(stored(slice(None)), board) == []
    assert _run(stored(slice(None, 400), ending=Ending.RECORDING_STOPPED), board) == []
    assert _run(stored(slice(None, 400)), board)
    assert _run(stored(slice(None), shift_s=1e-3), board)


def test_a_broken_product_is_caught() -> None:
    """One break for each class whose cases take no time; `--broken` alone tries all classes."""
    quick = ("cars", "tracks", "arguments", "paths", "stores", "reading")
    paths = os.pathsep.join((str(TESTS.parent / "host"), str(TESTS)))
    only = [word for name in quick for word in ("--only", name)]
    done = subprocess.run(
        [sys.executable, "-m", "hard", "--broken", *only],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": paths},
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.count("\n") >= len(quick)
