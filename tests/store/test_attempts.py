"""A run is counted among those of its car on its day, on the clock of where it was recorded."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import UTC, date, datetime

import numpy as np
import pytest

from store.directly import of_a_file, say
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import Attempt, Field, FoundRun, Place, Store

SANDPIPER, DUNLIN = 'name = "Sandpiper"', 'name = "Dunlin"'
SHOUTED = 'name = "SANDPIPER "'


@pytest.fixture(autouse=True)
def berlin(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """One hour ahead of UTC in November, two in July."""
    monkeypatch.setenv("TZ", "Europe/Berlin")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


def add(store: Store, car: str | None, at: datetime) -> str:
    """A recorded run that began then."""
    train = PulseTrain(np.arange(3) * 0.01, np.ones(3, np.int8), np.arange(3, dtype=np.int64))
    log = store.begin_capture("virtual:")
    return store.save_found(log.capture, FoundRun(train, 7, 250_000.0, at, None, None), car)


def utc(day: int, hour: int, month: int = 11) -> datetime:
    return datetime(2025, month, day, hour, 30, tzinfo=UTC)


@pytest.fixture
def store(place: Place) -> Iterator[Store]:
    with Store.open(place) as opened:
        yield opened


def shown(store: Store) -> list[tuple[str | None, date, int]]:
    """Of all runs, in the order of the list; each is found alone, too."""
    rows = store.runs()
    found = [row.attempt for row in rows]
    assert found == [store.attempt(row.id) for row in rows]
    for count in (1, 2):
        last = sorted(rows, key=lambda row: (row.started_at, int(row.id)))[-count:]
        assert store.runs(count) == [row for row in rows if row in last]
    return [(one.car, one.day, one.number) for one in found if one]


def test_each_car_is_counted_on_each_day_whatever_the_case_of_its_name(store: Store) -> None:
    for car, day in ((SANDPIPER, 27), (DUNLIN, 27), (SHOUTED, 27), (None, 27), (SANDPIPER, 28)):
        add(store, car, utc(day, 9))
    add(store, None, utc(27, 10))
    day, next_day = date(2025, 11, 27), date(2025, 11, 28)
    assert shown(store) == [
        ("Sandpiper", day, 1),
        ("Dunlin", day, 1),
        ("SANDPIPER ", day, 2),
        (None, day, 1),
        ("Sandpiper", next_day, 1),
        (None, day, 2),
    ]


def test_the_order_is_that_of_the_clock_and_the_day_is_local(store: Store) -> None:
    add(store, SANDPIPER, utc(27, 21))  # 22:30 in Berlin
    add(store, SANDPIPER, utc(27, 23))  # half past midnight there
    add(store, SANDPIPER, utc(26, 23))  # found later, the first of the day
    days = [(27, 2), (28, 1), (27, 1)]
    assert [(day.day, number) for _, day, number in shown(store)] == days


def test_the_day_is_that_of_the_place_of_the_recording(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    add(store, SANDPIPER, utc(27, 23))
    add(store, SANDPIPER, utc(14, 22, month=7))  # summer time, half past midnight
    for zone in ("UTC", "America/Los_Angeles", "Pacific/Kiritimati"):
        monkeypatch.setenv("TZ", zone)
        time.tzset()
        assert [day for _, day, _ in shown(store)] == [date(2025, 11, 28), date(2025, 7, 15)]


def test_a_discarded_run_keeps_its_number(store: Store) -> None:
    first, _ = add(store, SANDPIPER, utc(27, 9)), add(store, SANDPIPER, utc(27, 10))
    store.correct(first, {Field.DISCARDED: True}, "Ada")
    assert [number for _, _, number in shown(store)] == [1, 2]


def test_a_run_of_another_car_counts_there(store: Store) -> None:
    add(store, DUNLIN, utc(27, 9))
    wrong = add(store, SANDPIPER, utc(27, 10))
    store.correct(wrong, {Field.CAR: DUNLIN}, "Ada")
    assert store.attempt(wrong) == Attempt("Dunlin", date(2025, 11, 27), 2)


@of_a_file
def test_no_run_and_a_damaged_moment_have_no_number(store: Store, place: Place) -> None:
    run = add(store, SANDPIPER, utc(27, 9))
    add(store, SANDPIPER, utc(27, 10))
    say(place, f"UPDATE runs SET started_us = 'x' WHERE id = {run}")
    assert [row.attempt and row.attempt.number for row in store.runs()] == [None, 1]
    assert [store.attempt(one) for one in (run, "77", "x")] == [None, None, None]


def test_a_run_of_an_older_store_is_counted_on_this_clock(store: Store, place: Place) -> None:
    run = add(store, SANDPIPER, utc(27, 23))
    for offset in ("NULL", "999999999"):
        say(place, f"UPDATE runs SET utc_offset_s = {offset}")
        assert store.attempt(run) == Attempt("Sandpiper", date(2025, 11, 28), 1)
