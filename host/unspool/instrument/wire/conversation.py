"""The host's side of the conversation: the board's bytes in, what was heard out.

It owns buffers and nothing else. The caller hands in what arrives, says when that is safely stored,
and sends what to_send gives; the acknowledgement goes out only then, and until then the board keeps
the edges. Losses are data: an EdgeGap for edges that are gone, Garbled for bytes that were none of
ours.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from unspool.errors import BoardError
from unspool.instrument.wire.check import SampleReader
from unspool.instrument.wire.decoded import BoardHello, BoardStatus, Garbled, Heard
from unspool.instrument.wire.frames import Frame, FrameReader, frame
from unspool.instrument.wire.log_reader import LogReader
from unspool.instrument.wire.messages import (
    Acknowledge,
    Check,
    Configure,
    Edges,
    Hello,
    HelloRequest,
    Sensors,
    Status,
    unpack,
)
from unspool.instrument.wire.table import (
    EDGE_TICKS_SHIFT,
    FLUSH_MS,
    HELLO,
    PROTOCOL,
    TABLE_HASH,
    ResetCause,
)

ASK_S = 0.5  # between two requests that were not answered
RESEND_S = 0.2  # between two requests to fill a hole
KEEP_ALIVE_S = 1.0  # between two acknowledgements; half of the board's patience
FRAMING_BYTES = 12  # of an EDGES frame, and the unfinished byte that comes again
FRAMING_SHARE = 0.1  # of what a slow link carries
LONGEST_FLUSH_MS = 250  # a page that lags by more is no longer live
FOREIGN_HELLOS = 2  # as many before a board is refused; one may be a garbled frame of a good board


@dataclass(frozen=True)
class Known:
    """What the store has of a board: all edges of this boot before number next_edge."""

    boot: int
    next_edge: int


class _Stored(NamedTuple):
    position: int
    edge: int


class Conversation:
    """One link's conversation with whatever board is at its other end.

    known: where to resume; edges that the store has come no second time. None hears all that the
    board keeps.
    """

    def __init__(self, known: Known | None = None) -> None:
        self._known = known
        self._reader = FrameReader()
        self._hello: Hello | None = None
        self._log: LogReader | None = None
        self._heard: list[Heard] = []
        self._aside: list[Heard] = []  # to come behind the edges that are not decoded yet
        self._stored = _Stored(0, 0)
        self._acknowledged: _Stored | None = None
        self._configuration: Configure | None = None
        self._samples: SampleReader | None = None  # during a check
        self._hello_wanted = True
        self._asked = False
        self._doubted = False  # the last hello went back
        self._hole = False
        self._due_s: dict[str, float] = {}
        self._foreign: list[str] = []
        self._refusal: str | None = None

    def receive(self, data: bytes) -> list[Heard]:
        """Decode what arrived. Garbage comes out as Garbled.

        Of one call the edges come first, then statuses, unless a hello or a gap stands between.
        Raises BoardError where the board speaks another protocol; nothing heard is lost by it.
        """
        self._raise_refusal()
        for item in self._reader.feed(data):
            if isinstance(item, Frame):
                self._take(item)
            else:
                self._aside.append(item)
        self._settle()
        heard, self._heard = self._heard, []
        if not heard:
            self._raise_refusal()
        return heard

    def stored(self) -> None:
        """Everything that receive has returned is safely on disk: acknowledge it."""
        if self._log is not None:
            self._stored = _Stored(self._log.position, self._log.next_edge)

    def configure(
        self, edges_per_turn: int, flush_ms: int | None = None, rate: int | None = None
    ) -> None:
        """Set the board up; repeated until its hello confirms it.

        rate: bytes a second that the link carries, None for no limit. flush_ms None: by the rate.
        Raises ValueError where a value does not fit its field.
        """
        if flush_ms is None:
            flush_ms = flush_for(rate)
        byte_us = 0 if rate is None else round(1e6 / rate)
        if not (0 <= edges_per_turn <= 255 and 0 <= flush_ms <= 255 and 0 <= byte_us <= 65535):
            raise ValueError(f"cannot configure {edges_per_turn} edges, {flush_ms} ms, rate {rate}")
        self._configuration = Configure(edges_per_turn, flush_ms, byte_us)

    def check(self) -> None:
        """From now on let the board show both sensors; it then neither logs nor sends edges.

        It stops by itself some seconds after the last to_send. Leave out `stored` where the edges
        that the board still holds are for somebody else.
        """
        self._samples = SampleReader()

    def to_send(self, now_s: float) -> bytes:
        """What the host sends now; call it after each receive, and a few times a second anyway."""
        out = b""
        if self._hello_wanted:
            if self._due("ask", now_s, ASK_S):
                self._asked = True
                out += b"\0" + frame(self._request())
        elif self._acknowledgement_due(now_s):
            out += frame(self._acknowledgement())
        if self._unconfirmed() and self._due("configure", now_s, ASK_S):
            assert self._configuration is not None
            out += frame(self._configuration)
        if self._samples and self._hello and self._due("check", now_s, ASK_S):
            out += frame(Check(self._hello.boot & 0xFF, 1))
        return out

    def _take(self, item: Frame) -> None:
        number = item.body[0] & 0x0F
        if item.body[0] >> 4 != PROTOCOL:
            if number == HELLO.number:
                self._refuse(f"protocol {item.body[0] >> 4}", f"protocol {PROTOCOL}")
            else:
                self._aside.append(Garbled(item.body, "a frame of another protocol version"))
            return
        try:
            message = unpack(item.body)
        except ValueError as error:
            self._aside.append(Garbled(item.body, str(error)))
            return
        match message:
            case Hello():
                self._take_hello(message)
            case Edges():
                self._take_edges(message)
            case Status():
                self._take_status(message)
            case Sensors():
                self._take_sensors(message)
            case _:
                self._aside.append(Garbled(item.body, "a host's frame came from the board's side"))

    def _take_hello(self, hello: Hello) -> None:
        if hello.table_hash != TABLE_HASH:
            self._refuse(f"message table {hello.table_hash:08x}", f"{TABLE_HASH:08x}")
            return
        self._foreign.clear()
        self._settle()
        if self._goes_back(hello) and not (self._doubted and self._asked):
            # an old frame that came once more, or a board whose boot number did not advance
            self._doubted = True
            self._ask_again()
            return
        self._doubted = False
        before, self._hello = self._hello, hello
        log = self._continued_log(before, hello)
        if log is None or before is None or _constants(before) != _constants(hello):
            self._heard.append(_constants(hello))
        if log is None:
            self._begin_log(hello)
        elif hello.oldest_position > log.position:
            self._heard += log.jump(hello.oldest_position, hello.oldest_edge)
        self._hello_wanted = self._hello_wanted and not self._asked

    def _continued_log(self, before: Hello | None, hello: Hello) -> LogReader | None:
        """The log that this hello goes on with; None where the board began another."""
        if before is None or before.boot != hello.boot or self._log is None:
            return None
        return None if self._goes_back(hello) else self._log

    def _goes_back(self, hello: Hello) -> bool:
        """The same boot, but edges were heard of that it has not had yet."""
        if self._hello is None or self._hello.boot != hello.boot or self._log is None:
            return False
        return hello.next_edge < self._log.next_edge

    def _begin_log(self, hello: Hello) -> None:
        """Read from where nothing is missed, or else from the oldest edge that the board keeps."""
        known = self._known
        self._known = None
        if known and known.boot == hello.boot and known.next_edge <= hello.next_edge:
            expected = known.next_edge
        else:
            expected = min(hello.acknowledged_edge, hello.oldest_edge)
        if hello.from_edge <= expected:
            self._log = LogReader(hello.from_position, expected)
        else:
            self._log = LogReader(hello.oldest_position, expected)
            self._heard += self._log.jump(hello.oldest_position, hello.oldest_edge)
        self._stored = _Stored(self._log.position, expected)
        self._acknowledged = None
        self._hole = False

    def _take_edges(self, edges: Edges) -> None:
        if self._log is None or self._hello is None or edges.boot != self._hello.boot & 0xFF:
            self._ask_again()
        else:
            self._hole = not self._log.frame(edges)

    def _take_status(self, status: Status) -> None:
        if self._hello is None or status.boot != self._hello.boot & 0xFF:
            self._ask_again()
            return
        causes = {cause.value: cause for cause in ResetCause}
        cause = causes.get(status.reset_cause, ResetCause.UNKNOWN)
        self._aside.append(
            BoardStatus(
                status.battery_mv,
                status.ring_fill_percent,
                status.edges_lost,
                cause.name.lower().replace("_", " "),
                status.ticks,
                status.next_edge,
            )
        )

    def _take_sensors(self, sensors: Sensors) -> None:
        if self._hello is None or sensors.boot != self._hello.boot & 0xFF:
            self._ask_again()
        elif self._samples is not None:
            stamp_hz = self._hello.tick_hz << EDGE_TICKS_SHIFT
            if (samples := self._samples.read(sensors, stamp_hz)) is not None:
                self._aside.append(samples)

    def _ask_again(self) -> None:
        """A frame of a board whose hello is not known yet: its edges come again after the hello."""
        if not self._hello_wanted:
            self._hello_wanted, self._asked = True, False

    def _settle(self) -> None:
        """Put what was heard so far in order: edges, then the rest."""
        if self._log is not None:
            self._heard += self._log.take()
        self._heard += self._aside
        self._aside = []

    def _request(self) -> HelloRequest:
        if self._hello is not None and self._log is not None:
            return HelloRequest(self._hello.boot, self._log.next_edge)
        if self._known is not None:
            return HelloRequest(self._known.boot, self._known.next_edge)
        return HelloRequest(0, 0)

    def _acknowledgement_due(self, now_s: float) -> bool:
        """New is stored, a hole is open, or the board waits for a sign of life."""
        if self._hole and self._due("resend", now_s, RESEND_S):
            return True
        if self._stored != self._acknowledged:
            self._due_s["alive"] = now_s + KEEP_ALIVE_S
            return True
        return self._due("alive", now_s, KEEP_ALIVE_S)

    def _acknowledgement(self) -> Acknowledge:
        assert self._hello is not None
        self._acknowledged = self._stored
        position, edge = self._stored
        return Acknowledge(self._hello.boot & 0xFF, position, edge, int(self._hole))

    def _unconfirmed(self) -> bool:
        wanted, hello = self._configuration, self._hello
        if wanted is None or hello is None:
            return False
        return wanted != Configure(hello.edges_per_turn, hello.flush_ms, hello.byte_us)

    def _due(self, what: str, now_s: float, every_s: float) -> bool:
        if now_s < self._due_s.get(what, now_s):
            return False
        self._due_s[what] = now_s + every_s
        return True

    def _refuse(self, theirs: str, ours: str) -> None:
        self._foreign.append(theirs)
        if self._foreign.count(theirs) >= FOREIGN_HELLOS:
            self._foreign.clear()
            self._refusal = (
                f"The board speaks {theirs}, this unspool speaks {ours}: put the firmware that came"
                " with this unspool on the board, or install the unspool that fits the board."
            )

    def _raise_refusal(self) -> None:
        if self._refusal is not None:
            refusal, self._refusal = self._refusal, None
            raise BoardError(refusal)


def flush_for(rate: int | None) -> int:
    """How long unfilled frames wait, so that what is no edge in them takes up to FRAMING_SHARE.

    In milliseconds; rate is what the link carries in bytes a second.
    """
    if not rate:
        return FLUSH_MS
    wait_ms = round(1000 * FRAMING_BYTES / (FRAMING_SHARE * rate))
    return min(max(FLUSH_MS, wait_ms), LONGEST_FLUSH_MS)


def _constants(hello: Hello) -> BoardHello:
    return BoardHello(PROTOCOL, hello.firmware, hello.tick_hz, hello.edges_per_turn, hello.boot)
