"""Recorder: a board's bytes into the store, and its runs to the observers.

The order of things is what keeps a run safe. Frames that arrive are appended to the board's capture
before anything reads them; only then are they decoded; only then does the board hear that it may
forget. A recorder that is killed in between loses nothing. The board still has what was not
acknowledged, and the capture has the rest. The next recorder that meets this board goes on with
that capture, over whatever link.
"""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from unspool.errors import BoardError, LinkError, UnspoolError
from unspool.finding import note, warning
from unspool.instrument.codes import RecordCode
from unspool.instrument.link import Link, LinkEndedError
from unspool.instrument.record.arrivals import Arrivals
from unspool.instrument.record.attaching import Attaching
from unspool.instrument.record.board_record import BoardRecord
from unspool.instrument.record.capture_reader import LAST_TIER, NEXT_TIER
from unspool.instrument.record.claims import Claims
from unspool.instrument.record.meeting import Meeting
from unspool.instrument.record.notices import (
    LinkChanged,
    Observer,
    Phase,
    PhaseChanged,
    RunSaved,
)
from unspool.instrument.record.notify import link_failed, notice_of
from unspool.instrument.record.observers import Observers
from unspool.instrument.record.own_thread import OwnThread
from unspool.instrument.record.reconnecting import open_again
from unspool.instrument.record.run_context import RunContext
from unspool.instrument.record.run_events import RunEvent, RunGrew, RunOver
from unspool.instrument.record.store_retry import StoreRetry
from unspool.instrument.wire import Conversation
from unspool.instrument.wire.decoded import BoardHello, Decoded
from unspool.instrument.wire.sieve import Sieve, from_hello
from unspool.language import Phrase
from unspool.store import Chunk, Origin, Store

READ_S = 0.1  # longest wait for bytes before the board's conversation gets its turn
ContextOf = Callable[[int], RunContext]  # by the board's number, 0 for a board without one


class Recorder:
    """Records one link into one store until it is stopped or the link is at its end.

    Over a lasting link, the capture of the board that answers goes on. Of its runs only those are
    reported that no recorder could save before.

    context: the car, or what finds it once the board is known. claims: of the recorders beside it.

    `run` blocks; `start`, `stop` and `join` do the same on a thread of its own. All observers are
    called on the recording thread, and so is `context`.
    """

    def __init__(
        self,
        link: Link,
        store: Store,
        context: RunContext | ContextOf | None = None,
        observers: Sequence[Observer] = (),
        claims: Claims | None = None,
    ) -> None:
        self._link, self.place = link, link.place
        self._context_of = context if callable(context) else _always(context or RunContext())
        self._claims = claims or Claims()
        self._notify = Observers(observers)
        self._stopping, self._gave_way = threading.Event(), False
        self._thread = OwnThread(self.run, "unspool recorder")
        self._wishes: deque[bytes | RunContext] = deque()
        self._sieve = Sieve()
        self._meeting = Meeting(wants_number=link.lasting)
        self._board: BoardRecord | None = None  # None until one has said which it is
        self._arrivals = Arrivals(link.place, 0, 0.0)
        retry = StoreRetry(self._stopping, self._notify)
        claim = partial(self._claims.claim, claimant=self)
        self._attaching = Attaching(link, store, retry, self._notify, claim)
        # host times step with neither the user nor the network setting the clock
        self._epoch_s = time.time() - time.monotonic()

    def run(self) -> None:
        """Records. Raises LinkError when the link cannot be opened to begin with, or when it came
        to its end without a board.

        Raises StoreError when the store fails for good, and BoardError when the board speaks
        another protocol; what was acknowledged before is safe in both cases.
        """
        try:
            self._link.open()
            self._record()
        except LinkEndedError as end:
            self._notify(link_failed(end))
            if self._board is None:
                self._finish()
                said = Phrase("nothing on {place} came from a board of unspool", place=self.place)
                raise LinkError(said) from end
        except UnspoolError as error:
            # an error that the stop itself causes is none
            if not (self._stopping.is_set() and isinstance(error, LinkError)):
                self._notify(link_failed(error))
                if isinstance(error, BoardError):
                    self._finish()
                raise
        finally:
            self._claims.release(self)
            self._link.close()
        self._finish()

    def start(self, ended: Callable[[Exception | None], object] | None = None) -> None:
        """Records on a thread of its own; `join` raises what ended it, and `ended` is given it."""
        self._thread.start(ended)

    def stop(self) -> None:
        """Asks the recording to end; from any thread, a signal handler too."""
        self._stopping.set()
        self._link.give_up()

    def give_way(self) -> None:
        """Ends as `stop` does, but another recorder goes on with the board; any thread."""
        self._gave_way = True
        self.stop()

    def join(self, timeout_s: float | None = None) -> bool:
        """Waits for the thread and says whether it has ended. Raises what `run` raised."""
        return self._thread.join(timeout_s)

    def mark_tier(self, *, undo: bool = False) -> None:
        """The builder starts to wind the next tier, or takes the last mark back; any thread."""
        self._wishes.append(LAST_TIER if undo else NEXT_TIER)

    def change_context(self, context: RunContext) -> None:
        """The board is in another car than was thought, from its last rest on; any thread."""
        self._wishes.append(context)

    def _record(self) -> None:
        self._notify(LinkChanged(True, note(RecordCode.LISTENING, link=self._link.place)))
        self._meet()
        while not self._stopping.is_set():
            try:
                self._listen()
            except LinkEndedError:
                raise
            except LinkError as error:
                self._notify(link_failed(error))
                self._notify(PhaseChanged(Phase.NO_LINK, 0.0))
                self._claims.lost(self)
                if open_again(self._link, str(error), self._stopping, self._notify):
                    self._go_on()

    def _listen(self) -> None:
        """One exchange after the other, until the link fails or the recorder is stopped."""
        self._meeting.opened(time.monotonic())
        while not self._stopping.is_set():
            data = self._link.read(READ_S / max(1.0, self._link.pace))
            now = time.monotonic()
            self._take(data, now)
            while self._wishes and self._board is not None:
                self._fulfil(self._wishes.popleft(), now)
            reply = self._conversation.to_send(now * self._link.pace)
            if self._board is None:
                reply = self._meeting.overhears(data, reply, now)
            if reply:
                self._link.write(reply)
            if self._board is not None:
                self._notify.trouble(self._arrivals.look(now))
            elif who := self._meeting.stranger(now):
                nobody = warning(RecordCode.NO_BOARD_ANSWERS, link=self._link.place, there=who)
                self._notify(LinkChanged(True, nobody))

    def _fulfil(self, wish: bytes | RunContext, now: float) -> None:
        assert self._board is not None  # the caller has looked
        if isinstance(wish, bytes):
            self._write(self._chunk(wish, now, Origin.BUILDER), now)
            return
        self._board = self._attaching.again(self._board, wish)
        self._set_up()
        self._conversation.ask_again()
        self._pass_on(self._board.reader.detector.under_way(), now)

    @property
    def _conversation(self) -> Conversation:
        return self._board.reader.conversation if self._board else self._meeting.conversation

    def _chunk(self, data: bytes, now: float, origin: Origin = Origin.BOARD) -> Chunk:
        session = self._board.log.session if self._board else 0
        return Chunk(session, self._epoch_s + now, data, origin)

    def _take(self, data: bytes, now: float) -> None:
        frames = self._sieve.feed(data)
        if not frames:
            return
        chunk = self._chunk(frames, now)
        if self._board is not None:
            self._write(chunk, now)
            return
        hello = self._meeting.feed(chunk, now)
        self._meeting.conversation.raise_if_refused()
        if hello is not None:
            self._attach(hello, self._meeting.held, now)

    def _meet(self) -> None:
        """Nothing is stored or acknowledged until a board has said which one it is."""
        self._board = None
        self._meeting = Meeting(wants_number=self._link.lasting)

    def _attach(self, hello: BoardHello, held: Sequence[Chunk], now: float) -> None:
        """What the board sends goes into its own capture from now on."""
        board = self._board = self._attaching.open(hello, self._context_of(hello.identity))
        self._set_up()
        known = board.reader.known
        self._arrivals = Arrivals(self._link.place, known.next_edge if known else 0, now)
        self._pass_on(board.reader.detector.under_way(), now)
        for chunk in held:
            self._write(replace(chunk, session=board.log.session), now)

    def _set_up(self) -> None:
        context = self._attaching.context
        if context.edges_per_turn or self._link.rate:
            slots = context.edges_per_turn or 0
            self._conversation.configure(slots, rate=self._link.rate, sensors=context.sensors)

    def _write(self, chunk: Chunk, now: float) -> None:
        """Stores what arrived, then reads it; only then may the board hear of it."""
        board = self._board
        assert board is not None  # without one there is nowhere to write to
        stray = self._sieve.take_count()
        self._attaching.append(board, chunk, stray)
        if sample := self._sieve.take_sample():
            self._attaching.append(board, replace(chunk, data=sample, origin=Origin.STRAY), 0)
        self._pass_on(board.reader.feed(chunk), now)
        board.reader.conversation.raise_if_refused()
        if board.reader.stranger is not None:
            self._change_board(board, board.reader.stranger, chunk, now)
            return
        board.reader.conversation.stored()
        if board.may_be_followed:
            self._board = self._attaching.follow(board)
            self._set_up()

    def _change_board(
        self, board: BoardRecord, hello: BoardHello, chunk: Chunk, now: float
    ) -> None:
        """Another board, or another boot of this one, is at the other end of the link."""
        if not board.reader.is_next_boot(hello):
            self._pass_on(board.reader.finish(), now)
            self._notify.expect_other_board()
        self._attaching.keep_all(board)
        own = from_hello(chunk.data, hello.identity, hello.boot)
        self._attach(hello, [replace(chunk, data=own)], now)

    def _go_on(self) -> None:
        """Over a link that is open again; perhaps another recorder had the board meanwhile."""
        if self._board is None:
            return
        if not self._attaching.is_still_ours(self._board):
            self._meet()
            return
        self._board.reader.conversation.ask_again()
        self._notify(self._board.reader.detector.phase)

    def _finish(self) -> None:
        """Saves the run under way, and all runs again with what is known of the clock by now."""
        if self._gave_way:
            return  # the other one has the run under way, and more of it
        if self._board is None:
            stray = self._sieve.take_sample() + self._meeting.unread
            count = self._sieve.take_count() + len(self._meeting.unread)
            self._attaching.keep_stray(self._epoch_s + time.monotonic(), stray, count)
            return
        self._pass_on(self._board.reader.finish(), time.monotonic())
        self._attaching.keep_all(self._board)

    def _pass_on(self, items: Sequence[Decoded | RunEvent], now: float) -> None:
        for item in items:
            if isinstance(item, RunOver):
                self._save(item)
                continue
            notice = notice_of(item, now)
            if notice is not None:
                self._notify(notice)
            if not isinstance(item, PhaseChanged | RunGrew):
                self._notify.trouble(self._arrivals.feed(item, now))

    def _save(self, over: RunOver) -> None:
        assert self._board is not None  # who else had a run
        self._board.over.append(over)
        self._notify(RunSaved(over.key, self._attaching.keep(self._board, over)))


def _always(context: RunContext) -> ContextOf:
    return lambda _board: context
