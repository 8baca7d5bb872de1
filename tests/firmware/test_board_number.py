"""The compiled firmware keeps the number that a host gives it: it is known over another port."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from board_rig import recording, wait_for
from unspool.instrument.link.serial import SerialLink
from unspool.instrument.record import RunContext
from unspool.instrument.record.capture_reader import CaptureReader
from unspool.instrument.wire import BoardHello, EdgeBatch, EdgeGap
from unspool.instrument.wire.decoded import Decoded
from unspool.store import Store
from unspool.virtual.demo.simulated_chip import SimulatedBoard

pytestmark = pytest.mark.firmware

EACH = 150


def heard_in(store: Store, capture: int) -> list[Decoded]:
    row = store.capture(capture)
    reader = CaptureReader(RunContext(), row.known, row.key)
    return [item for chunk in store.chunks(capture) for item in reader.feed(chunk)]


def numbers(store: Store, capture: int) -> list[int]:
    heard = heard_in(store, capture)
    return [n for item in heard if isinstance(item, EdgeBatch) for n in item.number.tolist()]


def test_a_board_goes_on_over_another_port_in_its_own_capture(tmp_path: Path) -> None:
    with SimulatedBoard() as board, Store.open(tmp_path / "s") as store:
        for turn, name in enumerate(("ttyUSB0", "ttyUSB1", "ttyUSB0")):
            (tmp_path / name).unlink(missing_ok=True)
            (tmp_path / name).symlink_to(board.port)
            start = board.time_s + 0.1
            board.feed((start + i * 0.003, 1) for i in range(EACH))
            while board.time_s < start + 0.2:
                time.sleep(0.02)
            due = (turn + 1) * EACH
            with recording(SerialLink(str(tmp_path / name)), store):
                wait_for(lambda: store.captures(), "the capture")
                wait_for(lambda due=due: len(numbers(store, 1)) == due, "the edges")
        (row,) = store.captures()
        assert row.sessions == 3
        assert row.key is not None
        assert numbers(store, 1) == list(range(3 * EACH))
        hellos = [item for item in heard_in(store, 1) if isinstance(item, BoardHello)]
        assert hellos[-1].identity == row.key.identity
        assert not [item for item in heard_in(store, 1) if isinstance(item, EdgeGap)]
