"""What most tests of recording stand on: a run of a virtual car, and a store of its own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from board_rig import short_script
from unspool.store import Store
from unspool.virtual.demo.scenario import corridor, sandpiper
from unspool.virtual.demo.wheel_script import WheelScript
from unspool.virtual.truth import USUAL, TrueRun, run


@pytest.fixture(scope="session")
def script() -> WheelScript:
    return short_script()


@pytest.fixture(scope="session")
def two_runs() -> WheelScript:
    return short_script(runs=2)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "s") as opened:
        yield opened


@pytest.fixture(scope="session")
def truth() -> TrueRun:
    return run(sandpiper(), corridor(), replace(USUAL, missed=0.0), seed=4)
