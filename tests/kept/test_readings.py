"""Readings that the store kept equal fresh ones, and change with what they rest on."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sample_run import sample_reading
from unspool.car import FLAT, Car, Track, load_car, load_track
from unspool.errors import InputError, StoreError
from unspool.kept import Readings, place, readings
from unspool.kept.codec import encode, plain
from unspool.reading import events, motion
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.events import Reading
from unspool.runs import stored_run
from unspool.store import Field, Store
from unspool.study.measured_run import MeasuredRun
from unspool.virtual.demo.scenario import CORRIDOR, DUNLIN, SANDPIPER
from unspool.virtual.truth import USUAL, Imperfections
from unspool.virtual.truth import run as true_run

ROLLS_BACK = """name = "Ramp"
[[level]]
distance_m = 0.0
height_mm = 0
[[level]]
distance_m = 6.0
height_mm = 0
[[level]]
distance_m = 12.0
height_mm = 400
"""
FEW = 6  # edges: too few for a law


def add(store: Store, train: PulseTrain, car: Path = SANDPIPER, track: str | None = None) -> str:
    text = car.read_text("utf-8")
    return store.add_import(train, text, track, source="a.csv").run_id


def train_of(
    car: Car, seed: int, track: Path | None = None, sensor: Imperfections = USUAL
) -> PulseTrain:
    return true_run(car, load_track(track) if track else FLAT, sensor, seed=seed).train


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """Runs of every kind: plain, with a track, rolled back, with lost edges, too short, still."""
    folder = tmp_path_factory.mktemp("store")
    ramp = folder / "ramp.toml"
    ramp.write_text(ROLLS_BACK)
    sandpiper = load_car(SANDPIPER)
    plain_run = train_of(sandpiper, 1)
    lost = PulseTrain(*(np.delete(x, slice(40, 45)) for x in columns(plain_run)), lost_before=3)
    with Store.open(folder / "runs.sqlite") as opened:
        add(opened, plain_run)
        add(opened, train_of(sandpiper, 2, CORRIDOR), track=CORRIDOR.read_text("utf-8"))
        add(opened, train_of(load_car(DUNLIN), 3), DUNLIN)
        add(opened, train_of(sandpiper, 4, ramp), track=ROLLS_BACK)
        add(opened, lost)
        add(opened, PulseTrain(*(x[:FEW] for x in columns(plain_run))))
        add(opened, replace(plain_run, time_s=plain_run.time_s + 1.7e9))
        yield opened


def columns(train: PulseTrain) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    return train.time_s, train.direction, train.number


def not_again(*_: object) -> None:
    raise AssertionError("this is kept")


RUNS = [str(number) for number in range(1, 8)]


@pytest.mark.parametrize("run_id", RUNS)
def test_a_kept_reading_equals_a_fresh_one(
    store: Store, run_id: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    run = stored_run(store.run(run_id))
    fresh = events.analyse(run.train, run.car, run.track, run.counted)
    first = Readings(store).reading(run)
    monkeypatch.setattr(readings, "_own_analyse", not_again)
    again = Readings(store).reading(run)
    assert plain(first) == plain(again) == plain(fresh)
    assert again.motion.train is run.train


@pytest.mark.parametrize("run_id", RUNS)
def test_a_kept_motion_equals_a_fresh_one(
    store: Store, run_id: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    run = stored_run(store.run(run_id))
    fresh = motion.follow(run.train, run.car)
    first = Readings(store).motion(run)
    monkeypatch.setattr(readings, "_followed", not_again)
    again = Readings(store).motion(run)
    assert plain(first) == plain(again) == plain(fresh)


class Counted:
    """Stands in for the reading of runs, and counts how often it is asked."""

    def __init__(self) -> None:
        self.times = 0

    def __call__(self, _train: PulseTrain, car: Car, _track: Track, _counted: object) -> Reading:
        self.times += 1
        return sample_reading(car.name)


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> Counted:
    counted = Counted()
    monkeypatch.setattr(readings, "_own_analyse", lambda: counted)
    return counted


@pytest.fixture
def path(tmp_path: Path) -> Path:
    with Store.open(tmp_path / "runs.sqlite") as opened:
        add(opened, train_of(load_car(SANDPIPER), 1))
    return tmp_path / "runs.sqlite"


def read(path: Path, run: MeasuredRun | None = None) -> Reading:
    with Store.open(path) as store:
        return Readings(store).reading(run or stored_run(store.run("1")))


def run_of(path: Path) -> MeasuredRun:
    with Store.open(path) as store:
        return stored_run(store.run("1"))


def test_a_run_is_read_once(path: Path, made: Counted) -> None:
    assert [plain(read(path)) for _ in range(3)] == [plain(read(path))] * 3
    assert made.times == 1


def test_what_a_reading_rests_on_makes_another(path: Path, made: Counted) -> None:
    run = run_of(path)
    heavier = replace(run.car, weight_mass_kg=run.car.weight_mass_kg + 1e-9)
    others = [
        run,
        replace(run, car=heavier),
        replace(run, track=load_track(CORRIDOR)),
        replace(run, counted=(3.5, 5.25)),
        replace(run, train=replace(run.train, time_s=run.train.time_s + 1e-9)),
        replace(run, train=replace(run.train, lost_before=1)),
    ]
    for number, one in enumerate(others, 1):
        read(path, one)
        assert made.times == number


def test_a_note_makes_no_other_reading(path: Path, made: Counted) -> None:
    read(path)
    with Store.open(path) as store:
        store.correct("1", {Field.NOTE: "new string"}, "Ada")
    read(path)
    assert made.times == 1


def test_other_code_reads_again_and_the_old_reading_goes(
    path: Path, made: Counted, monkeypatch: pytest.MonkeyPatch
) -> None:
    read(path)
    monkeypatch.setattr(place, "code_version", lambda: "newer")
    read(path)
    assert made.times == 2
    assert kept(path, "code") == ["newer"]


def test_code_that_was_replaced_under_a_process_keeps_nothing(
    path: Path, made: Counted, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gone() -> str:
        raise FileNotFoundError

    for digest in (lambda: "updated", gone):
        with monkeypatch.context() as patch:
            patch.setattr("unspool.kept.code_version._digest", digest)
            read(path)
    assert kept(path, "id") == []
    read(path)
    assert len(kept(path, "id")) == 1


def test_a_run_keeps_its_newest_readings_only(path: Path, made: Counted) -> None:
    run = run_of(path)
    for turns in range(1, 10):
        read(path, replace(run, counted=(1.0, float(turns))))
    assert len(kept(path, "id")) == 8
    read(path, replace(run, counted=(1.0, 9.0)))
    assert made.times == 9


@pytest.mark.parametrize(
    "damage",
    [
        "UPDATE kept SET data = 'text'",
        "UPDATE kept SET data = x''",
        "UPDATE kept SET data = 5",
        "UPDATE kept SET data = substr(data, 1, 300)",
        "UPDATE kept SET data = zeroblob(4000)",
        "UPDATE kept SET key = x'00ff', run_id = 1",
        "UPDATE kept SET code = NULL",
        "DROP TABLE kept",
    ],
)
def test_a_damaged_kept_reading_is_read_again(path: Path, made: Counted, damage: str) -> None:
    before = plain(read(path))
    with sqlite3.connect(path) as connection:
        connection.execute("PRAGMA writable_schema = ON")
        connection.execute(
            "UPDATE sqlite_schema SET sql = replace(sql, 'NOT NULL', '') WHERE name = 'kept'"
        )
    with sqlite3.connect(path) as connection:
        connection.execute(damage)
    assert plain(read(path)) == before
    assert made.times == 2


def test_another_value_in_its_place_is_not_taken_for_a_reading(path: Path, made: Counted) -> None:
    read(path)
    with sqlite3.connect(path) as connection:
        connection.execute("UPDATE kept SET data = ?", (encode(("no", "reading")),))
    assert isinstance(read(path), Reading)


def test_a_store_that_cannot_be_written_keeps_nothing(path: Path, made: Counted) -> None:
    with Store.open(path) as store:
        lock = sqlite3.connect(path)
        lock.execute("BEGIN IMMEDIATE")
        run = stored_run(store.run("1"))
        for _ in range(2):
            Readings(store).reading(run)
        lock.close()
    assert made.times == 2
    assert kept(path, "id") == []
    read(path)
    assert len(kept(path, "id")) == 1


def test_a_full_disk_keeps_nothing_and_ends_nothing(path: Path, made: Counted) -> None:
    resource = pytest.importorskip("resource")
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    with Store.open(path) as store:
        run = stored_run(store.run("1"))
        store.kept("1", "nothing", "yet")
        resource.setrlimit(resource.RLIMIT_FSIZE, (0, hard))
        try:
            full = Readings(store).reading(run)
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert kept(path, "id") == []
    assert plain(full) == plain(read(path))
    assert made.times == 2


def test_a_store_that_may_only_be_read_keeps_nothing(
    path: Path, made: Counted, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise StoreError("the store may not be written by this user")

    with monkeypatch.context() as patch:
        patch.setattr("unspool.store.opening.open_place", refuse)
        with Store.open(path) as store:
            Readings(store).reading(stored_run(store.run("1")))
    assert kept(path, "id") == []
    assert made.times == 1


def test_a_store_keeps_the_newest_readings_of_all(
    path: Path, made: Counted, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("unspool.store.kept.MOST", 3)
    with Store.open(path) as store:
        train = stored_run(store.run("1")).train
        for n in range(1, 7):
            run = add(store, replace(train, time_s=train.time_s + n))
            Readings(store).reading(stored_run(store.run(run)))
    assert kept(path, "run_id") == [5, 6, 7]


def test_a_run_from_a_file_is_not_kept(path: Path, made: Counted) -> None:
    for _ in range(2):
        read(path, replace(run_of(path), stored=None))
    assert made.times == 2
    assert kept(path, "id") == []


def test_what_cannot_be_read_is_refused_each_time(path: Path) -> None:
    run = replace(run_of(path), counted=(1.0,))
    for _ in range(2):
        with pytest.raises(InputError, match="2 tiers"):
            read(path, run)
    assert kept(path, "id") == []


def kept(path: Path, column: str) -> list[object]:
    with sqlite3.connect(path) as connection:
        return [row[0] for row in connection.execute(f"SELECT {column} FROM kept ORDER BY id")]
