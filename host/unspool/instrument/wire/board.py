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
    Hello,
    HelloRequest,
    Identify,
    Status,
    WireMessage,
    unpack,
)
from unspool.instrument.wire.sending import STAMPS_PER_MS as MS
from unspool.instrument.wire.sending import Sending
from unspool.instrument.wire.table import (
    EDGE_TICKS_SHIFT,
    FLUSH_MS,
    HOST_LOST_MS,
    PROTOCOL,
    RESUME_MS,
    SECOND_MS,
    TABLE_HASH,
    ResetCause,
)

STAMP_HZ = 2_000_000
US = STAMP_HZ // 1_000_000
TICK_HZ = STAMP_HZ >> EDGE_TICKS_SHIFT
RESUME_TICKS = RESUME_MS * MS >> EDGE_TICKS_SHIFT
RING_BYTES = 1296


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
        sensors: int = 2,
    ) -> None:
        self.battery_mv = 0
        self.identity = identity
        self._boot, self._firmware = boot, firmware[:24]
        self._edges_per_turn, self._sensors = edges_per_turn, sensors
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
        self._flush_ms, self._byte_us = FLUSH_MS, 0
        self._check = CheckSide()
        self._reader = FrameReader((self.identity, self._boot))
        self._now = 0
        self._sending = Sending(self._log)
        self._heard_at: int | None = None  # None: no host listens
        self._second_at = 0
        self._line_free_at = 0
        self._hello_due, self._status_due = True, True

    def edge(self, stamp: int, direction: int) -> None:
        """One edge of sensor A; direction is 1 forward, -1 backward."""
        direction = 1 if self._sensors == 1 else direction
        self._log.edge(self._ticks(stamp), direction, self._edges_per_turn)
        self._hello_due |= self._sending.log_grew(stamp, self._now)

    def _ticks(self, stamp: int) -> int:
        return self._start_ticks + (stamp >> EDGE_TICKS_SHIFT)

    def missed(self, count: int) -> None:
        """`count` edges, or samples of a check, were seen but could not be stamped."""
        if self._check.on:
            self._check.missed(count)
            return
        self._log.missed(count)
        self._hello_due |= self._sending.log_grew(self._now, self._now)

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
            self._sending.wait(now)
        if now - self._second_at >= SECOND_MS * MS:
            self._second_at = now
            self._status_due = True
            self._hello_due |= self._heard_at is None
        if self._heard_at is not None and now - self._heard_at >= HOST_LOST_MS * MS:
            self._heard_at = None
        self._hello_due |= self._sending.pass_time(now)

    def _identify(self, message: Identify) -> None:
        self.identity = self.identity or message.identity
        self._reader.name((self.identity, self._boot))
        self._hello_due = True

    def _answer(self, message: WireMessage) -> None:
        if isinstance(message, HelloRequest):
            self._request(message)
        elif isinstance(message, Acknowledge):
            self._acknowledge(message)
        elif isinstance(message, Configure):
            self._configure(message)
        elif isinstance(message, Identify):
            self._identify(message)
        elif isinstance(message, Check):
            self._check.ask(message.on == 1, self._now)
        if not message.row.named:
            return
        if self._heard_at is None:
            self._sending.wait(self._now)
        self._heard_at = self._now

    def _request(self, message: HelloRequest) -> None:
        edge = message.edge if message.boot == self._boot else 0
        block = self._log.block_of_edge(edge)
        start = block.position if block else self._log.end
        self._log.acknowledged = min(self._log.acknowledged, start)
        self._sending.restart(start, self._now)
        self._hello_due = self._status_due = True

    def _acknowledge(self, message: Acknowledge) -> None:
        self._sending.acknowledged(message.position, message.edge, self._now)
        if message.resend:
            self._hello_due |= self._sending.again(message.position, self._now)

    def _configure(self, message: Configure) -> None:
        if (message.edges_per_turn, message.sensors) != (self._edges_per_turn, self._sensors):
            self._log.close()
            self._hello_due |= self._sending.log_grew(self._now, self._now)
        self._edges_per_turn, self._sensors = message.edges_per_turn, message.sensors
        self._flush_ms, self._byte_us = message.flush_ms, message.byte_us
        self._sending.flush = message.flush_ms * MS
        self._hello_due = True

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
        if self._heard_at is None or self._check.on or not self._sending.due(self._now):
            return None
        return self._sending.say(self._now)

    def _hello(self) -> Hello:
        block = self._log.block_at(self._sending.position)
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
            sensors=self._sensors,
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
