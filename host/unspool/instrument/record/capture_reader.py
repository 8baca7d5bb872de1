"""CaptureReader: a capture in, chunk by chunk; what the board said and the runs in it out.

The recorder feeds it what just arrived, `rebuild` feeds it what arrived long ago: the same bytes
give the same runs.
"""

from __future__ import annotations

from dataclasses import astuple
from datetime import UTC, datetime

from unspool.instrument.record.clock import BoardClock
from unspool.instrument.record.one_sensor import as_seen_by
from unspool.instrument.record.run_context import RunContext
from unspool.instrument.record.run_detector import RunDetector
from unspool.instrument.record.run_events import RunEvent, RunOver
from unspool.instrument.wire import Conversation, ResumePoint
from unspool.instrument.wire.decoded import BoardHello, BoardStatus, Decoded, EdgeBatch, EdgeGap
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import BoardKey, Chunk, FoundRun, KnownEdges, Origin

# Chunks of the builder's, and whether each takes the last mark back.
MARKS = {b"next tier": False, b"last tier again": True}
NEXT_TIER, LAST_TIER = MARKS


class CaptureReader:
    """One capture. `conversation` is the session's; the recorder answers the board by it.

    known: what earlier captures of the board have already.
    key: whose capture it is. With None any boot of a board may be in it.
    stranger: the hello of another board or boot; what follows it in its session is not read.
    """

    def __init__(
        self, context: RunContext, known: KnownEdges | None = None, key: BoardKey | None = None
    ) -> None:
        self.detector = RunDetector(context)
        self.stranger: BoardHello | None = None
        self._context, self._before, self._key = context, known, key
        self._board: BoardHello | None = None
        self._next_edge = 0
        self.conversation = self._converse()
        self.clock: BoardClock | None = None
        self._reset_at: int | None = None  # of the statuses that the clock has; None without any
        self._session = 0
        self._arrived_s = 0.0
        self._clocks: dict[str, BoardClock] = {}

    @property
    def board(self) -> BoardKey | None:
        """The board that it has met, if that has a number."""
        board = self._board
        return BoardKey(board.identity, board.boot) if board and board.identity else None

    def continued(self, key: BoardKey | None) -> CaptureReader:
        """The reader of the capture that follows this one, with the same car at rest."""
        after = CaptureReader(self._context, self.known, key)
        after.detector = self.detector
        return after

    def goes_on_with(self, hello: BoardHello) -> bool:
        """Whether what this board sends now belongs to the capture."""
        if self._key is not None:
            return self._key == BoardKey(hello.identity, hello.boot)
        if not hello.identity:
            return self._board is None or not self._board.identity
        return self.board == BoardKey(hello.identity, hello.boot)

    def ended_before(self, hello: BoardHello) -> list[RunOver]:
        """The run under way, if there is one: it ends with this hello of another board or boot."""
        same = self._board is not None and self._board.identity == hello.identity
        events = self.detector.feed(hello) if same else self.detector.finish()
        return [event for event in self._note_clock(events) if isinstance(event, RunOver)]

    def begin_session(self, session: int) -> None:
        """Another recorder goes on with the capture: the board repeats what is not known here."""
        if session == self._session:
            return
        self._session, self.stranger = session, None
        self.conversation = self._converse()
        self.clock = BoardClock(self._board.tick_hz) if self._board else None
        self._reset_at = None

    @property
    def known(self) -> KnownEdges | None:
        """What the capture and those before it have of the board's edges."""
        return KnownEdges(self._board.boot, self._next_edge) if self._board else self._before

    def _converse(self) -> Conversation:
        known = self.known
        return Conversation(ResumePoint(known.boot, known.next_edge) if known else None)

    def feed(self, chunk: Chunk) -> list[Decoded | RunEvent]:
        """What the chunk says, each item followed by what it changes."""
        self.begin_session(chunk.session)
        self._arrived_s = chunk.arrived_s
        if chunk.origin is not Origin.BOARD:
            return self._mark(chunk.data)
        out: list[Decoded | RunEvent] = []
        for told in [] if self.stranger else self.conversation.receive(chunk.data):
            item = as_seen_by(self._context.sensors, told)
            if isinstance(item, BoardHello) and self._is_strange(item):
                self.stranger = item
                return [*out, *self.ended_before(item)] if self.is_next_boot(item) else out
            out += [item, *self._note_clock(self.detector.feed(item))]
            self._learn(item)
        return out

    def _mark(self, mark: bytes) -> list[Decoded | RunEvent]:
        return [*self.detector.mark_tier(undo=MARKS[mark])] if mark in MARKS else []

    def finish(self) -> list[RunEvent]:
        """The recording stops, and with it the run under way."""
        return self._note_clock(self.detector.finish())

    def found(self, over: RunOver) -> FoundRun:
        """The run as the store keeps it, with what is known of the clock by now."""
        clock = self._clocks.get(over.key)
        launched_s = clock.host_s(over.launch_ticks) if clock else None
        return FoundRun(
            train=PulseTrain(
                over.edges.ticks / over.tick_hz,
                over.edges.direction,
                over.edges.number,
                over.lost_before,
                over.ending,
            ),
            boot=over.boot,
            tick_hz=float(over.tick_hz),
            started_at=datetime.fromtimestamp(launched_s or self._arrived_s, UTC),
            winding=over.winding,
            clock=clock.rate() if clock else None,
        )

    def _is_strange(self, hello: BoardHello) -> bool:
        if self._key is not None:
            return (hello.identity or self._key.identity, hello.boot) != astuple(self._key)
        identity = self._board.identity if self._board else 0
        return bool(identity) and hello.identity not in (0, identity)

    def is_next_boot(self, hello: BoardHello) -> bool:
        """Whether the board restarted and says hello again."""
        return self._board is not None and hello.identity == self._board.identity

    def _note_clock(self, events: list[RunEvent]) -> list[RunEvent]:
        """The clock that a run was timed by goes on learning after the run."""
        for event in events:
            if isinstance(event, RunOver) and self.clock is not None:
                self._clocks[event.key] = self.clock
        return events

    def _learn(self, item: Decoded) -> None:
        match item:
            case BoardHello():
                if self._board is None or self._board.boot != item.boot:
                    again = self._before is not None and self._before.boot == item.boot
                    self._next_edge = self._before.next_edge if self._before and again else 0
                    self.clock, self._reset_at = BoardClock(item.tick_hz), None
                self._board = item
            case EdgeBatch():
                self._next_edge = int(item.number[-1]) + 1
            case EdgeGap():
                self._next_edge = item.first + item.count
            case BoardStatus():
                self._observe(item)
            case _:
                pass

    def _observe(self, status: BoardStatus) -> None:
        """A clock that stood still during a reset is another clock afterwards."""
        if self._board is None or self.clock is None:
            return
        if self._reset_at is not None and status.restarted_at != self._reset_at:
            self.clock = BoardClock(self._board.tick_hz)
        self._reset_at = status.restarted_at
        self.clock.observe(status.ticks, self._arrived_s)
