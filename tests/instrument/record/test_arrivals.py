"""An alarm when the board counts edges that do not arrive, or when it says nothing any more."""

from __future__ import annotations

import numpy as np
import pytest

from board_rig import Told, powered, recording, wait_for
from unspool.instrument.codes import RecordCode
from unspool.instrument.link.virtual import Pipe, VirtualLink
from unspool.instrument.record import BoardTrouble
from unspool.instrument.record.arrivals import Arrivals
from unspool.instrument.wire.decoded import BoardStatus, EdgeBatch
from unspool.instrument.wire.frames import FrameReader, frame
from unspool.instrument.wire.messages import Edges, unpack
from unspool.instrument.wire.table import ResetCause
from unspool.store import Store
from unspool.virtual.demo.board import BoardLine

LINK = "serial:COM3"


def status(next_edge: int) -> BoardStatus:
    return BoardStatus(0, 0, 0, ResetCause.UNKNOWN, 0, next_edge, 0)


def edge(number: int) -> EdgeBatch:
    return EdgeBatch(np.array([number]), np.array([0]), np.array([1], np.int8))


def codes(found: list) -> list[tuple[str, object]]:
    return [(one.code, one.values.get("edges")) for one in found]


def test_edges_that_are_counted_and_do_not_arrive_raise_one_alarm() -> None:
    arrivals, said = Arrivals(LINK, 100, 0.0), []
    for second in range(20):
        said += [(second, *one) for one in codes(arrivals.feed(status(100 + second), second))]
        said += arrivals.look(second)
    assert said == [(6, RecordCode.EDGES_DO_NOT_ARRIVE, 6)]
    assert codes(arrivals.feed(edge(119), 20.0)) == [(RecordCode.EDGES_ARRIVE_AGAIN, None)]
    assert arrivals.feed(status(120), 21.0) == []


def test_edges_that_come_late_raise_none() -> None:
    arrivals, said = Arrivals(LINK, 0, 0.0), []
    for second in range(60):
        said += arrivals.feed(status(1000), second)
        if second % 4 == 0:
            said += arrivals.feed(edge(second), second)
    assert said == []


def test_a_silent_board_raises_one_alarm_until_it_is_heard() -> None:
    arrivals = Arrivals(LINK, 0, 0.0)
    said = [(second, one.code) for second in range(20) for one in arrivals.look(second)]
    assert said == [(5, RecordCode.BOARD_SILENT)]
    assert codes(arrivals.feed(status(0), 20.0)) == [(RecordCode.EDGES_ARRIVE_AGAIN, None)]
    assert arrivals.look(21.0) == []


class WithoutEdges:
    """A line that spoils every frame with edges, until it is mended."""

    def __init__(self, line: BoardLine) -> None:
        self._line, self._reader, self.mended = line, FrameReader(), False

    def heard(self) -> bytes:
        return self._line.heard()

    def send(self, data: bytes) -> None:
        if self.mended:
            self._line.send(data)
            return
        for item in self._reader.feed(data):
            said = unpack(item.body)
            self._line.send(b"\x07noise\0" if isinstance(said, Edges) else frame(said))


def test_a_line_that_spoils_all_edges_is_said_while_it_does(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("unspool.instrument.record.arrivals.LATE_S", 0.5)
    pipe = Pipe()
    line = WithoutEdges(pipe)
    edges = [(1.0 + 0.01 * n, 1) for n in range(50)]
    with powered(line, edges, 4.0), recording(VirtualLink(pipe), store, 4.0) as (_, told):
        wait_for(lambda: troubles(told), "the alarm")
        line.mended = True
        wait_for(lambda: len(troubles(told)) == 2, "the all-clear")
    assert troubles(told) == [RecordCode.EDGES_DO_NOT_ARRIVE, RecordCode.EDGES_ARRIVE_AGAIN]
    (capture,) = store.captures()
    assert capture.stray_bytes > 0


def troubles(told: Told) -> list[str]:
    return [notice.finding.code for notice in told.of(BoardTrouble)]


def test_noise_grows_no_capture(store: Store) -> None:
    """A megabyte that no frame explains: a sample and a count."""
    pipe = Pipe()
    with powered(pipe, [], 4.0), recording(VirtualLink(pipe), store, 4.0) as (_, told):
        wait_for(lambda: store.captures(), "the board")
        for _ in range(250):
            pipe.send(b"\xa5" * 4000 + b"\0")
        size = store.captures()[0].size_bytes
        wait_for(lambda: store.captures()[0].stray_bytes == 1_000_000, "the count")
    (capture,) = store.captures()
    assert capture.size_bytes < size + 4096 + 2000
    assert troubles(told) == []
