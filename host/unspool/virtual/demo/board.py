"""VirtualBoard: the board's side of the protocol in Python, its edges in real time."""

from __future__ import annotations

import random
import threading
import time
from collections.abc import Iterable
from typing import Protocol

from unspool.instrument.wire import BoardSide
from unspool.virtual.demo.levels import SensorLevels

STEP_S = 0.005  # as often as a real board's main loop sends
STAMP_HZ = 2_000_000  # as on a 16 MHz board: half a microsecond a stamp
FIRMWARE = "virtual board"


class BoardLine(Protocol):
    """The board's end of whatever carries the bytes."""

    def send(self, data: bytes) -> None: ...

    def heard(self) -> bytes: ...


class VirtualBoard:
    """Plays edges, (seconds since power-on, direction), to the host on the line.

    `speed`: how many of the board's seconds pass in one of ours. `boot`: the board's boot number.
    It should differ from the last one's, as a real board's does, so it is random unless given.
    `identity`: the board's number for life; 0 leaves it to the first host.
    """

    def __init__(
        self,
        line: BoardLine,
        edges: Iterable[tuple[float, int]],
        speed: float = 1.0,
        edges_per_turn: int = 20,
        boot: int | None = None,
        identity: int = 0,
    ) -> None:
        self._line = line
        self._edges = list(edges)
        self._speed = speed
        self._edges_per_turn = edges_per_turn
        self._identity = identity
        self._boot = boot or random.SystemRandom().randint(1, 65_535)
        self._next = 0
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._work, name="virtual board", daemon=True)
        self._resetting = False
        self._levels = SensorLevels()

    def start(self) -> None:
        """Power on."""
        self._thread.start()

    def stop(self) -> None:
        """Power off."""
        self._stopping.set()
        if self._thread.is_alive():
            self._thread.join()

    def reset(self) -> None:
        """Loses what the board held, and starts its clock from 0."""
        self._resetting = True

    @property
    def played(self) -> int:
        """Edges that have happened."""
        return self._next

    def _work(self) -> None:
        started = booted = time.monotonic()
        side = self._power_on()
        while not self._stopping.is_set():
            now = time.monotonic()
            if self._resetting:
                self._resetting, booted = False, now
                self._boot, self._identity = self._boot % 65_535 + 1, side.identity
                side = self._power_on()
            side.receive(self._line.heard())
            lag_s = (booted - started) * self._speed
            self._turn(side, (now - started) * self._speed, lag_s)
            data = side.to_send(_stamps((now - booted) * self._speed))
            if data:
                self._line.send(data)
            self._stopping.wait(STEP_S)

    def _power_on(self) -> BoardSide:
        return BoardSide(
            self._boot, self._edges_per_turn, firmware=FIRMWARE, identity=self._identity
        )

    def _turn(self, side: BoardSide, until_s: float, booted_s: float) -> None:
        """Feeds the edges that are due by now."""
        while self._next < len(self._edges) and self._edges[self._next][0] <= until_s:
            at_s, direction = self._edges[self._next]
            changes = self._levels.turned(at_s, direction)
            if side.checks:
                self._show(side, changes, booted_s)
            else:
                side.edge(max(0, _stamps(at_s - booted_s)), direction)
            self._next += 1
        if side.wants_sample:
            self._show(side, [(until_s, self._levels.now)], booted_s)

    def _show(self, side: BoardSide, changes: list[tuple[float, int]], booted_s: float) -> None:
        """Samples for a check of the sensors."""
        for at_s, levels in changes:
            if side.takes:
                side.sample(max(0, _stamps(at_s - booted_s)), levels)
            else:
                side.missed(1)


def _stamps(seconds: float) -> int:
    return int(seconds * STAMP_HZ)
