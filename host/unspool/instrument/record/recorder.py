"""Recorder: a board's bytes into the store, and its runs to the observers.

The order of things is what keeps a run safe. What arrives is appended to the capture before
anything looks at it; only then is it decoded; only then does the board hear that it may forget. A
recorder that is killed in between loses nothing. The board still has what was not acknowledged, and
the capture has the rest. The next recorder on the same link goes on with that capture.
"""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Container, Sequence

from unspool.errors import LinkError, UnspoolError
from unspool.finding import note, warning
from unspool.instrument.codes import RecordCode
from unspool.instrument.link import Link, LinkEndedError
from unspool.instrument.record.capture_reader import NEXT_TIER, CaptureReader
from unspool.instrument.record.health import HealthWatch
from unspool.instrument.record.notices import (
    BoardTrouble,
    LinkChanged,
    Notice,
    Observer,
    Phase,
    PhaseChanged,
    RunSaved,
)
from unspool.instrument.record.notify import link_failed, notice_of, reason_of
from unspool.instrument.record.replay_capture import replay
from unspool.instrument.record.run_context import RunContext
from unspool.instrument.record.run_events import RunEvent, RunOver
from unspool.instrument.record.store_retry import StoreRetry
from unspool.instrument.wire.decoded import Decoded
from unspool.store import CaptureLog, CaptureRow, Chunk, Origin, Store

READ_S = 0.1  # longest wait for bytes before the board's conversation gets its turn
# Waits before trying a lost link again, the last one over and over: a cable that was knocked out
# comes back within seconds, and then every tenth counts.
RETRY_S = (*(0.1,) * 20, *(0.25,) * 20, 1.0)
SILENT_S = 5.0  # without a hello for so long, what is at the other end may be no board
LONG_BYTES = 1_000_000  # some ten hours: a longer capture is followed by a new one


class Recorder:
    """Records one link into one store until it is stopped or the link is at its end.

    A lasting link's last capture goes on. Of its runs only those are reported that no recorder
    could save before.

    `run` blocks; `start`, `stop` and `join` do the same on a thread of its own. All observers are
    called on the recording thread.
    """

    def __init__(
        self,
        link: Link,
        store: Store,
        context: RunContext | None = None,
        observers: Sequence[Observer] = (),
    ) -> None:
        self._link = link
        self._store = store
        self._context = context or RunContext()
        self._observers = list(observers)
        self._stopping = threading.Event()
        self._thread: threading.Thread | None = None
        self._failed: Exception | None = None
        self._marks: deque[bytes] = deque()
        self._reader = CaptureReader(self._context)
        self._log: CaptureLog | None = None
        self._over: list[RunOver] = []
        self._health = HealthWatch()
        self._retry = StoreRetry(self._stopping, self._notify)
        # host times step with neither the user nor the network setting the clock
        self._epoch_s = time.time() - time.monotonic()

    def observe(self, observer: Observer) -> None:
        """Adds an observer; before the recording starts."""
        self._observers.append(observer)

    def run(self) -> None:
        """Records. Raises LinkError when the link cannot be opened to begin with, or when it came
        to its end without a board.

        Raises StoreError when the store fails for good, and BoardError when the board speaks
        another protocol; what was acknowledged before is safe in both cases.
        """
        try:
            self._link.open()
            self._resume()
            self._record()
        except LinkEndedError as end:
            self._notify(link_failed(end))
            if not self._reader.met_board:
                raise LinkError(
                    f"nothing on {self._link.spec} came from a board of unspool"
                ) from end
        except UnspoolError as error:
            # an error that the stop itself causes is none
            if not (self._stopping.is_set() and isinstance(error, LinkError)):
                self._notify(link_failed(error))
                raise
        finally:
            self._link.close()
        self._finish()

    def start(self) -> None:
        """Records on a thread of its own; `join` raises what ended it."""

        def body() -> None:
            try:
                self.run()
            except Exception as error:  # of any kind: `join` raises it in the caller's thread
                self._failed = error

        self._thread = threading.Thread(target=body, name="unspool recorder", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Asks the recording to end; from any thread, a signal handler too."""
        self._stopping.set()
        self._link.give_up()

    def join(self, timeout_s: float | None = None) -> bool:
        """Waits for the thread and says whether it has ended. Raises what `run` raised."""
        if self._thread is not None:
            self._thread.join(timeout_s)
        if self._failed is not None:
            failed, self._failed = self._failed, None
            raise failed
        return self._thread is None or not self._thread.is_alive()

    def mark_tier(self) -> None:
        """The builder starts to wind the next tier; from any thread."""
        self._marks.append(NEXT_TIER)

    def _resume(self) -> None:
        """Goes on with this link's last capture, or begins one that knows what the last has."""
        last = self._last_capture()
        if last is None or not self._replays(last):
            self._log = self._retry(lambda: self._store.begin_capture(self._link.spec))
        else:
            self._log = self._retry(lambda: self._follow(last))
        self._reader.begin_session(self._log.session)
        if self._context.edges_per_turn or self._link.rate:
            self._reader.conversation.configure(
                self._context.edges_per_turn or 0, rate=self._link.rate
            )
        self._notify(LinkChanged(True, note(RecordCode.LISTENING, link=self._link.spec)))
        self._pass_on(self._reader.detector.under_way(), time.monotonic())

    def _last_capture(self) -> CaptureRow | None:
        captures = self._retry(self._store.captures)
        mine = [row for row in captures if row.link == self._link.spec]
        return mine[-1] if mine and self._link.lasting else None

    def _replays(self, last: CaptureRow) -> bool:
        """Reads the last capture again, and saves what its recorder could not.

        False if that is not possible: what was stored must never keep a board from being recorded.
        """
        try:
            self._reader = CaptureReader(self._context, last.known)
            saved = {row.id for row in self._store.runs()}
            for over in replay(self._reader, self._store, last.id):
                self._save(last.id, over, saved)
        except Exception as error:  # of any kind, as any bytes may be stored
            if self._stopping.is_set():
                raise
            self._reader = CaptureReader(self._context)
            self._over.clear()
            aside = warning(RecordCode.CAPTURE_SET_ASIDE, capture=last.id, reason=reason_of(error))
            self._notify(BoardTrouble(aside))
            return False
        return True

    def _follow(self, last: CaptureRow) -> CaptureLog:
        under_way = self._reader.detector.phase.phase is Phase.RUNNING
        if last.size_bytes < LONG_BYTES or under_way:
            return self._store.resume_capture(last.id)
        for over in self._over:
            self._keep(last.id, over)
        self._over.clear()
        known = self._reader.known
        self._reader = CaptureReader(self._context, known)
        return self._store.begin_capture(self._link.spec, known)

    def _record(self) -> None:
        while not self._stopping.is_set():
            try:
                self._listen()
            except LinkEndedError:
                raise
            except LinkError as error:
                self._notify(link_failed(error))
                self._notify(PhaseChanged(Phase.NO_LINK, 0.0))
                self._reconnect(str(error))

    def _listen(self) -> None:
        """One exchange after the other, until the link fails or the recorder is stopped."""
        silent_since = time.monotonic()
        while not self._stopping.is_set():
            data = self._link.read(READ_S / max(1.0, self._link.pace))
            now = time.monotonic()
            if data:
                self._take(data, Origin.BOARD, now)
                self._reader.conversation.stored()
            while self._marks:
                self._take(self._marks.popleft(), Origin.BUILDER, now)
            reply = self._reader.conversation.to_send(now * self._link.pace)
            if reply:
                self._link.write(reply)
            if silent_since and now - silent_since > SILENT_S:
                silent_since = 0.0
                self._warn_of_silence()

    def _take(self, data: bytes, origin: Origin, now: float) -> None:
        assert self._log is not None  # made by _resume before the first byte
        arrived_s = self._epoch_s + now
        log = self._log
        self._retry(lambda: log.append(arrived_s, data, origin))
        chunk = Chunk(log.session, arrived_s, data, origin)
        self._pass_on(self._reader.feed(chunk), now)
        self._reader.conversation.raise_if_refused()

    def _warn_of_silence(self) -> None:
        if not self._reader.met_board:
            nobody = warning(RecordCode.NO_BOARD_ANSWERS, link=self._link.spec)
            self._notify(LinkChanged(True, nobody))

    def _reconnect(self, known: str) -> None:
        """known: the reason that observers have already."""
        waits = list(RETRY_S)
        while not self._stopping.wait(waits.pop(0) if len(waits) > 1 else waits[0]):
            try:
                self._link.open()
            except LinkEndedError:
                raise
            except LinkError as error:
                if str(error) != known and not self._stopping.is_set():
                    known = str(error)
                    self._notify(link_failed(error))
                continue
            self._notify(LinkChanged(True, note(RecordCode.LISTENING_AGAIN, link=self._link.spec)))
            self._notify(self._reader.detector.phase)
            return

    def _finish(self) -> None:
        """Saves the run under way, and all runs again with what is known of the clock by now."""
        if self._log is None:
            return
        self._pass_on(self._reader.finish(), time.monotonic())
        for over in self._over:
            self._keep(self._log.capture, over)

    def _pass_on(self, items: Sequence[Decoded | RunEvent], now: float) -> None:
        for item in items:
            if isinstance(item, RunOver):
                assert self._log is not None
                self._save(self._log.capture, item)
            else:
                notice = notice_of(item, now)
                if notice is not None:
                    self._notify(notice)

    def _save(self, capture: int, over: RunOver, known: Container[str] = ()) -> None:
        """`known`: the ids of runs that observers know."""
        self._over.append(over)
        run_id = self._keep(capture, over)
        if run_id not in known:
            self._notify(RunSaved(over.key, run_id))

    def _keep(self, capture: int, over: RunOver) -> str:
        found, context = self._reader.found(over), self._context
        return self._retry(
            lambda: self._store.save_found(capture, found, context.car_text, context.track_text)
        )

    def _notify(self, notice: Notice) -> None:
        for out in self._health.feed(notice):
            for observer in list(self._observers):
                self._call(observer, out)

    def _call(self, observer: Observer, notice: Notice) -> None:
        """An observer that fails is left out from then on, and the others hear of it."""
        try:
            observer(notice)
        except Exception as error:  # of any kind: the recording must go on
            self._observers.remove(observer)
            name = getattr(observer, "__name__", type(observer).__name__)
            failed = warning(RecordCode.OBSERVER_FAILED, observer=name, reason=reason_of(error))
            self._notify(BoardTrouble(failed))
