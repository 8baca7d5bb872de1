"""Cars and tracks by name, with versions that only grow."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from sqlalchemy import create_engine, text

from store.directly import Refused, of_a_file, old_store, say
from unspool.errors import ChangedMeanwhileError, InputError, StoreError
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import Field, How, Place, Store, columns

LIGHT = 'name = "Sandpiper"  # 900 g\r\n'
HEAVY = 'name = "Sandpiper"\t# 910 g, caf\u00e9\n\n'
OTHER_CASE = 'name = "SANDpiper"\n'
HALL = 'name = "Hall"\n'


def train(n: int = 3) -> PulseTrain:
    return PulseTrain(np.arange(n) * 0.01, np.ones(n, np.int8), np.arange(n, dtype=np.int64))


@pytest.fixture
def store(place: Place) -> Iterator[Store]:
    with Store.open(place) as opened:
        yield opened


def test_a_car_is_saved_and_given_back_byte_for_byte(store: Store) -> None:
    began = datetime.now(UTC)
    store.cars.save(LIGHT, "Sandpiper", "Ada", 0)
    store.cars.save(HEAVY, "Sandpiper", "Ben")
    (car,) = store.cars.listed()
    assert car == store.cars.one("sandPIPER")
    assert (car.name, car.current.text, car.current.number) == ("Sandpiper", HEAVY, 2)
    assert [(v.number, v.text, v.who, v.how) for v in car.versions] == [
        (1, LIGHT, "Ada", How.SAVED),
        (2, HEAVY, "Ben", How.SAVED),
    ]
    assert began <= car.versions[0].made_at <= car.versions[1].made_at <= datetime.now(UTC)
    assert store.tracks.listed() == []


def test_a_run_keeps_the_version_that_it_ran_with(store: Store) -> None:
    store.cars.save(LIGHT, "Sandpiper", "Ada")
    run = store.add_import(train(), LIGHT, HALL, source="a.csv", who="Ada").run_id
    car = store.cars.save(HEAVY, "Sandpiper", "Ada")
    assert store.run(run).car_text == LIGHT
    assert [version.runs for version in car.versions] == [(run,), ()]
    assert car.runs == (run,)
    assert [(one.name, one.runs) for one in store.tracks.listed()] == [("Hall", (run,))]


def test_a_run_brings_a_version_along_that_does_not_replace_what_was_saved(store: Store) -> None:
    store.add_import(train(), LIGHT, source="a.csv", who="Ada")
    car = store.cars.one("Sandpiper")
    assert (car.current.how, car.current.who, car.current.text) == (How.RUN, "Ada", LIGHT)
    store.add_import(train(4), HEAVY, source="b.csv")
    assert store.cars.one("Sandpiper").current.text == HEAVY
    store.cars.choose("Sandpiper", 1, "Ben")
    store.add_import(train(5), OTHER_CASE, source="c.csv")
    car = store.cars.one("Sandpiper")
    assert (car.current.text, len(car.versions)) == (LIGHT, 3)
    assert [(line.how, line.number) for line in car.history] == [
        (How.RUN, 1),
        (How.RUN, 2),
        (How.SAVED, 1),
        (How.RUN, 3),
    ]
    store.correct("1", {Field.CAR: HEAVY + "# new\n", Field.TRACK: HALL}, "Ben")
    assert store.cars.one("Sandpiper").versions[3].who == "Ben"
    assert store.tracks.one("Hall").current.who == "Ben"


def test_what_is_current_already_leaves_no_trace(store: Store) -> None:
    car = store.cars.save(LIGHT, "Sandpiper", "Ada")
    assert store.cars.save(LIGHT, "Sandpiper", "Ben", car.revision) == car


def test_an_older_version_is_chosen_again(store: Store) -> None:
    for sheet in (LIGHT, HEAVY):
        store.cars.save(sheet, "Sandpiper", "Ada")
    car = store.cars.choose("Sandpiper", 1, "Ben")
    assert (car.current.number, car.current.text, len(car.versions)) == (1, LIGHT, 2)
    assert [(line.who, line.number) for line in car.history] == [("Ada", 1), ("Ada", 2), ("Ben", 1)]
    with pytest.raises(InputError, match="has no version 7"):
        store.cars.choose("Sandpiper", 7, "Ben")
    with pytest.raises(InputError, match="has no car 'Dunlin'"):
        store.cars.choose("Dunlin", 1, "Ben")


def test_a_car_is_put_away_and_comes_back(store: Store) -> None:
    store.cars.save(LIGHT, "Sandpiper", "Ada")
    store.cars.save(HEAVY, "Sandpiper", "Ada")
    for _ in range(2):
        car = store.cars.put_away("Sandpiper", "Ben")
        assert (car.away, car.current.text, len(car.history)) == (True, HEAVY, 3)
    store.add_import(train(), HEAVY, source="a.csv")  # a known version brings nothing back
    assert store.cars.one("Sandpiper").away
    assert not store.cars.save(HEAVY, "Sandpiper", "Ada").away


def test_of_two_who_change_a_car_the_second_is_refused(store: Store) -> None:
    seen = store.cars.save(LIGHT, "Sandpiper", "Ada").revision
    store.cars.save(HEAVY, "Sandpiper", "Ada", seen)
    with pytest.raises(ChangedMeanwhileError, match="changed by somebody else") as caught:
        store.cars.save(OTHER_CASE, "SANDpiper", "Ben", seen)
    assert "\n" not in str(caught.value)
    with pytest.raises(ChangedMeanwhileError, match="Sandpiper is there already"):
        store.cars.save(OTHER_CASE, "Sandpiper", "Ben", 0)
    with pytest.raises(ChangedMeanwhileError, match="changed by somebody else"):
        store.cars.save(OTHER_CASE, "Dunlin", "Ben", 5)
    assert len(store.cars.one("Sandpiper").versions) == 2


def test_of_changes_at_once_one_is_kept(store: Store, place: Place) -> None:
    refused: list[str] = []

    def save(name: str) -> None:
        with Store.open(place) as own:
            start.wait()
            try:
                own.cars.save(f'name = "Sandpiper" # {name}', "Sandpiper", name, 0)
            except ChangedMeanwhileError:
                refused.append(name)

    start = threading.Barrier(4)
    threads = [threading.Thread(target=save, args=(f"person {i}",)) for i in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    (version,) = store.cars.one("Sandpiper").versions
    assert sorted([*refused, version.who]) == [f"person {i}" for i in range(4)]


@pytest.mark.parametrize("change", ["UPDATE versions SET who = 'x'", "DELETE FROM versions"])
def test_the_history_only_grows(store: Store, place: Place, change: str) -> None:
    store.cars.save(LIGHT, "Sandpiper", "Ada")
    with pytest.raises(Refused, match="only grow"):
        say(place, change)


@of_a_file
@pytest.mark.parametrize("damage", ["who = x'ff'", "made_us = 'x'", "how = 'sold'", "how = 5"])
def test_a_damaged_line_is_left_out(store: Store, place: Place, damage: str) -> None:
    for sheet in (LIGHT, HEAVY):
        store.cars.save(sheet, "Sandpiper", "Ada")
    say(place, "DROP TRIGGER versions_are_kept")
    say(place, f"UPDATE versions SET {damage} WHERE id = 2")
    assert [version.text for version in store.cars.one("Sandpiper").versions] == [LIGHT]


@of_a_file
@pytest.mark.parametrize("damage", ["name = x'ff'", "text = x'00ff'", "name = ''"])
def test_a_damaged_sheet_is_left_out(store: Store, place: Place, damage: str) -> None:
    for sheet in (LIGHT, HEAVY):
        store.cars.save(sheet, "Sandpiper", "Ada")
    say(place, f"UPDATE cars SET {damage} WHERE id = 1")
    assert [version.text for version in store.cars.one("Sandpiper").versions] == [HEAVY]


def test_the_cars_of_an_older_store_are_known_with_their_runs(tmp_path: Path) -> None:
    path = old_store(tmp_path / "old", 9)
    with create_engine(f"sqlite:///{path}").begin() as connection:
        for number, name, sheet in ((3, "Sandpiper", LIGHT), (4, "Sandpiper", HEAVY), (5, "", "")):
            row = {"id": number, "name": name, "text": sheet}
            connection.execute(text("INSERT INTO cars VALUES (:id, :name, :text)"), row)
        connection.execute(text("INSERT INTO tracks VALUES (8, 'Hall', :text)"), {"text": HALL})
        connection.execute(
            text(
                "INSERT INTO runs (id, identity, source, started_us, car_id, track_id, edges,"
                " missing, time_s, direction, number, ending)"
                " VALUES (7, 'x', 'old.csv', 17, 4, 8, 3, 0, :time_s, :direction, :number, '')"
            ),
            columns.pack(train()),
        )
    began = datetime.now(UTC).replace(microsecond=0)
    with Store.open(path) as store:
        (car,), (hall,) = store.cars.listed(), store.tracks.listed()
        assert [(v.number, v.text, v.runs) for v in car.versions] == [
            (1, LIGHT, ()),
            (2, HEAVY, ("7",)),
        ]
        assert (car.current.number, car.current.how, hall.runs) == (2, How.RUN, ("7",))
        assert hall.current.made_at == datetime(1970, 1, 1, microsecond=17, tzinfo=UTC)
        assert began <= car.versions[0].made_at <= datetime.now(UTC)
        assert (store.run("7").tags, store.run("7").timed_s) == ((), None)
        assert store.check() == []


def test_a_store_that_may_not_be_written_shows_its_cars_and_refuses_others(store: Store) -> None:
    store.cars.save(LIGHT, "Sandpiper", "Ada")
    store._unwritable = StoreError("the disk is full")
    for change in (
        lambda: store.cars.save(HEAVY, "Sandpiper", "Ada"),
        lambda: store.cars.put_away("Sandpiper", "Ada"),
        lambda: store.cars.choose("Sandpiper", 1, "Ada"),
    ):
        with pytest.raises(StoreError, match="the disk is full"):
            change()
    assert store.cars.one("Sandpiper").current.text == LIGHT
