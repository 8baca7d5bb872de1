"""Measured runs: from the store with their own car and track or with others, and from files."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import sample_run
from app_parts import car_text
from unspool.car import FLAT, load_car, load_track
from unspool.errors import InputError
from unspool.reading.edges.edge_file import write_edge_file
from unspool.runs import edge_file_run, stored_run
from unspool.store import Field, Store, StoredRun, Winding
from unspool.virtual.demo.scenario import CORRIDOR, DUNLIN


@pytest.fixture
def stored(tmp_path: Path) -> StoredRun:
    train = sample_run.sample_motion().train
    with Store.open(tmp_path / "s.sqlite") as store:
        store.add_import(
            train, car_text(), CORRIDOR.read_text(), source="run.csv", winding=Winding(8.9)
        )
        store.correct("1", {Field.NOTE: "new string"}, "Ada")
        return store.run("1")


def test_a_stored_run_brings_its_car_track_winding_and_note(stored: StoredRun) -> None:
    run = stored_run(stored)
    assert (run.name, run.car.name, run.track.name) == ("run 1", "Sandpiper", "Corridor")
    # run is wound first, as far as planned: 5.3 turns; what is left of the 8.9 is on start
    assert run.counted == pytest.approx((3.6, 5.3))
    assert run.wound == (("start", run.counted[0]), ("run", 5.3))
    assert run.note == "new string"
    assert run.turn is None  # an imported run belongs to no session


def test_a_run_that_nobody_counted_is_wound_as_planned(stored: StoredRun) -> None:
    run = stored_run(replace(stored, winding=None))
    assert run.counted is None
    assert run.wound == (("start", 3.5), ("run", 5.3))


def test_another_car_and_track_replace_those_of_the_store(stored: StoredRun) -> None:
    run = stored_run(stored, load_car(DUNLIN), FLAT)
    assert (run.car.name, run.track) == ("Dunlin", FLAT)


def test_a_run_without_a_car_needs_one(stored: StoredRun) -> None:
    bare = replace(stored, car_text=None)
    with pytest.raises(InputError, match="run 1 was recorded without a car"):
        stored_run(bare)
    assert stored_run(bare, load_car(DUNLIN)).car.name == "Dunlin"


def test_an_edge_file_is_a_run_of_the_given_car(tmp_path: Path) -> None:
    path = tmp_path / "run.csv"
    write_edge_file(path, sample_run.sample_motion().train)
    run = edge_file_run(path, load_car(DUNLIN), load_track(CORRIDOR))
    assert (run.name, run.car.name, run.track.name) == (str(path), "Dunlin", "Corridor")
    assert len(run.train) == len(sample_run.sample_motion().train)
