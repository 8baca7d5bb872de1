"""A station hands over what it records: later, if the network is away, and each row once."""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from database_server import DatabaseServer
from store.filled import contents, found, record
from unspool.errors import InputError, StoreError, StoreWaitError
from unspool.store import Place, Store
from unspool.store.copying import Copied, HandOver

CUTS = 8
QUICK_S = 0.01
CONNECTIONS = (
    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
    " WHERE datname LIKE 'test%' AND pid <> pg_backend_pid()"
)


def until(holds: Callable[[], object]) -> None:
    deadline = time.monotonic() + 60.0
    while not holds():
        assert time.monotonic() < deadline
        time.sleep(0.01)


class Heard:
    def __init__(self) -> None:
        self.copied: list[Copied] = []
        self.faults: list[StoreError] = []

    def over(self, store: Store, target: Place, pause_s: float = QUICK_S) -> HandOver:
        return HandOver(store, target, self.copied.append, self.faults.append, pause_s)


def test_what_is_recorded_while_the_network_is_cut_arrives_once(
    tmp_path: Path, server: DatabaseServer
) -> None:
    rng, heard = random.Random(11), Heard()
    with server.fresh() as place:
        with Store.open(tmp_path / "station") as store, heard.over(store, place):
            for number in range(CUTS):
                record(store, number, 2)
                time.sleep(rng.uniform(0.0, 0.05))
                if number % 2:
                    server.stop()
                    record(store, 100 + number, 1)
                    server.start()
                else:
                    server.say(CONNECTIONS)
        assert contents(place) == contents(tmp_path / "station")
    assert all(isinstance(fault, StoreWaitError) for fault in heard.faults)
    assert sum(did.new_runs for did in heard.copied) <= 8 * 5 + 4 * 3  # none twice


def test_a_reason_is_said_once_and_the_rest_arrives_when_it_has_gone(
    tmp_path: Path, server: DatabaseServer
) -> None:
    heard = Heard()
    with server.fresh() as place, Store.open(tmp_path / "station") as store:
        server.stop()
        with heard.over(store, place):
            store.begin_capture("virtual:").append(1.0, b"one")
            until(lambda: heard.faults)
            time.sleep(10 * QUICK_S)
            said = len(heard.faults)
            server.start()
            until(lambda: heard.copied)
            store.save_found(1, found(1, 9, 1), None)
            until(lambda: len(heard.copied) == 2)
        assert said == 1
        assert contents(place) == contents(tmp_path / "station")


def test_what_is_left_is_handed_over_at_the_end(tmp_path: Path, place: Place) -> None:
    with Store.open(tmp_path / "station") as store, Heard().over(store, place, 600.0):
        record(store, 1)
    assert contents(place) == contents(tmp_path / "station")


def test_a_store_is_not_handed_over_to_itself(tmp_path: Path) -> None:
    with Store.open(tmp_path / "s") as store, pytest.raises(InputError):
        Heard().over(store, tmp_path / "s")
