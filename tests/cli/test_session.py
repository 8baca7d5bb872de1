"""A recording session beside readings that fail: the next run is recorded all the same."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from board_rig import powered
from unspool.app import RecordedCar
from unspool.cli.session import RecordingSession, Wanted
from unspool.instrument.link.virtual import Pipe, VirtualLink
from unspool.kept import Readings
from unspool.reading.events.types import Reading
from unspool.render.words.board import ENDINGS
from unspool.store import Store
from unspool.study.measured_run import MeasuredRun
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER, corridor, sandpiper
from unspool.virtual.demo.wheel_script import wheel_script

SPEED = 20.0


def test_a_reading_that_fails_ends_no_recording(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fail(_readings: Readings, _run: MeasuredRun) -> Reading:
        raise np.linalg.LinAlgError("Singular matrix")

    monkeypatch.setattr(Readings, "reading", fail)
    script = wheel_script(sandpiper(), corridor(), runs=2, seed=3, first_s=8.0)
    pipe = Pipe()
    link = VirtualLink(pipe)
    link.pace = SPEED
    recorded = RecordedCar(
        sandpiper(), corridor(), SANDPIPER.read_text("utf-8"), CORRIDOR.read_text("utf-8")
    )
    with powered(pipe, script.edges, SPEED), Store.open(tmp_path / "s") as store:
        session = RecordingSession(
            [Wanted(link, recorded)], store, lambda *_: None, is_over=lambda saved: saved == 2
        )
        session.run(None)
        assert session.saved == ["1", "2"]
        assert [row.ending in ENDINGS for row in store.runs()] == [False, False]
    assert capsys.readouterr().out.count("LinAlgError: Singular matrix") == 2
