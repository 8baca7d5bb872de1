"""A run end to end over the RP2040's USB port: its image, a port, the recorder, the store."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from board_rig import assert_on_time, recording, wait_for
from unspool.instrument.link import cable_link
from unspool.instrument.record import BoardHealth, BoardSeen
from unspool.store import Store
from unspool.virtual.demo.scenario import corridor, sandpiper
from unspool.virtual.demo.simulated_chip import SimulatedBoard
from unspool.virtual.truth import Imperfections, run

pytestmark = pytest.mark.firmware

QUICKER = 4.0  # than the car, so that the test is


def test_every_edge_of_a_run_arrives_at_its_time(tmp_path: Path) -> None:
    true = run(sandpiper(), corridor(), Imperfections(slot_sd=0.015, tick_s=0.5e-6), 0).train
    true = replace(true, time_s=(true.time_s - true.time_s[0]) / QUICKER)
    with SimulatedBoard(board="rp2040") as board, Store.open(tmp_path / "s") as store:
        with recording(cable_link(board.port), store) as (_, told):
            wait_for(lambda: told.of(BoardSeen), "the board")
            start = board.time_s + 0.3
            board.feed(zip(true.time_s + start, true.direction.tolist(), strict=True))
            wait_for(lambda: told.saved, "the run to be saved")
        assert_on_time(store.run("1"), true)
    assert told.of(BoardSeen)[0].firmware.startswith("rp2040 ")
    assert told.of(BoardHealth)[-1].edges_lost == 0
    assert told.of(BoardHealth)[-1].battery_v == pytest.approx(5.0, abs=0.02)
