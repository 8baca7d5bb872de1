"""Several recorders append at once: each hears of its own, and only of what the disk has."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Barrier, Event, Thread

import pytest
from sqlalchemy import Connection

from unspool.errors import CaptureTakenError, StoreWaitError
from unspool.store import CaptureLog, Origin, Place, Store
from unspool.store.appends import Append, Appends


class Gate:
    """Transactions of a store, each of which first does what `meet` says, by its number."""

    def __init__(self, store: Store, meet: Callable[[int], None]) -> None:
        self._store, self._meet, self.opened = store, meet, 0

    @contextmanager
    def __call__(self) -> Iterator[Connection]:
        self.opened += 1
        self._meet(self.opened)
        with self._store._write() as connection:
            yield connection


def _wait(held: Event) -> None:
    assert held.wait(60)


def _append(log: CaptureLog, data: bytes) -> Append:
    return Append(log.capture, log.session, 1.0, data, Origin.BOARD, 0)


def _together(appends: Appends, wanted: list[Append], first_waits: Event) -> list[object]:
    """What each thread got; all but the first wait while that one's transaction is held up."""
    got: list[object] = [None] * len(wanted)

    def work(i: int) -> None:
        try:
            appends(wanted[i])
            got[i] = "safe"
        except BaseException as error:
            got[i] = error

    threads = [Thread(target=work, args=(i,)) for i in range(len(wanted))]
    threads[0].start()
    while not appends._turn.locked():
        pass
    for thread in threads[1:]:
        thread.start()
    while len(appends._waiting) < len(wanted) - 1:
        pass
    first_waits.set()
    for thread in threads:
        thread.join(60)
    return got


@pytest.fixture
def store(place: Place) -> Iterator[Store]:
    with Store.open(place) as opened:
        yield opened


def _data(store: Store, log: CaptureLog) -> list[bytes]:
    return [chunk.data for chunk in store.chunks(log.capture)]


def test_what_waits_is_written_by_one_transaction(store: Store) -> None:
    held = Event()
    gate = Gate(store, lambda _number: _wait(held))
    appends = Appends(gate)
    logs = [store.begin_capture(f"serial:{i}") for i in range(5)]
    got = _together(appends, [_append(log, bytes([i])) for i, log in enumerate(logs)], held)
    assert (got, gate.opened) == (["safe"] * 5, 2)
    assert [_data(store, log) for log in logs] == [[bytes([i])] for i in range(5)]


def test_a_board_that_another_recorder_took_stops_no_other(store: Store) -> None:
    held = Event()
    gate = Gate(store, lambda _number: _wait(held))
    logs = [store.begin_capture(f"serial:{i}") for i in range(3)]
    store.resume_capture(logs[1].capture)
    got = _together(Appends(gate), [_append(log, b"x") for log in logs], held)
    assert [got[0], got[2]] == ["safe", "safe"]
    assert isinstance(got[1], CaptureTakenError)
    assert [_data(store, log) for log in logs] == [[b"x"], [], [b"x"]]


def test_nobody_is_said_to_be_safe_by_a_transaction_that_failed(store: Store) -> None:
    held = Event()

    def meet(number: int) -> None:
        held.wait(60)
        if number == 2:
            raise StoreWaitError("the disk is full")

    logs = [store.begin_capture(f"serial:{i}") for i in range(4)]
    appends = Appends(Gate(store, meet))
    got = _together(appends, [_append(log, b"x") for log in logs], held)
    assert got[0] == "safe"
    assert [type(one) for one in got[1:]] == [StoreWaitError] * 3
    assert [_data(store, log) for log in logs] == [[b"x"], [], [], []]
    appends(_append(logs[1], b"again"))
    assert _data(store, logs[1]) == [b"again"]


def test_a_thread_that_is_interrupted_leaves_the_others_their_appends(store: Store) -> None:
    held = Event()

    def meet(number: int) -> None:
        held.wait(60)
        if number == 2:
            raise KeyboardInterrupt

    logs = [store.begin_capture(f"serial:{i}") for i in range(4)]
    got = _together(Appends(Gate(store, meet)), [_append(log, b"x") for log in logs], held)
    stopped = [i for i, one in enumerate(got) if isinstance(one, KeyboardInterrupt)]
    assert len(stopped) == 1
    safe = [i for i in range(4) if i not in stopped]
    assert [got[i] for i in safe] == ["safe"] * 3
    assert [_data(store, logs[i]) for i in safe] == [[b"x"]] * 3
    assert _data(store, logs[stopped[0]]) == []


def test_many_threads_lose_nothing_and_keep_their_order(store: Store) -> None:
    logs = [store.begin_capture(f"serial:{i}") for i in range(6)]
    start = Barrier(len(logs))

    def work(log: CaptureLog) -> None:
        start.wait(60)
        for n in range(30):
            log.append(1.0, bytes([n]))

    threads = [Thread(target=work, args=(log,)) for log in logs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(120)
    for log in logs:
        assert _data(store, log) == [bytes([n]) for n in range(30)]
