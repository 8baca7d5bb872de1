"""The board's side of the conversation in Python: the same bytes as the firmware.

The demo's virtual board speaks through it, and the firmware's core is tested against it.
firmware/core/core.c is the same in C.
"""

from __future__ import annotations

from unspool.instrument.wire.check import CheckSide
from unspool.instrument.wire.edge_log import EdgeLog
from unspool.instrument.wire.frames import Frame, FrameReader, frame
from unspool.instrument.wire.messages import (
    Acknowledge,
    Check,
    Configure,
    Edges,
    Hello,
    HelloRequest,
    Identify,
    Status,
    WireMessage,
    unpack,
)
from unspool.instrument.wire.table import (
    BLOCK_STARTS,
    EDGE_TICKS_SHIFT,
    FLUSH_MS,
    FRAME_DATA,
    GO_BACK_MS,
    HOST_LOST_MS,
    PROTOCOL,
    RESUME_MS,
    SECOND_MS,
    TABLE_HASH,
    ResetCause,
)

STAMP_HZ = 2_000_000
MS = STAMP_HZ // 1000  # in 0.5 us stamps
US = STAMP_HZ // 1_000_000
TICK_HZ = STAMP_HZ >> EDGE_TICKS_SHIFT
RESUME_TICKS = RESUME_MS * MS >> EDGE_TICKS_SHIFT
RING_BYTES = 1264


class BoardSide:
    """A board: edges and the host's bytes in, the board's bytes out.

    Times are stamps of 0.5 us since the last reset that never wrap. boot is 1 to 65535, one more
    each time that the board starts with an empty log.
    """

    def __init__(
        self,
        boot: int,
        edges_per_turn: int = 20,
        ring_bytes: int = RING_BYTES,
        firmware: str = "python",
        reset_cause: ResetCause = ResetCause.POWER_ON,
        identity: int = 0,
    ) -> None:
        self.battery_mv = 0
        self.identity = identity
        self._boot, self._firmware = boot, firmware[:24]
        self._edges_per_turn_at_start = edges_per_turn
        self._log = EdgeLog(ring_bytes)
        self._start_ticks = self._kept_ticks = 0  # the clock at the last reset, and when kept last
        self._begin(reset_cause)

    def reset(self, cause: ResetCause) -> None:
        """A reset that leaves the log in memory; stamps start from 0 again."""
        self._start_ticks = self._kept_ticks = self._kept_ticks + RESUME_TICKS
        self._log.resume(self._start_ticks)
        self._begin(cause)

    def _begin(self, cause: ResetCause) -> None:
        """All that a reset sets back."""
        self._reset_cause = cause
        self._edges_per_turn = self._edges_per_turn_at_start
        self._flush_ms, self._byte_us = FLUSH_MS, 0
        self._check = CheckSide()
        self._reader = FrameReader()
        self._sent = self._log.oldest[0]  # log position up to which whole bytes are sent
        self._sent_bits = 0  # of the byte there
        self._now = 0
        self._unsent_since: int | None = None
        self._note_unsent()
        self._heard_at: int | None = None  # None: no host listens
        self._progress_at = 0
        self._second_at = 0
        self._line_free_at = 0
        self._hello_due, self._status_due = True, True

    def edge(self, stamp: int, direction: int) -> None:
        """One edge of sensor A; direction is 1 forward, -1 backward."""
        self._log.edge(self._ticks(stamp), direction, self._edges_per_turn)
        self._after_log_grew(stamp)

    def _ticks(self, stamp: int) -> int:
        return self._start_ticks + (stamp >> EDGE_TICKS_SHIFT)

    def missed(self, count: int) -> None:
        """`count` edges, or samples of a check, were seen but could not be stamped."""
        if self._check.on:
            self._check.missed(count)
            return
        self._log.missed(count)
        self._after_log_grew(self._now)

    @property
    def checks(self) -> bool:
        """A host wants to see both sensors: sample is called in place of edge, while takes holds,
        and once more whenever wants_sample holds."""
        return self._check.on

    @property
    def takes(self) -> bool:
        return not self._check.on or self._check.takes

    @property
    def wants_sample(self) -> bool:
        return self._check.quiet(self._now)

    def sample(self, stamp: int, levels: int) -> None:
        """What both sensors show, during a check; levels are SAMPLE_A and SAMPLE_B."""
        self._check.sample(stamp, levels)

    def receive(self, data: bytes) -> None:
        for item in self._reader.feed(data):
            if not isinstance(item, Frame) or item.body[0] >> 4 != PROTOCOL:
                continue
            try:
                message = unpack(item.body)
            except ValueError:
                continue
            self._answer(message)

    def to_send(self, now: int) -> bytes:
        """All that the board sends now; call it every few milliseconds."""
        self._pass_time(now)
        out = bytearray()
        while self._line_free_at <= self._now and (message := self._next()):
            sent = frame(message)
            out += sent
            self._line_free_at = self._now + len(sent) * self._byte_us * US
        return bytes(out)

    def _pass_time(self, now: int) -> None:
        self._now = now
        self._kept_ticks = self._ticks(now)
        self._check.pass_time(now)
        if self._check.on:  # what waits for the end of the check waits from there on
            self._note_unsent()
        if now - self._second_at >= SECOND_MS * MS:
            self._second_at = now
            self._status_due = True
            self._hello_due |= self._heard_at is None
        if self._heard_at is not None and now - self._heard_at >= HOST_LOST_MS * MS:
            self._heard_at = None
        if self._sent <= self._log.acknowledged:
            self._progress_at = now
        elif now - self._progress_at >= GO_BACK_MS * MS:
            self._progress_at = now
            self._restart(self._log.acknowledged)

    def _identify(self, message: Identify) -> None:
        self.identity = self.identity or message.identity
        self._hello_due = True

    def _answer(self, message: WireMessage) -> None:
        if isinstance(message, HelloRequest):
            self._request(message)
        elif isinstance(message, Acknowledge):
            if message.boot != self._boot & 0xFF:
                return
            self._acknowledge(message)
        elif isinstance(message, Configure):
            self._configure(message)
        elif isinstance(message, Identify):
            self._identify(message)
        elif isinstance(message, Check):
            if message.boot != self._boot & 0xFF:
                return
            self._check.ask(message.on == 1, self._now)
        else:
            return
        if self._heard_at is None:
            self._note_unsent()
        self._heard_at = self._now

    def _request(self, message: HelloRequest) -> None:
        edge = message.edge if message.boot == self._boot else 0
        block = self._log.block_of_edge(edge)
        start = block.position if block else self._log.end
        self._log.acknowledged = min(self._log.acknowledged, start)
        self._restart(start)
        self._hello_due = self._status_due = True

    def _acknowledge(self, message: Acknowledge) -> None:
        if message.position > self._log.acknowledged:
            self._progress_at = self._now
        self._log.acknowledge(message.position, message.edge)
        oldest = self._log.oldest[0]
        if self._sent < oldest:  # it was going to send again what the host turns out to have
            self._restart(oldest)
        if message.resend:
            self._restart(message.position)

    def _configure(self, message: Configure) -> None:
        if message.edges_per_turn != self._edges_per_turn:
            self._log.close()
            self._after_log_grew(self._now)
        self._edges_per_turn = message.edges_per_turn
        self._flush_ms, self._byte_us = message.flush_ms, message.byte_us
        self._hello_due = True

    def _restart(self, position: int) -> None:
        """Send the log again from here, or from the oldest byte kept, which the hello announces."""
        oldest = self._log.oldest[0]
        self._hello_due |= position < oldest
        self._sent = min(max(position, oldest), self._log.valid_bits // 8)
        self._sent_bits = 0
        self._note_unsent()

    def _note_unsent(self) -> None:
        self._unsent_since = self._now if self._unsent > 0 else None

    def _after_log_grew(self, now: int) -> None:
        if self._sent < self._log.oldest[0]:
            self._restart(self._sent)
        if self._unsent_since is None and self._unsent > 0:
            self._unsent_since = now

    @property
    def _unsent(self) -> int:
        """Bits of the log that were not sent."""
        return self._log.valid_bits - self._sent * 8 - self._sent_bits

    def _next(self) -> WireMessage | None:
        if self._check.collects:
            due = self._hello_due or self._status_due or self._check.due(self._now)
            return self._check.close(self._boot, self._now) if due else None
        if self._hello_due:
            self._hello_due = False
            return self._hello()
        if self._status_due:
            self._status_due = False
            return self._status()
        if self._heard_at is None or self._unsent_since is None or self._check.on:
            return None
        waited = self._now - self._unsent_since
        if self._log.end - self._sent < FRAME_DATA and waited < self._flush_ms * MS:
            return None
        return self._edges()

    def _edges(self) -> Edges:
        block = self._log.block_at(self._sent)
        assert block is not None  # unsent bits lie in a kept block
        at = self._sent - block.position
        data = bytes(block.data[at : at + FRAME_DATA])
        last = at + len(data) == len(block.data)
        unused = -block.bits % 8 if last else 0
        marks = unused | (BLOCK_STARTS if at == 0 else 0)
        position, self._sent = self._sent, self._sent + len(data) - (unused > 0)
        self._sent_bits = 8 - unused if unused else 0
        self._note_unsent()
        return Edges(self._boot & 0xFF, position, marks, data)

    def _hello(self) -> Hello:
        block = self._log.block_at(self._sent)
        oldest_position, oldest_edge = self._log.oldest
        return Hello(
            table_hash=TABLE_HASH,
            tick_hz=TICK_HZ,
            boot=self._boot,
            identity=self.identity,
            edges_per_turn=self._edges_per_turn,
            flush_ms=self._flush_ms,
            byte_us=self._byte_us,
            oldest_position=oldest_position,
            oldest_edge=oldest_edge,
            from_position=block.position if block else self._log.end,
            from_edge=block.first_edge if block else self._log.next_edge,
            next_edge=self._log.next_edge,
            acknowledged_edge=self._log.acknowledged_edge,
            firmware=self._firmware,
        )

    def _status(self) -> Status:
        return Status(
            boot=self._boot & 0xFF,
            battery_mv=self.battery_mv,
            ring_fill_percent=self._log.used * 100 // self._log.capacity,
            reset_cause=self._reset_cause,
            edges_lost=self._log.edges_lost,
            ticks=self._ticks(self._now),
            next_edge=self._log.next_edge,
            restarted_at=self._start_ticks,
        )
