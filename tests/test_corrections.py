"""A correction fits its run, or nothing is changed; and what is read follows it."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf, nan, pi
from pathlib import Path
from typing import Any

import pytest

import sample_run
from app_parts import car_text
from unspool.corrections import correct, this_user
from unspool.errors import InputError
from unspool.kept import Readings
from unspool.reading import events
from unspool.runs import stored_run
from unspool.store import Field, Store, Winding
from unspool.turns import TurnsFrom
from unspool.virtual.demo.scenario import CORRIDOR, DUNLIN

TURNS = (("run", 5.0), ("start", 3.25))


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "s.sqlite") as opened:
        train = sample_run.sample_motion().train
        opened.add_import(train, car_text(), source="a.csv", winding=Winding(8.9))
        yield opened


def test_the_winding_that_is_said_replaces_what_was_counted(store: Store) -> None:
    assert stored_run(store.run("1")).turns_from is TurnsFrom.COUNTED
    run = stored_run(correct(store, "1", {Field.TURNS: TURNS}, "Ada"))
    assert run.counted == (3.25, 5.0)  # in the drum's order
    assert run.turns_from is TurnsFrom.SAID


def test_nobody_counted_or_said_is_as_planned(tmp_path: Path) -> None:
    with Store.open(tmp_path / "t.sqlite") as store:
        store.add_import(sample_run.sample_motion().train, car_text(), source="a.csv")
        run = stored_run(store.run("1"))
    assert (run.counted, run.turns_from) == (None, TurnsFrom.PLANNED)


def test_weight_and_wheel_are_the_runs_own(store: Store) -> None:
    planned = stored_run(store.run("1")).car
    changes = {Field.WEIGHT_G: 702.5, Field.CIRCUMFERENCE_MM: 390.0}
    car = stored_run(correct(store, "1", changes, "Ada")).car
    assert car.weight_mass_kg == 702.5 * 1e-3
    assert car.encoder_wheel.radius_m == 390.0 * 1e-3 / (2.0 * pi)
    assert car.body_mass_kg == planned.body_mass_kg
    assert [w.inertia_kg_m2 for w in car.wheels] == [w.inertia_kg_m2 for w in planned.wheels]
    sure = {Field.CIRCUMFERENCE_MM: 390.0, Field.CIRCUMFERENCE_SD_MM: 0.25}
    wheel = stored_run(correct(store, "1", sure, "Ada")).car.encoder_wheel
    assert wheel.radius_sd_m == pytest.approx(0.25e-3 / (2.0 * pi), rel=1e-12)


def test_what_was_read_is_read_again_and_comes_back_when_undone(store: Store) -> None:
    def read() -> tuple[str, float, tuple[float, ...]]:
        reading = Readings(store).reading(stored_run(store.run("1")))
        return reading.car, reading.distance_m, reading.winding

    before = read()
    correct(store, "1", {Field.TURNS: TURNS, Field.CIRCUMFERENCE_MM: 300.0}, "Ada")
    after = read()
    run = stored_run(store.run("1"))
    fresh = events.analyse(run.train, run.car, run.track, run.counted)
    assert after == (fresh.car, fresh.distance_m, fresh.winding)
    assert after[2] == (3.25, 5.0)
    assert after[1] < 0.9 * before[1]
    store.undo_correction("1", "Ada")
    assert read() == before


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({Field.TURNS: (("a", 1.0), ("b", 2.0), ("c", 3.0))}, "Sandpiper has start, run"),
        ({Field.TURNS: (("start", 3.0),)}, "Sandpiper has start, run"),
        ({Field.TURNS: (("start", 0.0), ("run", 0.0))}, "found 0 on each tier"),
        ({Field.TURNS: (("start", -1.0), ("run", 5.0))}, "turns on start: found -1"),
        ({Field.TURNS: (("start", nan), ("run", inf))}, "turns on run: found inf"),
        ({Field.TURNS: (("start", 1e9), ("run", 5.0))}, "expected turns from 0 to 500"),
        ({Field.WEIGHT_G: 0.7}, "weight.mass_g: found 0.7, expected a mass from 5"),
        ({Field.WEIGHT_G: nan}, "weight.mass_g: found nan"),
        ({Field.CIRCUMFERENCE_MM: 38.8}, "rolling_circumference_mm: found 38.8"),
        ({Field.CIRCUMFERENCE_MM: -1.0}, "rolling_circumference_mm: found -1"),
        ({Field.TAPED_M: 0.0}, "taped distance: found 0"),
        ({Field.TAPED_M: nan}, "taped distance: found nan"),
        ({Field.TAPED_M: 1500.0}, "taped distance: found 1500"),
        ({Field.TIMED_S: 0.0}, "time by the stopwatch: found 0"),
        ({Field.TIMED_S: 5000.0}, "expected a time above 0, at most 3600 s"),
        ({Field.TAGS: tuple(map(str, range(21)))}, "tags: found 21 of them"),
        ({Field.TAGS: ("wet", "WET")}, "tags: found one of them twice"),
        ({Field.TAGS: ("x" * 41,)}, "1 to 40 characters"),
        ({Field.TAGS: ("a,b",)}, "without a comma"),
        ({Field.TAGS: ("a\nb",)}, "on one line"),
        ({Field.TAGS: ("",)}, "1 to 40 characters"),
        ({Field.NOTE: "x" * 501}, "note: found 501 characters, expected at most 500"),
        ({Field.CAR: car_text("x" * 81)}, "the car of run 1: name: found"),
        ({Field.CAR: "[["}, "is not TOML"),
        ({Field.TRACK: car_text()}, "is a car file"),
        ({Field.NOTE: "fine", Field.WEIGHT_G: -1.0}, "weight.mass_g"),
    ],
)
def test_a_correction_that_does_not_fit_changes_nothing(
    store: Store, changes: dict[Field, Any], says: str
) -> None:
    with pytest.raises(InputError) as caught:
        correct(store, "1", changes, "Ada")
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)
    assert (store.history("1"), store.run("1").builder_note) == ([], "")


def test_another_car_needs_turns_on_its_own_tiers(store: Store) -> None:
    correct(store, "1", {Field.TURNS: TURNS}, "Ada")
    dunlin = DUNLIN.read_text("utf-8")
    with pytest.raises(InputError, match="Dunlin has"):
        correct(store, "1", {Field.CAR: dunlin}, "Ada")
    tiers = [tier.name for tier in stored_run(store.run("1"), None).car.drum]
    assert tiers == ["start", "run"]
    turns = (("start", 1.0), ("middle", 2.0), ("run", 3.0))
    run = stored_run(correct(store, "1", {Field.CAR: dunlin, Field.TURNS: turns}, "Ada"))
    assert (run.car.name, run.counted) == ("Dunlin", (1.0, 2.0, 3.0))


def test_a_run_without_a_car_takes_notes_and_then_a_car(tmp_path: Path) -> None:
    from store.recorded import run_at

    with Store.open(tmp_path / "t.sqlite") as store:
        log = store.begin_capture("virtual:")
        run = store.save_found(log.capture, run_at(10), None)
        correct(store, run, {Field.NOTE: "which car?", Field.DISCARDED: True}, "Ada")
        with pytest.raises(InputError, match="recorded without a car"):
            correct(store, run, {Field.WEIGHT_G: 700.0}, "Ada")
        fixed = correct(store, run, {Field.CAR: car_text(), Field.WEIGHT_G: 700.0}, "Ada")
        assert stored_run(fixed).car.weight_mass_kg == pytest.approx(0.7)
        assert store.runs()[0].car == "Sandpiper"


def test_a_floor_that_is_said_is_the_runs_own(store: Store) -> None:
    assert stored_run(store.run("1")).track.name == "flat"
    run = correct(store, "1", {Field.TRACK: CORRIDOR.read_text("utf-8")}, "Ada")
    assert stored_run(run).track.name == "Corridor"


def test_of_two_people_the_second_is_refused(store: Store) -> None:
    seen = store.run("1").revision
    correct(store, "1", {Field.TAPED_M: 12.0}, "Ada", seen)
    with pytest.raises(InputError, match="corrected by somebody else"):
        correct(store, "1", {Field.TAPED_M: 13.0}, "Ben", seen)
    assert store.run("1").taped_m == 12.0


def test_the_users_name_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("getpass.getuser", lambda: "a\x1b[31m\nb" + "c" * 200)
    assert this_user() == "a[31mb" + "c" * 74

    def fail() -> str:
        raise KeyError("getpwuid(): uid not found: 1234")

    monkeypatch.setattr("getpass.getuser", fail)
    assert this_user() == "unknown"
