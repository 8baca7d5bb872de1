"""A run that the board holds comes over a cable whose plugging in resets the board."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from board_rig import recording, wait_for
from unspool.instrument.link import cable_link
from unspool.instrument.record import BoardHealth, RunContext
from unspool.instrument.record.capture_reader import CaptureReader
from unspool.instrument.wire import BoardHello, BoardRestarted, Conversation, EdgeBatch, EdgeGap
from unspool.instrument.wire.decoded import BoardStatus, Decoded
from unspool.instrument.wire.table import ResetCause
from unspool.store import Store
from unspool.virtual.demo.simulated_chip import SimulatedBoard

pytestmark = pytest.mark.firmware

EDGES = 600


def fetched(port: str, patience_s: float = 20.0) -> list[Decoded]:
    """All that the board says until its edges and a status are here."""
    link, host, heard = cable_link(port), Conversation(), []
    link.open()
    try:
        end = time.monotonic() + patience_s
        while time.monotonic() < end and not done(heard):
            heard += host.receive(link.read(0.05))
            host.stored()
            link.write(host.to_send(time.monotonic()))
    finally:
        link.close()
    return heard


def done(heard: list[Decoded]) -> bool:
    known = sum(len(item.number) for item in heard if isinstance(item, EdgeBatch))
    return known >= EDGES and any(isinstance(item, BoardStatus) for item in heard)


def test_opening_the_port_resets_the_board_and_loses_no_edge() -> None:
    with SimulatedBoard(dtr=True) as board:
        board.feed((0.3 + i * 0.002, 1 if i % 7 else -1) for i in range(EDGES))
        while board.time_s < 0.3 + EDGES * 0.002 + 0.3:
            time.sleep(0.05)
        heard = fetched(board.port)
    batches = [item for item in heard if isinstance(item, EdgeBatch)]
    numbers = [number for batch in batches for number in batch.number.tolist()]
    directions = [one for batch in batches for one in batch.direction.tolist()]
    status = next(item for item in heard if isinstance(item, BoardStatus))
    assert numbers == list(range(EDGES))
    assert directions == [1 if i % 7 else -1 for i in range(EDGES)]
    assert status.reset_cause is ResetCause.EXTERNAL, "the port did not reset the board"
    assert status.restarted_at > 0
    assert status.edges_lost == 0
    assert not [item for item in heard if isinstance(item, (EdgeGap, BoardRestarted))]


def test_recorder_goes_on_over_a_cable_that_was_pulled(tmp_path: Path) -> None:
    """Each plugging in is a reset; the capture has every edge once, and one boot."""
    with SimulatedBoard(dtr=True) as board, Store.open(tmp_path / "s.sqlite") as store:
        for _ in range(3):
            start = board.time_s + 0.1
            board.feed((start + i * 0.003, 1) for i in range(200))
            while board.time_s < start + 1.0:
                time.sleep(0.05)
            with recording(cable_link(board.port), store) as (_, told):
                wait_for(lambda told=told: told.of(BoardHealth), "the board's health")
                time.sleep(1.0)
        (capture,) = store.captures()
        reader = CaptureReader(RunContext())
        heard = [item for chunk in store.chunks(capture.id) for item in reader.feed(chunk)]
    batches = [item for item in heard if isinstance(item, EdgeBatch)]
    assert [number for batch in batches for number in batch.number.tolist()] == list(range(600))
    assert {item.boot for item in heard if isinstance(item, BoardHello)} == {1}
    assert told.of(BoardHealth)[-1].edges_lost == 0
