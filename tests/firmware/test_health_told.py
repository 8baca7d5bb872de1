"""A failing battery and each kind of restart, from the chip to the recorder's onlookers."""

from __future__ import annotations

from pathlib import Path

import pytest

from board_rig import Told, recording, wait_for
from unspool.finding import Finding, warning
from unspool.instrument.codes import RecordCode
from unspool.instrument.link import cable_link
from unspool.instrument.record import BoardHealth, BoardTrouble
from unspool.store import Store
from unspool.virtual.demo.simulated_chip import SimulatedBoard

pytestmark = pytest.mark.firmware


def findings(told: Told) -> list[Finding]:
    return [trouble.finding for trouble in told.of(BoardTrouble)]


def test_battery_and_restarts_are_told_as_they_happen(tmp_path: Path) -> None:
    with SimulatedBoard() as board, Store.open(tmp_path / "s.sqlite") as store:
        link = cable_link(board.port)
        with recording(link, store) as (_, told):
            wait_for(lambda: told.of(BoardHealth), "the board's health")
            board.set_battery(3800)
            wait_for(lambda: len(findings(told)) == 1, "the warning")
            board.reset("brownout")
            wait_for(lambda: len(findings(told)) == 2, "the brown-out")
            board.hang()
            wait_for(lambda: len(findings(told)) == 3, "the watchdog")
    low, brown_out, watchdog = findings(told)
    assert low.code == RecordCode.BATTERY_LOW
    assert low.values["battery_v"] == pytest.approx(3.8, abs=0.05)
    assert brown_out == warning(RecordCode.BOARD_RESET, cause="brown_out")
    assert watchdog == warning(RecordCode.BOARD_RESET, cause="watchdog")
