"""The store keeps what it was given, word for word and bit for bit."""

from __future__ import annotations

import subprocess
import sys
import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from unspool.errors import InputError
from unspool.reading.edges.ending import Ending
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import (
    ClockRate,
    Field,
    FoundRun,
    KnownEdges,
    Origin,
    Place,
    Store,
    Winding,
    default_path,
)
from unspool.store.columns import pack, unpack

CAR = 'name = "Sandpiper"\n# a comment that is kept\n'
TRACK = 'name = "Corridor"\n'


def train(*times: float, first: int = 100) -> PulseTrain:
    n = len(times)
    return PulseTrain(
        np.array(times),
        np.where(np.arange(n) % 5 == 4, -1, 1).astype(np.int8),
        np.arange(first, first + n, dtype=np.int64),
    )


def found(run: PulseTrain, clock: ClockRate | None = None, boot: int = 7) -> FoundRun:
    started = datetime(2024, 5, 4, 10, 30, 0, 250_000, tzinfo=UTC)
    return FoundRun(run, boot, 250_000.0, started, Winding(9.0, (3.5, 5.5)), clock)


@pytest.fixture
def store(place: Place) -> Iterator[Store]:
    with Store.open(place) as opened:
        yield opened


def test_import_comes_back_exactly(store: Store) -> None:
    given_train = train(1.0, 1.1, 1.1, 1e9 + 0.1, 2e9)
    answer = store.add_import(given_train, CAR, TRACK, source="shed.csv", winding=Winding(2.5))
    run = store.run(answer.run_id)
    assert answer.run_id == "1"
    assert not answer.already_there
    assert (run.car_text, run.track_text, run.source) == (CAR, TRACK, "shed.csv")
    assert run.winding == Winding(2.5, ())
    assert run.clock is None
    np.testing.assert_array_equal(run.train.time_s, given_train.time_s)
    np.testing.assert_array_equal(run.train.direction, [1, 1, 1, 1, -1])
    np.testing.assert_array_equal(run.train.number, [100, 101, 102, 103, 104])
    assert (run.train.time_s.dtype, run.train.direction.dtype) == (np.float64, np.int8)


def test_same_import_twice_names_the_run_and_adds_nothing(store: Store) -> None:
    store.add_import(train(5.0, 6.0), CAR, source="other.csv")
    first = store.add_import(train(1.0, 2.0), CAR, source="a.csv")
    again = store.add_import(train(1.0, 2.0), CAR, source="renamed.csv")
    assert (first.run_id, first.already_there) == ("2", False)
    assert (again.run_id, again.already_there) == ("2", True)
    assert [row.source for row in store.runs()] == ["other.csv", "a.csv"]


@pytest.mark.parametrize(
    ("edges", "car", "track"),
    [
        (train(1.0, 2.0000001), CAR, None),
        (train(1.0, 2.0), CAR + "#", None),
        (train(1.0, 2.0), CAR, TRACK),
    ],
)
def test_another_edge_car_or_track_is_another_run(store: Store, edges, car, track) -> None:
    store.add_import(train(1.0, 2.0), CAR, source="a.csv")
    assert store.add_import(edges, car, track, source="a.csv").run_id == "2"


def test_rows_say_what_a_list_needs(store: Store) -> None:
    gap = PulseTrain(
        np.array([0.0, 1.0]), np.array([1, 1], np.int8), np.array([4, 9], dtype=np.int64)
    )
    store.add_import(gap, CAR, TRACK, source="gap.csv")
    (row,) = store.runs()
    assert (row.id, row.car, row.track) == ("1", "Sandpiper", "Corridor")
    assert (row.edges, row.missing) == (2, 4)
    assert abs((datetime.now(UTC) - row.started_at).total_seconds()) < 60


@pytest.mark.parametrize("run_id", ["2", "0", "-1", "r1", "", "1.0", "\u0661", "9" * 40])
def test_unknown_run_is_the_users_to_mend(store: Store, run_id: str) -> None:
    store.add_import(train(1.0, 2.0), CAR, source="a.csv")
    with pytest.raises(InputError, match="no run") as caught:
        store.run(run_id)
    assert "unspool runs" in str(caught.value)


def test_found_run_is_corrected_by_the_clock(store: Store) -> None:
    log = store.begin_capture("serial:/dev/ttyUSB0")
    # a board that counts 1000 ppm too fast: its 1001 s are the host's 1000 s
    run_id = store.save_found(
        log.capture, found(train(1001.0, 2002.0), ClockRate(1000.0, 2.0)), CAR, TRACK
    )
    run = store.run(run_id)
    np.testing.assert_allclose(run.train.time_s, [1000.0, 2000.0], rtol=1e-12)
    assert run.clock == ClockRate(1000.0, 2.0)
    assert run.winding == Winding(9.0, (3.5, 5.5))
    assert run.tick_hz == 250_000.0
    assert run.started_at == datetime(2024, 5, 4, 10, 30, 0, 250_000, tzinfo=UTC)


def test_run_found_again_keeps_its_id_and_gains_edges(store: Store) -> None:
    log = store.begin_capture("virtual:")
    first = store.save_found(log.capture, found(train(1.0, 2.0)), CAR)
    other = store.save_found(log.capture, found(train(9.0, 9.5, first=300)), CAR)
    again = store.save_found(log.capture, found(train(1.0, 2.0, 3.0)), 'name = "X"')
    assert (first, other, again) == ("1", "2", "1")
    assert len(store.run("1").train) == 3
    assert store.run("1").car_text == CAR


def test_same_edges_of_another_boot_or_capture_are_another_run(store: Store) -> None:
    one, two = store.begin_capture("virtual:"), store.begin_capture("virtual:")
    ids = [
        store.save_found(one.capture, found(train(1.0, 2.0), boot=7), CAR),
        store.save_found(one.capture, found(train(1.0, 2.0), boot=8), CAR),
        store.save_found(two.capture, found(train(1.0, 2.0), boot=7), CAR),
    ]
    assert ids == ["1", "2", "3"]


def test_capture_comes_back_in_order_with_its_sessions(store: Store) -> None:
    log = store.begin_capture("serial:/dev/ttyUSB0")
    log.append(1_700_000_000.000001, b"\x00one")
    log.append(1_700_000_000.5, b"", Origin.BUILDER)
    store.begin_capture("serial:/dev/ttyUSB1").append(1_700_000_001.0, b"not ours")
    resumed = store.resume_capture(log.capture)
    resumed.append(1_700_000_003.0, b"three")
    chunks = store.chunks(log.capture)
    assert [(c.session, c.data) for c in chunks] == [(1, b"\x00one"), (1, b""), (2, b"three")]
    assert [c.origin for c in chunks] == ["board", "builder", "board"]
    assert chunks[0].arrived_s == pytest.approx(1_700_000_000.000001, abs=2e-7)
    first, second = store.captures()
    assert (first.link, first.sessions, first.size_bytes) == ("serial:/dev/ttyUSB0", 2, 9)
    assert (second.sessions, second.size_bytes) == (1, 8)


def test_unknown_capture_is_refused(store: Store) -> None:
    with pytest.raises(InputError, match="no capture 5"):
        store.capture(5)


def test_a_capture_says_what_earlier_ones_have(store: Store) -> None:
    first = store.begin_capture("serial:/dev/ttyUSB0")
    second = store.begin_capture("serial:/dev/ttyUSB0", KnownEdges(7, 1200))
    assert store.capture(first.capture).known is None
    assert store.capture(second.capture).known == KnownEdges(7, 1200)


@given(
    st.lists(st.floats(-1e12, 1e12), max_size=50).map(sorted),
    st.data(),
)
def test_packing_is_exact(times: list[float], data: st.DataObject) -> None:
    n = len(times)
    signs = data.draw(st.lists(st.sampled_from([1, -1]), min_size=n, max_size=n))
    numbers = sorted(data.draw(st.sets(st.integers(0, 2**40), min_size=n, max_size=n)))
    packed = pack(PulseTrain(np.array(times), np.array(signs, np.int8), np.array(numbers, int)))
    back = unpack(**packed)
    assert back.time_s.tolist() == times
    assert back.direction.tolist() == signs
    assert back.number.tolist() == numbers


def test_default_store_is_in_the_users_data_folder(monkeypatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert default_path().name == "unspool.sqlite"
    with Store.open() as opened:
        assert opened.place == default_path()
    if sys.platform.startswith("linux"):
        assert default_path() == tmp_path / "unspool" / "unspool.sqlite"


def test_folders_on_the_way_are_made(tmp_path: Path) -> None:
    with Store.open(tmp_path / "a" / "b" / "runs.sqlite") as opened:
        assert opened.runs() == []


def test_what_was_kept_is_there_on_reopening(place: Place) -> None:
    with Store.open(place) as opened:
        opened.add_import(train(1.0, 2.0), CAR, source="a.csv")
    with Store.open(place) as opened:
        assert [row.source for row in opened.runs()] == ["a.csv"]
        assert opened.check() == []


def test_two_writers_on_one_store_both_work(place: Place) -> None:
    def write(name: str) -> None:
        with Store.open(place) as mine:
            log = mine.begin_capture(name)
            for step in range(60):
                log.append(float(step), name.encode())

    threads = [threading.Thread(target=write, args=(n,)) for n in ("one", "two", "three")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with Store.open(place) as opened:
        sizes = {row.link: row.size_bytes for row in opened.captures()}
        assert sizes == {"one": 180, "two": 180, "three": 300}


WRITER = """
import sys
from unspool.store import Store, place_of
log = Store.open(place_of(sys.argv[1])).begin_capture("virtual:")
for step in range(10**9):
    log.append(float(step), step.to_bytes(8, "little"))
    print(step, flush=True)
"""


@pytest.mark.parametrize("after", [0, 3, 17])
def test_what_was_appended_outlives_sigkill(place: Place, after: int) -> None:
    """Every append that returned before the kill is there, whole and in order."""
    child = subprocess.Popen(
        [sys.executable, "-c", WRITER, getattr(place, "url", str(place))],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert child.stdout is not None
    for _ in range(after + 1):
        last = int(child.stdout.readline())
    child.kill()
    last = max([last, *map(int, child.stdout.read().split("\n")[:-1])])
    child.wait()
    with Store.open(place) as opened:
        steps = [int.from_bytes(c.data, "little") for c in opened.chunks(1)]
        assert steps[: last + 1] == list(range(last + 1))
        assert len(steps) <= last + 2
        assert opened.check() == []


def test_a_builders_note_outlives_another_reading_of_the_run(store: Store) -> None:
    log = store.begin_capture("virtual:")
    run_id = store.save_found(log.capture, found(train(1.0, 2.0)), CAR)
    store.correct(run_id, {Field.NOTE: "weight 850 g\nlevel floor"}, "Ada")
    cut = replace(train(1.0, 2.0, 3.0), ending=Ending.RECORDING_STOPPED, lost_before=7)
    more = found(cut)
    assert store.save_found(log.capture, more, CAR) == run_id
    run, (row,) = store.run(run_id), store.runs()
    assert (run.ending, run.builder_note) == (
        Ending.RECORDING_STOPPED,
        "weight 850 g\nlevel floor",
    )
    assert (row.ending, row.builder_note) == (run.ending, run.builder_note)
    assert (run.train.lost_before, row.missing) == (7, 7)
    store.correct(run_id, {Field.NOTE: ""}, "Ada")
    assert store.run(run_id).builder_note == ""


def test_a_note_of_no_run_is_refused(store: Store) -> None:
    store.add_import(train(1.0, 2.0), CAR, source="a.csv")
    for run_id in ("2", "0", "-1", "x", "9" * 40):
        with pytest.raises(InputError, match="no run"):
            store.correct(run_id, {Field.NOTE: "lost"}, "Ada")
    assert store.run("1").builder_note == ""
