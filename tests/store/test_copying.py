"""A copy of a store holds the same, to the last bit, and each row once however often it is made."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import event

from cli.shell import here
from database_server import DatabaseServer
from store.directly import say
from store.filled import contents, found, record, rows
from unspool.errors import InputError, StoreWaitError
from unspool.store import Field, Place, Store
from unspool.store.copying import Copied, copy

CUTS = 8


def copied(source: Place, target: Place, tag: str | None = None) -> Copied:
    with Store.open(source) as here, Store.open(target) as there:
        return copy(here, there, tag)


def made(place: Place, *seeds: int) -> Place:
    with Store.open(place) as store:
        for seed in seeds:
            record(store, seed)
    return place


def test_a_whole_store_goes_there_and_back_bit_for_bit(tmp_path: Path, place: Place) -> None:
    source = made(tmp_path / "a", 1, 2)
    with Store.open(source) as store:
        run = store.runs()[-1].id
        store.correct(run, {Field.NOTE: "a NUL \0 and \uf8ff0"}, "Ada\0")
    say(source, "DELETE FROM corrections WHERE 0")
    before = rows(source)
    did = copied(source, place)
    assert rows(place) == before
    assert did.renumbered == {}
    copied(place, tmp_path / "back")
    assert rows(tmp_path / "back") == before
    for again in (copied(source, place), copied(place, source)):
        assert (again.rows, again.grown_runs, again.apart) == (0, 0, [])
    assert rows(place) == rows(source) == before
    with Store.open(place) as store:  # what is given next is larger than all
        assert int(record(store, 3)[0]) == len(before["runs"]) + 1
        assert store.check() == []


def test_a_copy_of_what_is_there_reads_no_edges(tmp_path: Path, place: Place) -> None:
    source = made(tmp_path / "a", 1)
    copied(source, place)
    with Store.open(source) as here, Store.open(place) as there:
        here.correct("1", {Field.NOTE: "said since"}, "Ada")
        asked: list[str] = []
        for store in (here, there):
            event.listen(
                store._engine, "before_cursor_execute", lambda *said: asked.append(said[2])
            )
        did = copy(here, there)
        assert there.history("1")[-1].after == "said since"
    assert (did.rows, did.corrections) == (1, 1)
    assert asked
    assert not any("time_s" in words.replace("timed_s", "") for words in asked)


def test_several_stores_come_together_and_none_comes_twice(tmp_path: Path, place: Place) -> None:
    sources = [made(tmp_path / f"s{seed}", seed) for seed in (1, 2, 3)]
    made(tmp_path / "all", 1)
    for _ in range(2):
        for source in sources:
            did = copied(source, place)
    assert did.rows == 0
    assert len(did.renumbered) == 7
    whole = contents(place)
    for part in ("runs", "captures"):
        parts = [one for source in sources for one in contents(source)[part]]
        assert whole[part] == sorted(parts, key=repr)
    with Store.open(place) as store:
        assert store.check() == []
        assert len(store.board_cars()) == 6
        for row in store.runs():
            if row.source.startswith("capture "):
                log = store.capture(int(row.source.split()[1]))
                assert log.runs == 3


def test_a_tag_chooses_runs_with_what_they_need(tmp_path: Path, place: Place) -> None:
    source = made(tmp_path / "a", 1)
    did = copied(source, place, "heat")
    with Store.open(place) as there, Store.open(source) as here:
        (row,) = there.runs()
        assert row.tags == ("heat",)
        (capture,) = there.captures()
        assert there.chunks(capture.id) == here.chunks(here.captures()[0].id)
        assert [c.after for c in there.history(row.id)] == [c.after for c in here.history("1")]
    assert did.new_runs == 1
    with pytest.raises(InputError, match="final"):
        copied(source, place, "final")
    copied(source, place)
    assert contents(place) == contents(source)


def test_what_grows_and_is_corrected_after_the_first_copy_follows(
    tmp_path: Path, place: Place
) -> None:
    with Store.open(tmp_path / "a") as here, Store.open(place) as there:
        log = here.begin_capture("serial:A")
        log.append(1.0, b"one")
        run = here.save_found(log.capture, found(1, 5, 1), 'name = "Dunlin"')
        copy(here, there)
        log.append(2.0, b"two")
        here.resume_capture(log.capture).append(3.0, b"three")
        here.save_found(log.capture, found(1, 9, 1), None)
        here.correct(run, {Field.TAPED_M: 3.5, Field.CAR: 'name = "Turnstone"'}, "Ada")
        did = copy(here, there)
        assert (did.new_runs, did.grown_runs, did.chunks, did.corrections) == (0, 1, 2, 2)
        assert len(there.run(run).train) == 9
        assert there.run(run).taped_m == 3.5
    assert contents(place) == contents(tmp_path / "a")


def test_a_run_corrected_in_both_stores_stays_as_it_is_there(tmp_path: Path, place: Place) -> None:
    with Store.open(made(tmp_path / "a", 1)) as here, Store.open(place) as there:
        copy(here, there)
        here.correct("1", {Field.NOTE: "here"}, "Ada")
        there.correct("1", {Field.NOTE: "there"}, "Ben")
        there.correct("2", {Field.NOTE: "there alone"}, "Ben")
        did = copy(here, there)
        assert did.apart == ["1"]
        assert [there.run(run).builder_note for run in "12"] == ["there", "there alone"]
        assert copy(there, here).apart == ["1"]
        assert [here.run(run).builder_note for run in "12"] == ["here", "there alone"]


def test_a_contest_follows_with_the_numbers_of_its_runs(tmp_path: Path, place: Place) -> None:
    source = made(tmp_path / "a", 2)
    with Store.open(made(place, 1)) as there, Store.open(source) as here:
        copy(here, there)
        here.contests.add("1", "Ada", "note", {"a": 1})
        assert copy(here, there).events == 1
        (event,) = [one for one in there.contests.events("2") if one.run_id]
        assert event.run_id == event.data["run"] == "8"
        assert there.run("8").builder_note == here.run("1").builder_note
        there.contests.add("2", "Ben", "note", {})
        here.contests.add("1", "Ada", "note", {})
        assert copy(here, there).contests_apart == ["1"]
        assert len(there.contests.events("2")) == 4


def test_a_version_chosen_there_later_stays_chosen(tmp_path: Path, place: Place) -> None:
    old, new = 'name = "Dunlin"\n# old', 'name = "Dunlin"\n# new'
    with Store.open(tmp_path / "a") as here, Store.open(place) as there:
        here.cars.save(old, "Dunlin", "Ada")
        there.cars.save(new, "Dunlin", "Ben")
        for _ in range(2):
            copy(here, there)
        car = there.cars.one("Dunlin")
        assert car.current.text == new
        assert sorted(version.text for version in car.versions) == [new, old]
        assert len(car.history) == 2


def test_a_damaged_row_is_left_out_and_counted(tmp_path: Path, place: Place) -> None:
    source = made(tmp_path / "a", 1)
    say(source, "UPDATE runs SET started_us = 'x' WHERE id = 2")
    say(source, "DROP TRIGGER chunks_are_kept")
    say(source, "UPDATE chunks SET data = 7 WHERE id = 1")
    say(source, "UPDATE corrections SET who = x'ff' WHERE id = 0")
    for _ in range(2):
        did = copied(source, place)
        assert did.damaged > 0
    with Store.open(place) as store:
        assert "2" not in {row.id for row in store.runs()}
        assert len(store.captures()) == 2
        assert sum(len(store.chunks(row.id)) for row in store.captures()) == 5


def test_one_store_is_not_copied_to_itself(place: Place) -> None:
    with pytest.raises(InputError):
        copied(place, place)


def test_two_copies_of_the_same_at_once_keep_each_chunk_once(
    tmp_path: Path, place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    source = made(tmp_path / "a", 1)
    first: list[Callable[[], object]] = [lambda: copied(source, place)]

    def meanwhile(what: str, done: int, _of: int) -> None:
        if what == "chunks" and done == 0 and first:
            first.pop()()

    with (
        Store.open(source) as here,
        Store.open(place) as there,
        pytest.raises(StoreWaitError, match="another program"),
    ):
        copy(here, there, progress=meanwhile)
    copied(source, place)
    assert contents(place) == contents(source)


CHILD = """
import sys, time
from unspool.store import Store, place_of
from unspool.store.copying import copy
copy_module = sys.modules["unspool.store.copying.copy"]
copy_module.CHUNKS = copy_module.RUNS = 1
def show(what, done, of):
    print(what, done, flush=True)
with Store.open(place_of(sys.argv[1])) as here, Store.open(place_of(sys.argv[2])) as there:
    copy(here, there, progress=show)
"""


def address(place: Place) -> str:
    return getattr(place, "url", str(place))


def test_a_copy_that_is_killed_goes_on_from_there(tmp_path: Path, place: Place) -> None:
    source, rng = made(tmp_path / "a", 1, 2), random.Random(5)
    for _ in range(CUTS // 2):
        child = subprocess.Popen(
            [sys.executable, "-c", CHILD, address(source), address(place)], stdout=subprocess.PIPE
        )
        assert child.stdout is not None
        for _ in range(rng.randint(1, 12)):
            child.stdout.readline()
        child.send_signal(signal.SIGKILL)
        child.wait()
    copied(source, place)
    assert contents(place) == contents(source)


def test_a_copy_whose_server_goes_away_goes_on_from_there(
    tmp_path: Path, server: DatabaseServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    source, rng = made(tmp_path / "a", 1, 2), random.Random(6)
    module = sys.modules["unspool.store.copying.copy"]
    monkeypatch.setattr(module, "CHUNKS", 1)
    monkeypatch.setattr(module, "RUNS", 1)
    with server.fresh() as place:
        for _ in range(CUTS // 2):
            left = [rng.randint(1, 24)]

            def cut(_what: str, _done: int, _of: int, left: list[int] = left) -> None:
                left[0] -= 1
                if left[0] == 0:
                    server.stop()

            with Store.open(source) as here, Store.open(place) as there:
                with pytest.raises(StoreWaitError):
                    copy(here, there, progress=cut)
                server.start()
        copied(source, place)
        assert contents(place) == contents(source)


def test_the_command_says_what_it_did(tmp_path: Path, server: DatabaseServer) -> None:
    source = made(tmp_path / "a", 1)
    with server.fresh("template0") as place:
        command = ("store", "copy", source, place.url)
        said = here(*command, "--json", home=tmp_path).answer
        assert (said["new_runs"], said["captures"], said["renumbered"]) == (7, 2, {})
        again = here(*command, home=tmp_path)
        assert again.out.startswith("0 new runs")
