"""A commit that reached the server, and whose answer was lost: what is tried again is kept once."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from database_server import DatabaseServer
from network import DatabaseNetwork
from unspool.errors import CaptureTakenError, StoreWaitError
from unspool.store import Server, Store


@pytest.fixture
def wire(server: DatabaseServer) -> Iterator[DatabaseNetwork]:
    with (
        tempfile.TemporaryDirectory(prefix="unspool-net-") as folder,
        DatabaseNetwork(Path(folder), server.folder) as made,
    ):
        yield made


@pytest.fixture
def store(server: DatabaseServer, wire: DatabaseNetwork) -> Iterator[Store]:
    with server.fresh() as place:
        near = place.url.replace(str(server.folder), str(wire.here))
        with Store.open(Server(near)) as opened:
            yield opened


def test_a_chunk_that_is_given_again_is_kept_once(store: Store, wire: DatabaseNetwork) -> None:
    log = store.begin_capture("virtual:")
    log.append(1.0, b"one", stray_bytes=3)
    wire.lose_commits()
    with pytest.raises(StoreWaitError):
        log.append(2.0, b"two", stray_bytes=4)
    log.append(2.0, b"two", stray_bytes=4)
    log.append(3.0, b"two")
    assert [chunk.data for chunk in store.chunks(log.capture)] == [b"one", b"two", b"two"]
    assert store.capture(log.capture).stray_bytes == 7


def test_a_session_that_was_begun_unheard_is_no_other_recorder(
    store: Store, wire: DatabaseNetwork
) -> None:
    log = store.begin_capture("virtual:")
    wire.lose_commits()
    with pytest.raises(StoreWaitError):
        store.resume_capture(log.capture, 1)
    with pytest.raises(CaptureTakenError):
        store.resume_capture(log.capture, 1)
    mine = store.resume_capture(log.capture, 1, again=True)
    assert mine.session == 3
    mine.append(1.0, b"x")
    with pytest.raises(CaptureTakenError):  # somebody has written
        store.resume_capture(log.capture, 2, again=True)
    with pytest.raises(CaptureTakenError):
        log.append(2.0, b"y")
