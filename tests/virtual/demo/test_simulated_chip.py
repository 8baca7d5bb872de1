"""The simulated board in real time, behind its pseudo-terminal, as a user's port would be."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from itertools import pairwise
from pathlib import Path

import pytest
from serial import Serial

from unspool.errors import LinkError
from unspool.instrument.wire.conversation import Conversation
from unspool.instrument.wire.decoded import BoardHello, Decoded, EdgeBatch, EdgeGap
from unspool.virtual.demo.simulated_chip import SimulatedBoard

pytestmark = pytest.mark.firmware

PATIENCE_S = 20.0


class Listener:
    """A host on the board's port, by pyserial."""

    def __init__(self, port: str) -> None:
        self.port = Serial(port, 115200, timeout=0.02)
        self.conversation = Conversation()
        self.heard: list[Decoded] = []

    def until(self, edges: int = 0, boots: int = 0) -> None:
        """Listen until so many edges and hellos of different boots have come."""
        deadline = time.monotonic() + PATIENCE_S
        while self.count < edges or len(self.boots) < boots:
            assert time.monotonic() < deadline, (self.count, self.boots)
            self.port.write(self.conversation.to_send(time.monotonic()))
            self.heard += self.conversation.receive(self.port.read(4096))
            self.conversation.stored()

    @property
    def batches(self) -> list[EdgeBatch]:
        return [item for item in self.heard if isinstance(item, EdgeBatch)]

    @property
    def count(self) -> int:
        return sum(len(batch.number) for batch in self.batches)

    @property
    def boots(self) -> list[int]:
        return [item.boot for item in self.heard if isinstance(item, BoardHello)]


def test_edges_over_the_port_as_they_happen() -> None:
    with SimulatedBoard() as board:
        host = Listener(board.port)
        host.until(boots=1)
        start = board.time_s + 0.1
        board.feed((start + 0.002 * i, 1 if i < 300 else -1) for i in range(400))
        host.until(edges=400)
        assert board.time_s - start >= 0.8  # not before they happened
    numbers = [n for batch in host.batches for n in batch.number.tolist()]
    ticks = [t for batch in host.batches for t in batch.ticks.tolist()]
    directions = [d for batch in host.batches for d in batch.direction.tolist()]
    assert numbers == list(range(400))
    assert directions == [1] * 300 + [-1] * 100
    assert {b - a for a, b in pairwise(ticks)} == {500}  # 2 ms
    assert not [item for item in host.heard if isinstance(item, EdgeGap)]


def test_boot_goes_on_after_a_hang() -> None:
    """The watchdog resets the board. It says hello again, and kept its log and its boot."""
    with SimulatedBoard() as board:
        host = Listener(board.port)
        host.until(boots=1)
        board.hang()
        host.until(boots=2)
    assert host.boots == [1, 1]


def test_port_closed_and_opened_again_loses_nothing() -> None:
    with SimulatedBoard() as board:
        host = Listener(board.port)
        host.until(boots=1)
        start = board.time_s + 0.1
        board.feed((start + 0.005 * i, 1) for i in range(300))
        host.until(edges=50)
        host.port.close()
        time.sleep(0.5)
        host.port = Serial(board.port, 115200, timeout=0.02)
        host.until(edges=300)
    numbers = [n for batch in host.batches for n in batch.number.tolist()]
    assert numbers == list(range(300))


def test_what_nobody_reads_is_gone() -> None:
    """As on a cable: who opens the port later does not get old bytes."""
    with SimulatedBoard() as board:
        while board.time_s < 1.2:
            time.sleep(0.1)
        port = os.open(board.port, os.O_RDONLY | os.O_NOCTTY | os.O_NONBLOCK)
        try:
            old = os.read(port, 4096)
        except BlockingIOError:
            old = b""
        os.close(port)
    unread = board.report["uart_unread_bytes"]
    assert unread > 0
    assert len(old) <= board.report["uart_bytes"] - unread


def test_boot_number_goes_on(tmp_path: Path) -> None:
    for boot in (1, 2):
        with SimulatedBoard(eeprom=tmp_path / "eeprom") as board:
            host = Listener(board.port)
            host.until(boots=1)
        assert host.boots == [boot]


def test_reports_what_it_cost() -> None:
    with SimulatedBoard() as board:
        host = Listener(board.port)
        host.until(boots=1)
    assert board.report["uart_bytes"] > 0
    assert board.report["stack_bytes"] > 0


def test_nothing_to_feed_once_closed() -> None:
    with SimulatedBoard() as board:
        pass
    with pytest.raises(LinkError, match="not running"):
        board.feed([(1.0, 1)])


def alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return Path(f"/proc/{pid}/stat").read_text().split()[2] != "Z"


def test_dies_with_its_parent() -> None:
    program = (
        "import time\n"
        "from unspool.virtual.demo.simulated_chip import SimulatedBoard\n"
        "with SimulatedBoard() as board:\n"
        "    board.feed((1 + 0.01 * i, 1) for i in range(5000))\n"
        "    print(board._process.pid, flush=True)\n"
        "    time.sleep(60)\n"
    )
    parent = subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, text=True)
    assert parent.stdout
    board = int(parent.stdout.readline())
    assert alive(board)
    parent.send_signal(signal.SIGKILL)
    parent.wait()
    deadline = time.monotonic() + 5
    while alive(board) and time.monotonic() < deadline:
        time.sleep(0.02)
    assert not alive(board)
