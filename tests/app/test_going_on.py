"""After a crash the next app goes on with what was recorded, and with nothing else."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from app_parts import car_text
from unspool.app import LiveBoards, Recordings, Trackside
from unspool.app.boards import Boards, OwnBoard
from unspool.app.going_on import GoingOn
from unspool.instrument.link.virtual import Pipe, VirtualLink
from unspool.store import BoardCar, Store, UnderWay

HERE = socket.gethostname()
SANDPIPER = BoardCar("Sandpiper")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "runs.sqlite") as opened:
        opened.cars.save(car_text(), "Sandpiper", "Ada")
        yield opened


@pytest.fixture(scope="module")
def gone() -> int:
    """The number of a process that has ended."""
    with subprocess.Popen([sys.executable, "-c", ""]) as process:
        pass
    return process.pid


def row(process: int, board: str = "own", host: str = HERE, age_s: float = 60.0) -> UnderWay:
    since_us = int((time.time() - age_s) * 1e6)
    return UnderWay(board, "Sandpiper", "", host, process, since_us)


@pytest.mark.skipif(sys.platform == "win32", reason="no process is asked there")
def test_what_a_process_that_is_gone_recorded_is_left_once(store: Store, gone: int) -> None:
    mine = row(gone)
    others = [
        row(os.getppid(), "cable:1"),
        row(gone, "cable:2", host="another computer"),
    ]
    for one in (mine, *others, row(gone, "cable:3", age_s=2 * 86_400.0)):
        store.under_way.begin(one)
    assert GoingOn(store).left() == [mine]
    assert GoingOn(store).left() == []
    assert store.under_way.listed() == others


def test_a_recording_is_kept_until_it_ends_wherever_its_board_is(store: Store) -> None:
    kept = GoingOn(store)
    kept.begun("k", "cable:1", None)
    kept.changed("k", SANDPIPER)
    kept.moved("k", "cable:2")
    (one,) = store.under_way.listed()
    assert one == replace(row(os.getpid(), "cable:2"), since_us=one.since_us)
    kept.ended("k")
    kept.changed("k", SANDPIPER)
    assert store.under_way.listed() == []


def test_a_recording_that_fails_before_it_is_kept_is_not_gone_on_with(store: Store) -> None:
    kept = GoingOn(store)
    kept.ended("k")
    kept.begun("k", "cable:1", SANDPIPER)
    assert store.under_way.listed() == []


@pytest.mark.skipif(sys.platform == "win32", reason="no process is asked there")
def test_the_next_app_records_again_and_says_so(store: Store, gone: int) -> None:
    store.under_way.begin(row(gone))
    store.under_way.begin(row(gone, "a way that is none"))
    lives, pipe = LiveBoards(), Pipe()
    boards = Boards({"own": OwnBoard("A virtual board", "invented", lambda: VirtualLink(pipe))})
    trackside = Trackside(store, lives, Recordings(store, lives), boards)
    assert len(trackside.resume()) == 1
    live = lives.only
    assert live is not None
    assert live.car is not None
    assert live.car.name == "Sandpiper"
    assert live.texts()["by_itself"]
    assert [one.process for one in store.under_way.listed()] == [os.getpid()]
    trackside.close()
    assert store.under_way.listed() == []
