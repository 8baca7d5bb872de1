"""How fast a store is copied to a server and back, and what is lost or doubled by cutting copies.

The baseline of the speed is the same rows by the drivers' own means; see plain_copy.py.

The server is PostgreSQL on the same machine. It never syncs, so a real one takes longer to commit.
"""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable
from pathlib import Path

from bench.figures import Figure
from bench.plain_copy import by_copy, by_insert
from database_server import DatabaseServer, running
from store.filled import contents, record, rows
from unspool.store import Place, Server, Store
from unspool.store.copying import copy

SEEDS, RUNS, CUTS = 20, 50, 200
CHILD = """
import sys
from unspool.store import Store, place_of
from unspool.store.copying import copy
module = sys.modules["unspool.store.copying.copy"]
module.CHUNKS, module.RUNS = 5, 3
def show(what, done, of):
    print(what, flush=True)
with Store.open(place_of(sys.argv[1])) as here, Store.open(place_of(sys.argv[2])) as there:
    copy(here, there, progress=show)
"""


def figures() -> Iterable[Figure]:
    with tempfile.TemporaryDirectory() as folder, running() as server:
        source, back = _filled(Path(folder) / "source", SEEDS, RUNS), Path(folder) / "back"
        with server.fresh() as place, server.fresh() as plain:
            to = _speed(source, place), by_copy(source, plain)
            fro = _speed(place, back), by_insert(plain, _emptied(Path(folder) / "plain"))
        yield Figure("league_copied_to_server", to[0], "rows/s", "SELECT and COPY", to[1])
        yield Figure("league_copied_back", fro[0], "rows/s", "SELECT and INSERT", fro[1])
        yield from _cut(server, Path(folder))


def _filled(path: Path, seeds: int, runs: int) -> Path:
    with Store.open(path) as store:
        for seed in range(seeds):
            record(store, seed, runs)
    return path


def _emptied(path: Path) -> Path:
    Store.open(path).close()
    return path


def _speed(source: Place, target: Place) -> float:
    """Rows a second."""
    with Store.open(source) as here, Store.open(target) as there:
        began = time.perf_counter()
        did = copy(here, there)
        took = time.perf_counter() - began
    assert rows(source) == rows(target), "a copy differs"
    return did.rows / took


def _cut(server: DatabaseServer, folder: Path) -> Iterable[Figure]:
    """A station records on while its hand-overs are cut: the program killed, or the server."""
    rng, station = random.Random(7), folder / "station"
    with server.fresh() as place:
        for number in range(CUTS):
            if number % 20 == 0:
                with Store.open(station) as store:
                    record(store, number, 5)
            _cut_once(server, station, place, rng)
        with Store.open(station) as here, Store.open(place) as there:
            copy(here, there)
        mine, theirs = contents(station), contents(place)
    for part in ("runs", "captures"):
        kept = [repr(one) for one in theirs[part]]
        lost = {repr(one) for one in mine[part]} - set(kept)
        yield Figure(f"league_{part}_lost_by_{CUTS}_cuts", len(lost), "")
        yield Figure(f"league_{part}_doubled_by_{CUTS}_cuts", len(kept) - len(mine[part]), "")


def _cut_once(server: DatabaseServer, station: Path, place: Server, rng: random.Random) -> None:
    child = subprocess.Popen(
        [sys.executable, "-c", CHILD, str(station), place.url],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )
    assert child.stdout is not None
    child.stdout.readline()
    time.sleep(rng.expovariate(1 / 0.05))
    if rng.random() < 0.25:
        server.stop()
        child.wait()
        server.start()
    else:
        child.send_signal(signal.SIGKILL)
        child.wait()
    child.stdout.close()
