"""What is said of a run is kept with its history, which only grows."""

from __future__ import annotations

import threading
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import create_engine, text

from store.directly import Refused, of_a_file, old_store, say
from unspool.errors import InputError, StoreError
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import Correction, Field, FoundRun, Place, Store, Winding, columns
from unspool.turns import TurnsFrom

CAR, OTHER = 'name = "Sandpiper"\n', 'name = "Sandpiper"\n# heavier\n'
TRACK = 'name = "Corridor"\n'
TURNS = (("start", 3.0), ("run", 5.5))


def train(n: int = 3) -> PulseTrain:
    return PulseTrain(np.arange(n) * 0.01, np.ones(n, np.int8), np.arange(n, dtype=np.int64))


@pytest.fixture
def path(place: Place) -> Place:
    with Store.open(place) as store:
        store.add_import(train(), CAR, source="a.csv", winding=Winding(9.0))
        store.add_import(train(5), CAR, source="b.csv")
    return place


def lines(store: Store, run: str = "1") -> list[tuple[object, ...]]:
    return [(one.who, one.field, one.before, one.after) for one in store.history(run)]


def test_a_run_is_as_it_was_corrected_and_the_history_says_what_was_before(path: Place) -> None:
    began = datetime.now(UTC)
    with Store.open(path) as store:
        store.correct("1", {Field.TURNS: TURNS, Field.WEIGHT_G: 700.0}, "Ada")
        store.correct("1", {Field.WEIGHT_G: 710.0, Field.TAPED_M: 12.5}, "Ben")
        store.correct("1", {Field.CAR: OTHER, Field.TRACK: TRACK, Field.NOTE: "tape"}, "Ada")
    with Store.open(path) as store:
        run, row = store.run("1"), store.runs()[0]
        assert (run.said_turns, run.weight_g, run.taped_m) == (TURNS, 710.0, 12.5)
        assert (run.car_text, run.track_text, run.builder_note) == (OTHER, TRACK, "tape")
        assert run.winding == Winding(9.0)  # what the recorder counted stays
        assert (row.track, row.builder_note, row.taped_m) == ("Corridor", "tape", 12.5)
        assert (row.turns_from, row.corrections, row.discarded) == (TurnsFrom.SAID, 7, False)
        assert lines(store) == [
            ("Ada", Field.TURNS, None, TURNS),
            ("Ada", Field.WEIGHT_G, None, 700.0),
            ("Ben", Field.WEIGHT_G, 700.0, 710.0),
            ("Ben", Field.TAPED_M, None, 12.5),
            ("Ada", Field.CAR, "Sandpiper", "Sandpiper"),
            ("Ada", Field.TRACK, None, "Corridor"),
            ("Ada", Field.NOTE, "", "tape"),
        ]
        assert store.history("2") == []
        assert store.run("2").revision == 0
        assert began <= store.history("1")[0].made_at <= datetime.now(UTC)
        assert store.check() == []


def test_a_list_says_where_the_turns_are_from(path: Place) -> None:
    with Store.open(path) as store:
        assert [row.turns_from for row in store.runs()] == [TurnsFrom.COUNTED, TurnsFrom.PLANNED]


def test_what_changes_nothing_leaves_no_trace(path: Place) -> None:
    with Store.open(path) as store:
        store.correct("1", {Field.NOTE: "", Field.DISCARDED: False, Field.CAR: CAR}, "Ada")
        assert (store.history("1"), store.run("1").revision) == ([], 0)


def test_a_run_is_discarded_and_restored(path: Place) -> None:
    with Store.open(path) as store:
        store.correct("2", {Field.DISCARDED: True}, "Ada")
        assert [row.discarded for row in store.runs()] == [False, True]
        store.correct("2", {Field.DISCARDED: False}, "Ben")
        assert not store.run("2").discarded
        assert lines(store, "2") == [
            ("Ada", Field.DISCARDED, False, True),
            ("Ben", Field.DISCARDED, True, False),
        ]


def test_a_correction_is_undone_whole_and_redone(path: Place) -> None:
    with Store.open(path) as store:
        store.correct("1", {Field.CAR: OTHER}, "Ada")
        store.correct("1", {Field.TURNS: TURNS, Field.TAPED_M: 9.0}, "Ada")
        store.undo_correction("1", "Ben")
        run = store.run("1")
        assert (run.said_turns, run.taped_m, run.car_text) == (None, None, OTHER)
        store.undo_correction("1", "Ben")
        assert store.run("1").said_turns == TURNS
        assert lines(store)[-2:] == [
            ("Ben", Field.TURNS, None, TURNS),
            ("Ben", Field.TAPED_M, None, 9.0),
        ]
        with pytest.raises(InputError, match="nothing was corrected of run 2"):
            store.undo_correction("2", "Ben")
        with pytest.raises(InputError, match="no run '7'"):
            store.undo_correction("7", "Ben")


def test_a_clock_that_stands_still_or_goes_back_keeps_corrections_apart(
    path: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Store.open(path) as store:
        for now in (10**18, 10**18, 10**17):
            monkeypatch.setattr("time.time_ns", lambda now=now: now)
            store.correct("1", {Field.WEIGHT_G: store.run("1").revision + 100.0}, "Ada")
        moments = [one.made_at for one in store.history("1")]
        assert moments == sorted(set(moments))
        store.undo_correction("1", "Ada")
        assert store.run("1").weight_g == 101.0


def test_a_correction_of_an_older_state_is_refused(path: Place) -> None:
    with Store.open(path) as store:
        seen = store.run("1").revision
        store.correct("1", {Field.NOTE: "first"}, "Ada", seen)
        with pytest.raises(InputError, match="run 1 was corrected by somebody else") as caught:
            store.correct("1", {Field.NOTE: "second"}, "Ben", seen)
        assert "\n" not in str(caught.value)
        assert store.run("1").builder_note == "first"
        store.correct("1", {Field.NOTE: "second"}, "Ben", store.run("1").revision)
        assert len(store.history("1")) == 2


def test_of_corrections_at_once_one_is_kept_and_the_others_are_refused(path: Place) -> None:
    refused: list[str] = []

    def correct(name: str) -> None:
        with Store.open(path) as store:
            start.wait()
            try:
                store.correct("1", {Field.NOTE: name}, name, 0)
            except InputError as error:
                refused.append(str(error))

    start = threading.Barrier(6)
    threads = [threading.Thread(target=correct, args=(f"person {i}",)) for i in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(refused) == 5
    with Store.open(path) as store:
        (only,) = store.history("1")
        assert store.run("1").builder_note == only.who == only.after


def test_a_correction_outlives_the_run_that_is_found_again(place: Place) -> None:
    def found(n: int) -> FoundRun:
        at = datetime(2024, 5, 4, tzinfo=UTC)
        return FoundRun(train(n), 7, 250_000.0, at, Winding(float(n)), None)

    with Store.open(place) as store:
        log = store.begin_capture("virtual:")
        run = store.save_found(log.capture, found(3), CAR)
        store.correct(run, {Field.TURNS: TURNS, Field.CAR: OTHER}, "Ada")
        store.save_found(log.capture, found(4), CAR)
        again = store.run(run)
        assert (len(again.train), again.winding) == (4, Winding(4.0))
        assert (again.said_turns, again.car_text) == (TURNS, OTHER)


def test_an_import_says_what_is_known_of_its_run(path: Place) -> None:
    said = {Field.TURNS: TURNS, Field.TAPED_M: 8.0}
    with Store.open(path) as store:
        new = store.add_import(train(9), CAR, source="c.csv", said=said, who="Ada")
        assert lines(store, new.run_id) == [
            ("Ada", Field.TURNS, None, TURNS),
            ("Ada", Field.TAPED_M, None, 8.0),
        ]
        again = {Field.TURNS: (("start", 1.0), ("run", 1.0))}
        same = store.add_import(train(9), CAR, source="c.csv", said=again, who="Ben")
        assert same.already_there
        assert store.run(new.run_id).said_turns == TURNS


@pytest.mark.parametrize("change", ["UPDATE corrections SET who = 'x'", "DELETE FROM corrections"])
def test_the_history_only_grows(path: Place, change: str) -> None:
    with Store.open(path) as store:
        store.correct("1", {Field.NOTE: "x"}, "Ada")
    with pytest.raises(Refused, match="only grow"):
        say(path, change)


@of_a_file
@pytest.mark.parametrize(
    "damage",
    [
        "before = 'no JSON'",
        "field = 'colour'",
        "who = x'00'",
        "made_us = -1",
        "made_us = 9223372036854775807",
        "made_us = 'x'",
        "after = x'ff'",
    ],
)
def test_a_damaged_line_is_left_out_and_ends_nothing(path: Place, damage: str) -> None:
    with Store.open(path) as store:
        store.correct("1", {Field.NOTE: "x"}, "Ada")
        store.correct("1", {Field.NOTE: "y"}, "Ada")
    say(path, "DROP TRIGGER corrections_are_kept")
    say(path, f"UPDATE corrections SET {damage} WHERE id = 1")
    with Store.open(path) as store:
        assert lines(store) == [("Ada", Field.NOTE, "x", "y")]
        assert store.run("1").builder_note == "y"
        store.correct("1", {Field.TAPED_M: 3.0}, "Ada")
        assert lines(store)[-1] == ("Ada", Field.TAPED_M, None, 3.0)
        say(path, f"UPDATE corrections SET {damage}")
        with pytest.raises((StoreError, InputError)):
            store.undo_correction("1", "Ben")
        assert store.run("1").builder_note == "y"


@pytest.mark.parametrize("cell", ["'no JSON'", "'[[[['", "5", "'7'"])
def test_damaged_tags_are_one_bad_run(path: Place, cell: str) -> None:
    say(path, f"UPDATE runs SET tags = {cell} WHERE id = 1")
    with Store.open(path) as store:
        assert [row.tags for row in store.runs()] == [(), ()]
        with pytest.raises(StoreError, match="tags"):
            store.run("1")
        assert store.run("2").tags == ()


@pytest.mark.parametrize("cell", ["'no JSON'", "'[[1]]'", "'[5]'", '\'[["run", "x"]]\''])
def test_damaged_turns_are_one_bad_run(path: Place, cell: str) -> None:
    say(path, f"UPDATE runs SET said_turns = {cell} WHERE id = 1")
    with Store.open(path) as store:
        with pytest.raises(StoreError, match="said_turns"):
            store.run("1")
        assert len(store.run("2").train) == 5


def test_a_run_of_the_schema_before_keeps_all_and_can_be_corrected(tmp_path: Path) -> None:
    path = old_store(tmp_path / "s", 6)
    with create_engine(f"sqlite:///{path}").begin() as connection:
        connection.execute(text("INSERT INTO cars VALUES (3, 'Dunlin', :car)"), {"car": CAR})
        connection.execute(
            text(
                "INSERT INTO runs (id, identity, source, started_us, car_id, edges, missing,"
                " time_s, direction, number, wound_turns, wound_steps, ending, builder_note)"
                " VALUES (7, 'x', 'old.csv', 17, 3, 3, 0, :time_s, :direction, :number, 9.0,"
                " '[3.5, 5.5]', 'unknown', 'new string')"
            ),
            columns.pack(train()),
        )
    with Store.open(path) as store:
        run = store.run("7")
        assert (run.winding, run.builder_note) == (Winding(9.0, (3.5, 5.5)), "new string")
        assert (run.said_turns, run.discarded, run.revision) == (None, False, 0)
        store.correct("7", {Field.TURNS: TURNS}, "Ada")
        assert store.run("7").said_turns == TURNS
        assert isinstance(store.history("7")[0], Correction)
        assert store.check() == []


VALUES = {
    Field.CAR: st.sampled_from([CAR, OTHER, 'name = "Dunlin"\n']),
    Field.TRACK: st.sampled_from([None, TRACK]),
    Field.TURNS: st.none() | st.tuples(st.tuples(st.text(max_size=3), st.floats(0, 500))),
    Field.WEIGHT_G: st.none() | st.floats(5, 5e4),
    Field.CIRCUMFERENCE_MM: st.none() | st.floats(1, 5e3),
    Field.TAPED_M: st.none() | st.floats(1e-3, 1e3),
    Field.TIMED_S: st.none() | st.floats(1e-3, 1e3),
    Field.NOTE: st.text(max_size=20),
    Field.TAGS: st.lists(st.text(max_size=5), max_size=3).map(tuple),
    Field.DISCARDED: st.booleans(),
}
SAID = st.fixed_dictionaries({}, optional=VALUES)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.none() | SAID, max_size=8))
def test_the_history_leads_from_the_first_state_to_the_last(steps: list[Any]) -> None:
    with TemporaryDirectory() as folder, Store.open(Path(folder) / "s") as store:
        run = store.add_import(train(), CAR, source="a.csv").run_id
        states = [state(store, run)]
        for said in steps:
            if said is not None:
                store.correct(run, said, "Ada")
            elif store.history(run):
                store.undo_correction(run, "Ben")
                assert state(store, run) in states
            states.append(state(store, run))
        values: dict[Field, object] = {}
        for line in store.history(run):
            if line.field in values:
                assert line.before == values[line.field]
            values[line.field] = line.after
        last = store.run(run)
        for field, attribute in (
            (Field.TURNS, "said_turns"),
            (Field.WEIGHT_G, "weight_g"),
            (Field.TAPED_M, "taped_m"),
            (Field.TIMED_S, "timed_s"),
            (Field.NOTE, "builder_note"),
            (Field.TAGS, "tags"),
            (Field.DISCARDED, "discarded"),
        ):
            assert values.get(field, getattr(last, attribute)) == getattr(last, attribute)


def state(store: Store, run: str) -> tuple[object, ...]:
    is_now = store.run(run)
    sheets = is_now.car_text, is_now.track_text, is_now.builder_note, is_now.discarded
    return (
        *sheets,
        is_now.tags,
        is_now.timed_s,
        is_now.said_turns,
        is_now.weight_g,
        is_now.circumference_mm,
        is_now.taped_m,
    )
