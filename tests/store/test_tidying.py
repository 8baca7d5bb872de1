"""Deleting captures: only those that no run, no recorder and no board needs."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from store.directly import say
from store.recorded import CAR, run_at
from unspool.errors import CaptureTakenError
from unspool.store import BoardKey, CaptureLog, Place, Store, Tidied

LONG_AGO_S = 1_700_000_000.0


def aged(store: Store) -> None:
    """As if all captures had been begun long ago."""
    say(store.place, "UPDATE captures SET started_us = 17")


def begun(store: Store, identity: int, boot: int, arrived_s: float = LONG_AGO_S) -> CaptureLog:
    key = BoardKey(identity, boot) if identity else None
    log = store.begin_capture("serial:/dev/ttyUSB0", key=key)
    log.append(arrived_s, bytes(100))
    return log


def test_only_what_nobody_needs_is_deleted(place: Place) -> None:
    with Store.open(place) as store:
        unneeded, with_run = begun(store, 11, 1), begun(store, 11, 2)
        newest, other_board = begun(store, 11, 3), begun(store, 22, 1)
        old_of_port, newest_of_port = begun(store, 0, 0), begun(store, 0, 0)
        store.save_found(with_run.capture, run_at(10), CAR)
        recent = begun(store, 11, 4, time.time())
        last = begun(store, 11, 5)
        aged(store)
        assert store.tidy() == Tidied(3, 300)
        kept = {row.id for row in store.captures()}
        assert {unneeded.capture, newest.capture, old_of_port.capture}.isdisjoint(kept)
        logs = (with_run, other_board, newest_of_port, recent, last)
        assert kept == {log.capture for log in logs}
        assert store.tidy() == Tidied(0, 0)
        assert store.check() == []
        assert store.run("1").train.number.tolist() == run_at(10).train.number.tolist()


def test_a_recorder_goes_on_while_another_program_tidies(place: Place) -> None:
    with Store.open(place) as store, Store.open(place) as other:
        begun(store, 11, 1)
        log = begun(store, 11, 2)
        aged(store)
        assert other.tidy().captures == 1
        log.append(LONG_AGO_S, b"goes on")
        assert [chunk.data for chunk in store.chunks(log.capture)] == [bytes(100), b"goes on"]


def test_the_file_shrinks(tmp_path: Path) -> None:
    with Store.open(tmp_path / "s") as store:
        for boot in range(1, 11):
            store.begin_capture("virtual:", key=BoardKey(11, boot)).append(1.0, bytes(100_000))
        aged(store)
    before = (tmp_path / "s").stat().st_size
    with Store.open(tmp_path / "s") as store:
        assert store.tidy().captures == 9
    assert (tmp_path / "s").stat().st_size < before / 4


def test_a_capture_that_is_gone_takes_nothing_more(place: Place) -> None:
    with Store.open(place) as store:
        log = begun(store, 11, 1)
        begun(store, 11, 2)
        aged(store)
        store.tidy()
        with pytest.raises(CaptureTakenError):
            log.append(1.0, b"too late")
        with pytest.raises(CaptureTakenError):
            store.resume_capture(log.capture)
