"""A bundle carries runs with all that is known of them, once and unchanged."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from store.recorded import run_at
from unspool.bundle import bundle_bytes, is_bundle, read_bundle
from unspool.errors import InputError, StoreError
from unspool.imports import import_bundle
from unspool.reading.edges.ending import Ending
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import Carried, ClockRate, Correction, Field, Imported, Store, Winding
from unspool.virtual.demo.scenario import CORRIDOR, DUNLIN, SANDPIPER

CAR, OTHER = SANDPIPER.read_text("utf-8"), DUNLIN.read_text("utf-8")
TRACK = CORRIDOR.read_text("utf-8")
TURNS = (("start", 3.25), ("run", 5.0))


def train(n: int = 3) -> PulseTrain:
    return PulseTrain(np.arange(n) * 0.01, np.ones(n, np.int8), np.arange(n, dtype=np.int64))


@pytest.fixture
def here(tmp_path: Path) -> Iterator[Store]:
    """One imported run, and a recorded one with a history."""
    with Store.open(tmp_path / "here") as store:
        store.add_import(train(), CAR, source="a.csv", said={Field.NOTE: "first"}, who="Ada")
        log = store.begin_capture("virtual:")
        run = store.save_found(log.capture, run_at(1000), CAR, TRACK)
        store.correct(run, {Field.TURNS: TURNS, Field.WEIGHT_G: 702.5, Field.TAPED_M: 12.4}, "Ada")
        store.correct(run, {Field.TAGS: ("wet", "caf\u00e9"), Field.TIMED_S: 17.5}, "Ben")
        store.correct(run, {Field.CAR: CAR + "# lighter\n", Field.TRACK: None}, "Ben")
        store.correct(run, {Field.DISCARDED: True}, "Ada")
        yield store


@pytest.fixture
def there(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "there") as store:
        yield store


def bundled(store: Store) -> bytes:
    return bundle_bytes([store.carry(row.id) for row in store.runs()])


def known(store: Store, run: str) -> dict[str, Any]:
    """All that a store knows of a run, but what counts in that store alone."""
    found = store.run(run)
    train = found.train
    edges = [column.tolist() for column in (train.time_s, train.direction, train.number)]
    own = ("id", "revision", "basis", "train", "source")
    rest = {k: v for k, v in vars(found).items() if k not in own}
    more = train.lost_before, train.ending, store.history(run), store.attempt(run)
    return {**rest, "edges": edges, "more": more}


def test_all_that_is_known_of_a_run_comes_along(here: Store, there: Store) -> None:
    there.add_import(train(7), OTHER, source="other.csv")
    data = bundled(here)
    assert is_bundle(data)
    assert import_bundle(there, data, "b.zip") == [Imported("2", False), Imported("3", False)]
    for run in ("1", "2"):
        assert known(there, str(int(run) + 1)) == known(here, run)
    assert [row.source for row in there.runs()] == [
        "other.csv",
        "a.csv",
        "capture 1 of another store",
    ]
    assert there.check() == []
    versions = [version.text for version in there.cars.one("Sandpiper").versions]
    assert versions == [CAR, CAR + "# lighter\n"]
    there.undo_correction("3", "Cyd")  # the history goes on
    assert not there.run("3").discarded


def test_what_comes_twice_is_there_once(here: Store, there: Store, tmp_path: Path) -> None:
    data = bundled(here)
    import_bundle(there, data, "b.zip")
    again = [Imported("1", True), Imported("2", True)]
    assert import_bundle(there, data, "other name.zip") == again
    assert import_bundle(here, data, "b.zip") == again  # back to where it came from
    there.correct("2", {Field.NOTE: "mine"}, "Cyd")
    assert import_bundle(there, data, "b.zip") == again
    assert there.run("2").builder_note == "mine"
    with Store.open(tmp_path / "third") as third:  # over another store, and directly
        import_bundle(third, bundled(there), "c.zip")
        assert import_bundle(third, data, "b.zip") == again
        assert import_bundle(here, bundled(third), "d.zip") == again
        assert [row.source for row in third.runs()][1] == "capture 1 of another store"
    assert [len(store.runs()) for store in (here, there)] == [2, 2]


def test_an_edge_file_that_was_imported_in_both_is_one_run(here: Store, there: Store) -> None:
    there.add_import(train(), CAR, source="a copy.csv")
    assert import_bundle(there, bundled(here), "b.zip")[0] == Imported("1", True)


def test_a_run_that_was_found_again_with_more_edges_is_the_same(here: Store, there: Store) -> None:
    data = bundled(here)
    import_bundle(there, data, "b.zip")
    here.save_found(1, run_at(1010), CAR, TRACK)
    assert import_bundle(there, bundled(here), "b.zip")[1] == Imported("2", True)


def test_equal_runs_make_equal_bytes(here: Store, there: Store) -> None:
    assert bundled(here) == bundled(here)
    import_bundle(there, bundled(here), "b.zip")
    first = [bundle_bytes([store.carry("1")]) for store in (here, there)]
    assert first[0] == first[1]


def test_a_run_without_a_car_goes_too(there: Store, tmp_path: Path) -> None:
    with Store.open(tmp_path / "s") as store:
        log = store.begin_capture("virtual:")
        store.save_found(log.capture, run_at(5), None)
        store.correct("1", {Field.NOTE: "which car?"}, "Ada")
        import_bundle(there, bundled(store), "b.zip")
        assert known(there, "1") == known(store, "1")


def test_a_store_that_cannot_be_written_takes_nothing(here: Store, there: Store) -> None:
    there._unwritable = StoreError("the disk is full")
    with pytest.raises(StoreError, match="the disk is full"):
        import_bundle(there, bundled(here), "b.zip")
    assert there.runs() == []


def test_no_run_is_no_bundle() -> None:
    with pytest.raises(InputError, match="1 to 2000 runs"):
        bundle_bytes([])


WORDS = st.from_regex(r"[a-z\u00e9]{1,9}", fullmatch=True)
ENDINGS = st.sampled_from(Ending)
MOMENTS = st.datetimes(datetime(1990, 1, 1), datetime(2100, 1, 1), timezones=st.just(UTC))
VALUES: dict[Field, st.SearchStrategy[Any]] = {
    Field.CAR: st.sampled_from([CAR, CAR + "# \u00e9\r\n"]),
    Field.TRACK: st.sampled_from([None, TRACK]),
    Field.TURNS: st.none()
    | st.tuples(st.floats(0, 500), st.floats(0.1, 500)).map(
        lambda n: (("start", n[0]), ("run", n[1]))
    ),
    Field.WEIGHT_G: st.none() | st.floats(5, 5e4),
    Field.CIRCUMFERENCE_MM: st.none() | st.floats(300, 450),
    Field.CIRCUMFERENCE_SD_MM: st.none() | st.floats(0.01, 10),
    Field.TAPED_M: st.none() | st.floats(1e-3, 1e3),
    Field.TIMED_S: st.none() | st.floats(1e-3, 3600),
    Field.NOTE: st.text(st.characters(exclude_categories=["Cs"]), max_size=20),
    Field.TAGS: st.lists(WORDS, max_size=3, unique=True).map(tuple),
    Field.DISCARDED: st.booleans(),
}


@st.composite
def lines(draw: st.DrawFn) -> Correction:
    field = draw(st.sampled_from(Field))
    values = VALUES[field]
    who = draw(st.sampled_from(["Ada", "", "with the PIN, from 10.0.0.7"]))
    return Correction(draw(MOMENTS), who, field, draw(values), draw(values))


@st.composite
def runs(draw: st.DrawFn) -> Carried:
    n = draw(st.integers(1, 6))
    start, lost = draw(st.integers(-5, 10**9)), draw(st.booleans())
    number = np.arange(n, dtype=np.int64) * (2 if lost else 1) + start
    times = np.array(sorted(draw(st.lists(st.floats(-1e9, 1e9), min_size=n, max_size=n))))
    signs = np.array(draw(st.lists(st.sampled_from([-1, 1]), min_size=n, max_size=n)), np.int8)
    recorded = draw(st.booleans())
    return Carried(
        train=PulseTrain(times, signs, number, draw(st.integers(0, 9)), draw(ENDINGS)),
        source=draw(st.sampled_from(["a.csv", "capture 7", "\u00e9 of another store"])),
        started_at=draw(MOMENTS),
        utc_offset_s=draw(st.none() | st.integers(-50_000, 50_000)),
        tick_hz=250_000.0 if recorded else None,
        boot=draw(st.integers(0, 2**32)) if recorded else None,
        clock=draw(st.none() | st.builds(ClockRate, st.floats(-100, 100), st.floats(0, 9))),
        winding=draw(st.none() | st.just(Winding(8.5, (3.5, 5.0)))),
        said={field: draw(values) for field, values in VALUES.items()},
        history=tuple(draw(st.lists(lines(), max_size=4))),
    )


def same(a: Carried, b: Carried) -> None:
    for column in ("time_s", "direction", "number"):
        assert getattr(a.train, column).tolist() == getattr(b.train, column).tolist()
    assert (a.train.lost_before, a.train.ending) == (b.train.lost_before, b.train.ending)
    rest = [{k: v for k, v in vars(one).items() if k != "train"} for one in (a, b)]
    assert rest[0] == rest[1]
    assert a.identity == b.identity


@settings(max_examples=60, deadline=None)
@given(st.lists(runs(), min_size=1, max_size=3))
def test_any_runs_read_back_the_same(given_runs: list[Carried]) -> None:
    read = read_bundle(bundle_bytes(given_runs), "b.zip")
    for before, after in zip(given_runs, read, strict=True):
        same(before, after)


@settings(max_examples=15, deadline=None)
@given(st.lists(runs(), min_size=1, max_size=3))
def test_any_runs_are_in_the_store_as_they_were(given_runs: list[Carried]) -> None:
    with TemporaryDirectory() as folder, Store.open(Path(folder) / "s") as store:
        kept = import_bundle(store, bundle_bytes(given_runs), "b.zip")
        for run, (before, one) in enumerate(zip(given_runs, kept, strict=True)):
            if not one.already_there:
                after = store.carry(one.run_id)
                assert after.said == before.said, run
                assert after.history == before.history
                assert after.started_at == before.started_at
        assert all(one.already_there for one in store.add_carried(given_runs))
        assert store.check() == []
