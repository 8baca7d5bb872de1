"""Whatever else fails, a run is recorded: faulty history, observers that raise, a locked store."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest

from board_rig import Told, assert_whole, powered, recording, wait_for
from golden_wire import hello
from unspool.errors import BoardError, StoreError
from unspool.finding import Finding
from unspool.instrument.codes import RecordCode
from unspool.instrument.link.virtual import Pipe, VirtualLink
from unspool.instrument.record import BoardTrouble, Notice, Recorder, RunContext, RunSaved, rebuild
from unspool.instrument.wire.frames import frame
from unspool.reading.events import analyse
from unspool.reading.events.codes import ReadingCode
from unspool.store import Store
from unspool.virtual.demo.scenario import corridor, sandpiper
from unspool.virtual.demo.wheel_script import WheelScript, wheel_script

SPEED = 20.0


class LastingLink(VirtualLink):
    """A virtual board behind a port: the next session goes on with its capture."""

    lasting = True


def troubles(told: Told) -> list[Finding]:
    return [notice.finding for notice in told.of(BoardTrouble)]


def record_a_run(store: Store, script: WheelScript) -> Told:
    pipe = Pipe()
    with (
        powered(pipe, script.edges, SPEED),
        recording(LastingLink(pipe), store, SPEED) as (_, told),
    ):
        wait_for(lambda: told.saved, "the run to be saved")
    assert_whole(store.run(told.saved[0]), script)
    return told


@pytest.mark.parametrize(
    "history",
    [
        frame(hello(table_hash=0xDEADBEEF)),
        frame(hello(tick_hz=0)),
        frame(hello(tick_hz=1, boot=7)),
        frame(hello(edges_per_turn=255, next_edge=0xFFFFFFFF)),
        b"\x00\xff" * 500,
    ],
)
def test_a_good_board_is_recorded_after_any_history(
    store: Store, script: WheelScript, history: bytes
) -> None:
    log = store.begin_capture("virtual:")
    for k in range(4):
        log.append(float(k), history)
    told = record_a_run(store, script)
    assert troubles(told) == []


def test_a_capture_whose_replay_fails_is_set_aside_and_named(
    store: Store, script: WheelScript, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise ZeroDivisionError("division by zero")

    store.begin_capture("virtual:").append(0.0, b"anything")
    monkeypatch.setattr("unspool.instrument.record.attaching.replay", fail)
    told = record_a_run(store, script)
    (aside,) = troubles(told)
    assert (aside.code, aside.values["capture"]) == (RecordCode.CAPTURE_SET_ASIDE, 1)
    assert [row.id for row in store.captures()] == [1, 2]
    assert store.chunks(1)[0].data == b"anything"


def test_a_foreign_board_leaves_the_port_to_a_good_one(store: Store, script: WheelScript) -> None:
    pipe = Pipe()
    pipe.send(3 * frame(hello(table_hash=0xDEADBEEF)))
    with pytest.raises(BoardError):
        Recorder(LastingLink(pipe), store).run()
    record_a_run(store, script)


def test_what_a_foreign_board_sent_gives_no_run(store: Store) -> None:
    store.begin_capture("virtual:").append(0.0, 4 * frame(hello(tick_hz=0)))
    assert rebuild(store, 1) == []


def test_an_observer_that_fails_ends_nothing(store: Store, script: WheelScript) -> None:
    pipe, told, seen = Pipe(), Told(), []

    def page(notice: Notice) -> None:
        seen.append(notice)
        raise KeyError("x")

    with powered(pipe, script.edges, SPEED):
        link = VirtualLink(pipe)
        link.pace = SPEED
        recorder = Recorder(link, store, RunContext(edges_per_turn=20), [page, told])
        recorder.start()
        wait_for(lambda: told.saved, "the run to be saved")
        recorder.stop()
        recorder.join(60.0)
    assert len(seen) == 1
    (failed,) = troubles(told)
    assert failed.code == RecordCode.OBSERVER_FAILED
    assert failed.values == {"observer": "page", "reason": "KeyError: 'x'"}
    assert len(told.of(RunSaved)) == 1
    assert_whole(store.run(told.saved[0]), script)


def lock(path: Path) -> sqlite3.Connection:
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    return other


def codes(told: Told) -> list[str]:
    return [finding.code for finding in troubles(told)]


def test_a_store_that_is_locked_in_the_run_costs_no_edge(
    tmp_path: Path, script: WheelScript
) -> None:
    pipe = Pipe()
    with (
        Store.open(tmp_path / "s", busy_s=0.1) as store,
        powered(pipe, script.edges, SPEED) as board,
        recording(VirtualLink(pipe), store, SPEED) as (_, told),
    ):
        wait_for(lambda: board.played > 20, "edges")
        other = lock(tmp_path / "s")
        wait_for(lambda: RecordCode.STORE_WAITS in codes(told), "the warning")
        other.execute("ROLLBACK")
        wait_for(lambda: told.saved, "the run to be saved")
        assert_whole(store.run(told.saved[0]), script)
    assert codes(told) == [RecordCode.STORE_WAITS, RecordCode.STORE_WRITES_AGAIN]


def test_a_store_that_is_locked_at_the_start_is_waited_for(
    tmp_path: Path, script: WheelScript
) -> None:
    Store.open(tmp_path / "s").close()
    other = lock(tmp_path / "s")
    pipe = Pipe()
    with (
        Store.open(tmp_path / "s", busy_s=0.1) as store,
        powered(pipe, script.edges, SPEED),
        recording(VirtualLink(pipe), store, SPEED) as (_, told),
    ):
        wait_for(lambda: RecordCode.STORE_WAITS in codes(told), "the warning")
        other.execute("ROLLBACK")
        wait_for(lambda: told.saved, "the run to be saved")


def test_stopping_ends_the_wait_and_the_board_keeps_its_edges(
    tmp_path: Path, script: WheelScript
) -> None:
    pipe = Pipe()
    with powered(pipe, script.edges, SPEED) as board:
        with Store.open(tmp_path / "s", busy_s=0.1) as store:
            told = Told()
            recorder = Recorder(VirtualLink(pipe), store, observers=[told])
            recorder.start()
            wait_for(lambda: board.played > 20, "edges")
            other = lock(tmp_path / "s")
            wait_for(lambda: RecordCode.STORE_WAITS in codes(told), "the warning")
            recorder.stop()
            with pytest.raises(StoreError, match="locked"):
                recorder.join(60.0)
            other.execute("ROLLBACK")
        with (
            Store.open(tmp_path / "s") as store,
            recording(VirtualLink(pipe), store, SPEED) as (_, again),
        ):
            wait_for(lambda: again.saved, "the run to be saved")
            assert_whole(store.run(again.saved[0]), script)


def test_a_cable_off_for_a_run_of_too_many_edges_leaves_its_distance_unknown(store: Store) -> None:
    """40 edges a turn: the board keeps two thirds of the run."""
    car = replace(sandpiper(), encoder=replace(sandpiper().encoder, pulses_per_turn=40))
    script = wheel_script(car, corridor(), runs=1, seed=3, first_s=8.0)
    pipe, told = Pipe(), Told()
    link = VirtualLink(pipe)
    link.pace = SPEED
    launch_s = script.truths[0].train.time_s[0] + script.offset_s[0]
    with powered(pipe, script.edges, SPEED) as board:
        recorder = Recorder(link, store, RunContext(edges_per_turn=40), [told])
        recorder.start()
        wait_for(lambda: told.phases[-1:] == ["ready"], "the car to be wound")
        pipe.cut()
        wait_for(lambda: board.played == len(script.edges), "the end of the run")
        pipe.cut(out=False)
        wait_for(lambda: told.saved, "the run to be saved")
        recorder.stop()
        recorder.join(60.0)
    run = store.run("1")
    assert run.train.time_s[0] > launch_s
    assert 100 < run.train.lost_before <= store.runs()[0].missing
    reading = analyse(run.train, car, corridor())
    assert not reading.motion.measures_distance
    assert ReadingCode.EDGES_LOST_BEFORE in {finding.code for finding in reading.findings}
