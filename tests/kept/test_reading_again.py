"""After the reading got better, all runs are read again, by as many processes as there are."""

from __future__ import annotations

import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from database_server import DatabaseServer, running
from unspool.errors import StoreError
from unspool.kept import again
from unspool.kept.again import due, read_all
from unspool.kept.code_version import code_version
from unspool.kept.tasks import Together
from unspool.store import Place, Store
from unspool.virtual.demo.scenario import SANDPIPER
from unspool.virtual.truth import run

RUNS = 6
CHILD = """
import sys
from unspool.kept import again, tasks
from unspool.store import Store, place_of
again.AT_ONCE = tasks.AT_ONCE = 2
tasks.DEAD_S = 1.0
place = place_of(sys.argv[1])
with Store.open(place) as store:
    print(tasks.Together(store, place, lambda *far: print(*far, flush=True)).run(), flush=True)
"""


@pytest.fixture(scope="module")
def server() -> Iterator[DatabaseServer]:
    with running() as started:
        yield started


def filled(place: Place) -> Place:
    from unspool.car import load_car

    car, text = load_car(SANDPIPER), SANDPIPER.read_text("utf-8")
    with Store.open(place) as store:
        for seed in range(RUNS):
            store.add_import(run(car, seed=seed).train, text, source=f"{seed}")
    return place


def fresh(place: Place) -> bool:
    with Store.open(place) as store:
        lines = store.lines()
        return due(store) == [] and {line.code for line in lines.values()} == {code_version()}


def start(place: object) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", CHILD, getattr(place, "url", "")]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)


def test_a_file_is_read_again_and_goes_on_where_it_was_broken_off(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(again, "AT_ONCE", 2)
    far: list[tuple[int, int]] = []

    def stop(done: int, of: int) -> None:
        far.append((done, of))
        if done == 2:
            raise KeyboardInterrupt

    with Store.open(filled(tmp_path / "s")) as store:
        with pytest.raises(KeyboardInterrupt):
            read_all(store, stop)
        assert read_all(store, lambda *_: None) == RUNS - 2
        assert read_all(store, lambda *_: None) == 0
    assert far == [(0, RUNS), (2, RUNS)]
    assert fresh(tmp_path / "s")


def test_several_processes_share_the_work_and_one_is_killed(server: DatabaseServer) -> None:
    with server.fresh() as place:
        filled(place)
        killed, other = start(place), start(place)
        assert killed.stdout is not None
        killed.stdout.readline()
        killed.send_signal(signal.SIGKILL)
        out, _ = other.communicate(timeout=120)
        killed.wait()
        killed.stdout.close()
        assert other.returncode == 0
        assert out.split()[-1] == str(RUNS)
        assert fresh(place)
        with Store.open(place) as store:
            assert Together(store, place, lambda *_: None).run() == 0


def test_a_store_that_cannot_be_written_says_so(server: DatabaseServer) -> None:
    with server.fresh() as place, Store.open(filled(place)) as store:
        work = Together(store, place, lambda *_: None)
        work._store.write_lines = _refuse  # type: ignore[method-assign]
        with pytest.raises(StoreError, match="full"):
            work.run()


def _refuse(_lines: object) -> None:
    raise StoreError("the disk is full")
