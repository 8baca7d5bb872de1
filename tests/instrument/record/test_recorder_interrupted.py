"""A recording that is cut off, stopped or killed goes on: every edge of the run is in the store."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from board_rig import (
    RECORDER,
    assert_whole,
    has_whole_run,
    powered,
    recording,
    wait_for,
)
from unspool.instrument.link.serial import SerialLink
from unspool.instrument.link.virtual import Pipe, VirtualLink
from unspool.instrument.record import (
    BoardSeen,
    Phase,
    rebuild,
)
from unspool.reading.edges.ending import Ending
from unspool.store import Store
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal
from unspool.virtual.demo.wheel_script import WheelScript

SPEED = 20.0  # seconds of the board in one of ours


@pytest.mark.parametrize("pulled_at_s", [9.0, 18.0, 21.0])
def test_cable_pulled_in_the_run_and_put_back(
    script: WheelScript, store: Store, tmp_path: Path, pulled_at_s: float
) -> None:
    """The pseudo-terminal is closed while winding or in the run, and reopened: no edge is lost."""
    terminal = PseudoTerminal(tmp_path / "board")
    due = int(np.searchsorted(script.time_s, pulled_at_s))
    with (
        powered(terminal, script.edges, SPEED) as board,
        recording(SerialLink(terminal.port), store, SPEED) as (_, told),
    ):
        wait_for(lambda: board.played > due, "the run")
        terminal.unplug()
        wait_for(lambda: False in told.link_ups, "the loss to be noticed")
        wait_for(lambda: board.played > due + 60, "edges without a link")
        terminal.plug()
        wait_for(lambda: told.saved, "the run to be saved")
    assert_whole(store.run("1"), script)
    assert store.run("1").train.missing == 0
    assert "check the cable" in told.link_reasons[0]
    assert Phase.NO_LINK in told.phases
    assert told.link_ups[-1]


def test_stopped_in_the_run_and_gone_on_with(script: WheelScript, store: Store) -> None:
    """A clean stop keeps what there is; the next recorder completes the same run."""
    terminal = PseudoTerminal()
    with powered(terminal, script.edges, SPEED):
        with recording(SerialLink(terminal.port), store, SPEED) as (_, told):
            wait_for(lambda: len(told.live_numbers) > 100, "the run")
        assert store.run("1").ending is Ending.RECORDING_STOPPED
        part = len(store.run("1").train)
        with recording(SerialLink(terminal.port), store, SPEED) as (_, told):
            wait_for(lambda: told.saved, "the run to be saved")
            assert told.phases[0] is Phase.RUNNING
    terminal.close()
    assert [row.id for row in store.runs()] == ["1"]
    assert store.run("1").ending is Ending.STOOD_STILL
    assert len(store.run("1").train) > part
    assert_whole(store.run("1"), script)
    assert [row.sessions for row in store.captures()] == [2]


def test_a_long_capture_is_followed_by_another(
    two_runs: WheelScript, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second knows what the first has: no edge of the old run comes into it again."""
    monkeypatch.setattr("unspool.instrument.record.board_record.LONG_BYTES", 1000)
    terminal = PseudoTerminal()
    with powered(terminal, two_runs.edges, SPEED):
        with recording(SerialLink(terminal.port), store, SPEED) as (_, told):
            wait_for(lambda: told.saved, "the first run")
        with recording(SerialLink(terminal.port), store, SPEED) as (_, told):
            wait_for(lambda: told.saved, "the second run")
    terminal.close()
    rows = store.captures()
    assert len(rows) > 2
    assert len({row.key for row in rows}) == 1
    assert all(row.known is not None for row in rows[1:])
    for k, run_id in enumerate(("1", "2")):
        assert_whole(store.run(run_id), two_runs, k)
    assert [run_id for row in rows for run_id in rebuild(store, row.id)] == ["1", "2"]
    for k, run_id in enumerate(("1", "2")):
        assert_whole(store.run(run_id), two_runs, k)


@pytest.mark.parametrize("moments", [(7.0,), (11.0, 14.0), (17.0, 18.0, 22.0), (26.0,)])
def test_killed_and_started_again(
    script: WheelScript, tmp_path: Path, moments: tuple[float, ...]
) -> None:
    """SIGKILL while winding, at rest and in the run: the run is whole all the same."""
    terminal = PseudoTerminal()
    path = tmp_path / "s"

    def child() -> subprocess.Popen[str]:
        command = [sys.executable, "-c", RECORDER, terminal.port, str(path), "5"]
        started = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert started.stdout is not None
        assert started.stdout.readline() == "LinkChanged\n"
        return started

    with powered(terminal, script.edges, 5.0) as board:
        recorder = child()
        for moment in moments:
            due = int(np.searchsorted(script.time_s, moment))
            wait_for(lambda due=due: board.played >= due, "the moment")
            os.kill(recorder.pid, signal.SIGKILL)
            recorder.communicate()
            with Store.open(path) as store:
                assert store.check() == []
            recorder = child()
        with Store.open(path) as store:
            wait_for(lambda: has_whole_run(store), "the run to be saved")
        recorder.kill()
        recorder.communicate()
    terminal.close()
    with Store.open(path) as store:
        assert_whole(store.run("1"), script)
        assert len(store.runs()) == 1
        assert rebuild(store, 1) == ["1"]
        assert store.check() == []


def test_board_reset_in_the_run_is_two_runs(script: WheelScript, store: Store) -> None:
    pipe = Pipe()
    with (
        powered(pipe, script.edges, SPEED) as board,
        recording(VirtualLink(pipe), store, SPEED) as (_, told),
    ):
        wait_for(lambda: len(told.live_numbers) > 100, "the run")
        board.reset()
        wait_for(lambda: len(told.saved) == 2, "what followed the reset")
    one, two = store.run("1"), store.run("2")
    assert one.ending is Ending.BOARD_RESTARTED
    assert one.winding is not None
    assert two.winding is None
    assert two.train.number[0] < one.train.number[0]
    assert list(dict.fromkeys(seen.boot for seen in told.of(BoardSeen))) == [7, 8]
