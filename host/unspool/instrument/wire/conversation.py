"""The host's side of the conversation: the board's bytes in, what they say out.

It owns buffers and nothing else. The caller passes in what arrives, reports when that is safely
stored, and sends what to_send returns. The acknowledgement goes out only after the report; until
then the board keeps the edges. Losses are data: an EdgeGap for edges that are gone, Garbled for
bytes that were no frame of ours. Which states a conversation has stands in states.py.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass

from unspool.instrument.wire.acknowledging import Acknowledging, Stored
from unspool.instrument.wire.check import SampleReader
from unspool.instrument.wire.codes import GarbledCode
from unspool.instrument.wire.configuration import configuration
from unspool.instrument.wire.decoded import Decoded, Garbled, board_hello, board_status
from unspool.instrument.wire.frames import NO_BOARD, Frame, FrameReader, delimited_frame
from unspool.instrument.wire.log_reader import LogReader
from unspool.instrument.wire.messages import (
    Acknowledge,
    Check,
    Configure,
    Edges,
    Hello,
    HelloRequest,
    Identify,
    MessageError,
    Sensors,
    Status,
    WireMessage,
    unpack,
)
from unspool.instrument.wire.refusal import Refusal
from unspool.instrument.wire.same_board import Board, SameBoard
from unspool.instrument.wire.states import (
    IN_DOUBT,
    HostEvent,
    HostState,
    conversation_states,
)
from unspool.instrument.wire.table import (
    EDGE_TICKS_SHIFT,
    HELLO,
    PROTOCOL,
    SECOND_MS,
    TABLE_HASH,
)
from unspool.instrument.wire.timer import Timer
from unspool.language import Phrase

SILENT_S = 1.5 * SECOND_MS / 1000  # a board says something each second; then ask who is there
ASK_S = 0.5  # between two requests that were not answered; a board answers within milliseconds
PLAUSIBLE_TICK_HZ = range(1_000, 20_000_001)  # slower times no edge, faster no chip counts
MOST_IDENTITY = 2**32 - 1  # two of a hundred boards are alike once in a million workshops


@dataclass(frozen=True)
class ResumePoint:
    """What the store has of a board: all edges of this boot before number next_edge."""

    boot: int
    next_edge: int


class Conversation:
    """One link's conversation with whatever board is at its other end.

    known: where to resume; edges that the store has come no second time. With None the board sends
    all that it keeps. identity: the number for a board that has none, random unless given.
    """

    def __init__(self, known: ResumePoint | None = None, identity: int | None = None) -> None:
        self._known = known
        self._states = conversation_states()
        self._reader = FrameReader()
        self._refusal = Refusal()
        self._same_board = SameBoard()
        self._hello: Hello | None = None
        self._log: LogReader | None = None
        self._acknowledging = Acknowledging()
        self._configuration: Configure | None = None
        self._samples: SampleReader | None = None  # during a check
        self._ask, self._configure, self._check = Timer(ASK_S), Timer(ASK_S), Timer(ASK_S)
        self._identify, self._silence = Timer(ASK_S), Timer(SILENT_S)
        self._heard_some = False  # since the last to_send
        self._identity = identity or random.SystemRandom().randint(1, MOST_IDENTITY)
        self._heard: list[Decoded] = []
        self._aside: list[Decoded] = []  # to follow the edges that are not decoded yet

    def receive(self, data: bytes) -> list[Decoded]:
        """Decodes what arrived. Garbage comes out as Garbled.

        Of one call the edges come first, then statuses, unless a hello or a gap stands between.
        No bytes make it raise; `raise_if_refused` says whether they come from a foreign board.
        """
        for item in self._reader.feed(data):
            if isinstance(item, Frame):
                self._heard_some = True
                self._take(item)
            else:
                self._aside.append(item)
        self._settle()
        heard, self._heard = self._heard, []
        return heard

    def raise_if_refused(self) -> None:
        """Raises BoardError if the board speaks another protocol. Call it after each receive."""
        self._refusal.raise_if_refused()

    def stored(self) -> None:
        """Everything that receive has returned is safely on disk: acknowledge it."""
        if self._log is not None:
            self._acknowledging.store(Stored(self._log.position, self._log.next_edge))

    def configure(
        self,
        edges_per_turn: int,
        flush_ms: int | None = None,
        rate: int | None = None,
        sensors: int = 2,
    ) -> None:
        """Sets the board up; repeated until its hello confirms it. See `configuration`."""
        self._configuration = configuration(edges_per_turn, flush_ms, rate, sensors)
        if rate:
            self._acknowledging.slow_down()

    def check(self) -> None:
        """From now on the board shows both sensors; it then neither logs nor sends edges.

        It stops by itself some seconds after the last to_send. Leave out `stored` if the edges
        that the board still holds are for somebody else.
        """
        self._samples = SampleReader()

    def ask_again(self) -> None:
        """Another board may be there by now: nothing is acknowledged before its hello."""
        self._states.on(HostEvent.OTHER_BOOT)

    def to_send(self, now_s: float) -> bytes:
        """What the host sends now; call it after each receive, and a few times a second anyway."""
        if self._heard_some:
            self._heard_some = False
            self._silence.restart(now_s)
        elif self._silence.due(now_s):
            self.ask_again()
        return b"".join(delimited_frame(message, self._named) for message in self._due(now_s))

    @property
    def _named(self) -> tuple[int, int]:
        """The identity and boot of the board that is meant."""
        return (self._hello.identity, self._hello.boot) if self._hello else NO_BOARD

    def _due(self, now_s: float) -> Iterator[WireMessage]:
        if self._states.state is not HostState.LISTENING:
            if self._ask.due(now_s):
                self._states.on(HostEvent.REQUEST_SENT)
                yield self._request()
        elif self._log is not None and self._acknowledging.due(now_s, self._log.hole):
            yield self._acknowledgement(self._log.hole)
        if (wanted := self._unconfirmed()) and self._configure.due(now_s):
            yield wanted
        if self._samples and self._hello and self._check.due(now_s):
            yield Check(1)
        if self._hello and not self._hello.identity and self._identify.due(now_s):
            yield Identify(self._identity)

    def _take(self, item: Frame) -> None:
        number = item.body[0] & 0x0F
        if item.body[0] >> 4 != PROTOCOL:
            if number == HELLO.number:
                self._refusal.foreign_hello(_protocol(item.body[0] >> 4), _protocol(PROTOCOL))
            else:
                self._aside.append(Garbled(item.body, GarbledCode.OTHER_PROTOCOL))
            return
        try:
            message = unpack(item.body)
        except MessageError as error:
            self._aside.append(Garbled(item.body, error.code))
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
                self._aside.append(Garbled(item.body, GarbledCode.HOSTS_MESSAGE))

    def _take_hello(self, hello: Hello) -> None:
        if hello.table_hash != TABLE_HASH:
            theirs = Phrase("message table {table}", table=format(hello.table_hash, "08x"))
            self._refusal.foreign_hello(theirs, format(TABLE_HASH, "08x"))
            return
        if hello.tick_hz not in PLAUSIBLE_TICK_HZ:
            self._refusal.foreign_hello(_ticks(hello.tick_hz), _ticks(250_000))
            return
        self._refusal.good_hello()
        self._settle()
        whose = self._same_board.judge(self._hello, hello)
        if whose is Board.DOUBTFUL:
            self.ask_again()
            return
        other = whose is Board.OTHER
        backward = not other and self._goes_back(hello)
        if self._states.on(HostEvent.HELLO_BACKWARD if backward else HostEvent.HELLO) in IN_DOUBT:
            return
        before, self._hello = self._hello, hello
        if before is None or board_hello(before) != board_hello(hello) or backward:
            self._heard.append(board_hello(hello))
        if self._log is None or before is None or before.boot != hello.boot or backward or other:
            self._begin_log(hello)
        elif hello.oldest_position > self._log.position:
            self._heard += self._log.jump(hello.oldest_position, hello.oldest_edge)

    def _goes_back(self, hello: Hello) -> bool:
        """Whether it is of the same boot, but has fewer edges than were received."""
        if self._hello is None or self._hello.boot != hello.boot or self._log is None:
            return False
        return hello.next_edge < self._log.next_edge

    def _begin_log(self, hello: Hello) -> None:
        """Reads from where nothing is missed, or else from the oldest edge that the board keeps."""
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
        self._acknowledging.begin(Stored(self._log.position, expected))

    def _take_edges(self, edges: Edges) -> None:
        """They are this boot's: a board sends none before it has heard itself named."""
        if self._log is None or self._same_board.in_doubt:
            self._states.on(HostEvent.OTHER_BOOT)
        else:
            self._log.frame(edges)

    def _take_status(self, status: Status) -> None:
        if not self._is_of_this_boot(status):
            self._states.on(HostEvent.OTHER_BOOT)
            return
        self._aside.append(board_status(status))

    def _take_sensors(self, sensors: Sensors) -> None:
        if not self._is_of_this_boot(sensors) or self._hello is None:
            self._states.on(HostEvent.OTHER_BOOT)
        elif self._samples is not None:
            stamp_hz = self._hello.tick_hz << EDGE_TICKS_SHIFT
            if (samples := self._samples.read(sensors, stamp_hz)) is not None:
                self._aside.append(samples)

    def _is_of_this_boot(self, message: Status | Sensors) -> bool:
        if self._hello is None or self._same_board.in_doubt:
            return False
        return message.boot == self._hello.boot & 0xFF

    def _settle(self) -> None:
        """Puts what was decoded so far in order: edges, then the rest."""
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

    def _acknowledgement(self, hole: bool) -> Acknowledge:
        position, edge = self._acknowledging.send()
        return Acknowledge(position, edge, int(hole))

    def _unconfirmed(self) -> Configure | None:
        """The configuration, as long as the board's hello does not show it."""
        wanted, hello = self._configuration, self._hello
        if wanted is None or hello is None:
            return None
        confirmed = Configure(hello.edges_per_turn, hello.flush_ms, hello.byte_us, hello.sensors)
        return wanted if wanted != confirmed else None


def _protocol(number: int) -> Phrase:
    return Phrase("protocol {number}", number=number)


def _ticks(hz: int) -> Phrase:
    return Phrase("in ticks of {hz} Hz", hz=hz)
