"""A virtual board on a port of its own, in a forked process, with a line that does harm."""

from __future__ import annotations

import mmap
import os
import signal
import struct
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from board_rig import Tapped
from unspool.instrument.wire.frames import Frame, FrameReader
from unspool.instrument.wire.messages import Status, unpack
from unspool.virtual.demo.board import VirtualBoard
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal

SPEED = 20.0  # seconds of the board in one of ours
LOOK_S = 0.005
PATIENCE_S = 10.0
SHARED = struct.Struct("=QQ")  # acknowledged, lost
Change = Callable[[bytes], bytes]
# Seconds after the host is first heard, and what happens to the port then.
Event = tuple[float, Callable[[PseudoTerminal], None]]


@dataclass(frozen=True)
class Harm:
    """What a line does to bytes towards the host and from it, and to the port, when."""

    up: Change = bytes
    down: Change = bytes
    events: Sequence[Event] = field(default=())


class BoardProcess:
    """Powered from `with` to its end. acknowledged: edges that the host let it forget."""

    def __init__(
        self,
        port: Path,
        edges: Sequence[tuple[float, int]],
        boot: int = 7,
        harm: Harm | None = None,
    ) -> None:
        self.port, self._edges, self.boot = port, edges, boot
        self._harm = harm or Harm()
        self._shared = mmap.mmap(-1, SHARED.size)
        self._pid = 0

    @property
    def acknowledged(self) -> int:
        return int(SHARED.unpack(self._shared[:])[0])

    @property
    def lost(self) -> int:
        """Edges for which the board had no room, by its own count."""
        return int(SHARED.unpack(self._shared[:])[1])

    def __enter__(self) -> BoardProcess:
        self._pid = os.fork()
        if self._pid == 0:
            try:
                self._live()
            finally:
                os._exit(0)
        end = time.monotonic() + PATIENCE_S
        while not self.port.is_symlink():
            assert time.monotonic() < end, "the board has no port"
            time.sleep(LOOK_S)
        return self

    def __exit__(self, *_: object) -> None:
        os.kill(self._pid, signal.SIGKILL)
        os.waitpid(self._pid, 0)
        self.port.unlink(missing_ok=True)

    def _live(self) -> None:
        terminal = PseudoTerminal(self.port)
        line = _HarmedLine(terminal, self._harm)
        tapped = Tapped(line)
        board = VirtualBoard(tapped, self._edges, SPEED, boot=self.boot)
        board.start()
        while True:
            self._shared[:] = SHARED.pack(tapped.acknowledged, line.lost)
            time.sleep(LOOK_S)


class _HarmedLine:
    def __init__(self, terminal: PseudoTerminal, harm: Harm) -> None:
        self._terminal, self._harm = terminal, harm
        self._due = sorted(harm.events, key=lambda event: event[0])
        self._start: float | None = None
        self._reader, self.lost = FrameReader(), 0

    def send(self, data: bytes) -> None:
        for frame in self._reader.feed(data):
            if isinstance(frame, Frame) and isinstance(said := unpack(frame.body), Status):
                self.lost = said.edges_lost
        self._terminal.send(self._harm.up(data))

    def heard(self) -> bytes:
        """The board asks for this all the time, so here is when the port's events happen."""
        while self._due and self._start and time.monotonic() - self._start >= self._due[0][0]:
            self._due.pop(0)[1](self._terminal)
        data = self._terminal.heard()
        if data and self._start is None:
            self._start = time.monotonic()
        return self._harm.down(data)
