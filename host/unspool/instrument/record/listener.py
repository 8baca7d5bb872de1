"""Listener: a capture in, chunk by chunk; what the board said and what it means out.

The recorder feeds it what just arrived, `rebuild` feeds it what arrived long ago: the same bytes
give the same runs.
"""

from __future__ import annotations

from datetime import UTC, datetime

from unspool.instrument.record.clock import BoardClock
from unspool.instrument.record.run_context import Subject
from unspool.instrument.record.run_detector import RunFinder
from unspool.instrument.record.run_events import RunOver, Seen
from unspool.instrument.wire import Conversation, Known
from unspool.instrument.wire.decoded import BoardHello, BoardStatus, EdgeBatch, EdgeGap, Heard
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import Chunk, FoundRun, KnownEdges, Origin

NEXT_TIER = b"next tier"  # what the builder says
UNWOUND = b"unwound"


class Listener:
    """One capture. `conversation` is the session's, for whoever answers the board.

    known: what earlier captures of the board have already.
    """

    def __init__(self, subject: Subject, known: KnownEdges | None = None) -> None:
        self.finder = RunFinder(subject.edges_per_turn, subject.planned_turns)
        self._before = known
        self._board: BoardHello | None = None
        self._next_edge = 0
        self.conversation = self._converse()
        self.clock: BoardClock | None = None
        self._session = 0
        self._arrived_s = 0.0
        self._clocks: dict[str, BoardClock] = {}

    @property
    def met_board(self) -> bool:
        """Whether a board of ours was ever heard in this capture."""
        return self._board is not None

    def begin_session(self, session: int) -> None:
        """Another recorder goes on with the capture: the board repeats what is not known here."""
        if session == self._session:
            return
        self._session = session
        self.conversation = self._converse()
        self.clock = BoardClock(self._board.tick_hz) if self._board else None

    @property
    def known(self) -> KnownEdges | None:
        """What the capture and those before it have of the board's edges."""
        return KnownEdges(self._board.boot, self._next_edge) if self._board else self._before

    def _converse(self) -> Conversation:
        known = self.known
        return Conversation(Known(known.boot, known.next_edge) if known else None)

    def hear(self, chunk: Chunk) -> list[Heard | Seen]:
        """What the chunk says, each item followed by what it changes.

        Raises BoardError where the board speaks another protocol.
        """
        self.begin_session(chunk.session)
        self._arrived_s = chunk.arrived_s
        if chunk.origin is Origin.BUILDER:
            return [*self._builder(chunk.data)]
        out: list[Heard | Seen] = []
        for heard in self.conversation.receive(chunk.data):
            out += [heard, *self._note_clock(self.finder.hear(heard))]
            self._learn(heard)
        return out

    def finish(self) -> list[Seen]:
        """The recording stops, and with it the run under way."""
        return self._note_clock(self.finder.finish())

    def found(self, over: RunOver) -> FoundRun:
        """The run as the store keeps it, with what is known of the clock by now."""
        clock = self._clocks.get(over.key)
        launched_s = clock.host_s(over.launch_ticks) if clock else None
        return FoundRun(
            train=PulseTrain(
                over.edges.ticks / over.tick_hz, over.edges.direction, over.edges.number
            ),
            boot=over.boot,
            tick_hz=float(over.tick_hz),
            started_at=datetime.fromtimestamp(launched_s or self._arrived_s, UTC),
            winding=over.winding,
            clock=clock.rate() if clock else None,
            note=over.note,
        )

    def _note_clock(self, seen: list[Seen]) -> list[Seen]:
        """The clock that a run was timed by goes on learning after the run."""
        for item in seen:
            if isinstance(item, RunOver) and self.clock is not None:
                self._clocks[item.key] = self.clock
        return seen

    def _builder(self, word: bytes) -> list[Seen]:
        if word == NEXT_TIER:
            return self.finder.mark()
        return self.finder.unwound() if word == UNWOUND else []

    def _learn(self, heard: Heard) -> None:
        match heard:
            case BoardHello():
                if self._board is None or self._board.boot != heard.boot:
                    again = self._before is not None and self._before.boot == heard.boot
                    self._next_edge = self._before.next_edge if self._before and again else 0
                    self.clock = BoardClock(heard.tick_hz)
                self._board = heard
            case EdgeBatch():
                self._next_edge = int(heard.number[-1]) + 1
            case EdgeGap():
                self._next_edge = heard.first + heard.count
            case BoardStatus():
                if self.clock is not None:
                    self.clock.heard(heard.ticks, self._arrived_s)
            case _:
                pass
