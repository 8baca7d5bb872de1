"""Attaching: which capture a board's bytes belong to, once its hello says which board it is.

A board with a number goes on with its own capture, over whatever link it comes, if it is still in
the same boot. A board without one goes on with the last capture of its link, as far as the link
leads to the same board tomorrow.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import count

from unspool.errors import InputError, StoreWaitError
from unspool.finding import warning
from unspool.instrument.codes import RecordCode
from unspool.instrument.link import Link
from unspool.instrument.record.board_record import BoardRecord
from unspool.instrument.record.capture_reader import CaptureReader
from unspool.instrument.record.notices import BoardTrouble, Notice, RunSaved
from unspool.instrument.record.notify import reason_of
from unspool.instrument.record.replay_capture import replay
from unspool.instrument.record.run_context import RunContext
from unspool.instrument.record.run_events import RunOver
from unspool.instrument.record.store_retry import StoreRetry
from unspool.instrument.wire.decoded import BoardHello
from unspool.store import BoardKey, CaptureRow, Chunk, Origin, Store


class Attaching:
    """Opens captures, follows them, and keeps the runs that are found in them.

    context: of the capture that was opened last. claim: says that no other recorder has the board.
    """

    def __init__(
        self,
        link: Link,
        store: Store,
        retry: StoreRetry,
        notify: Callable[[Notice], None],
        claim: Callable[[int], None],
    ) -> None:
        self._link, self._store, self.context = link, store, RunContext()
        self._retry, self._notify, self._claim = retry, notify, claim

    def open(self, hello: BoardHello, context: RunContext) -> BoardRecord:
        """Goes on with the board's capture, or begins one. Raises BoardTakenError."""
        self._claim(hello.identity)
        self.context = context
        if not self._link.lasting:
            return self._begun(CaptureReader(self.context), None)
        last = self._retry(lambda: self._store.last_capture(self._link.spec, hello.identity))
        record = self._resumed(last, hello) if last else None
        if record is None:
            key = BoardKey(hello.identity, hello.boot) if hello.identity else None
            return self._begun(CaptureReader(self.context, None, key), key)
        if record.key is None and hello.identity and record.reader.detector.is_idle:
            return self.follow(record)  # from a time when boards had no numbers
        return record

    def follow(self, record: BoardRecord) -> BoardRecord:
        """Another capture that knows what this one has; the car rests between them."""
        self.keep_all(record)
        key = record.key or (record.reader.board if self._link.lasting else None)
        return self._begun(record.reader.continued(key), key)

    def again(self, record: BoardRecord, context: RunContext) -> BoardRecord:
        """The same capture, read again with another car: what came before is of that car too.

        Runs that were saved keep the car that they were saved with.
        """
        self.context = context
        self.keep_all(record)
        row = self._retry(lambda: self._store.capture(record.log.capture))
        reader = CaptureReader(context, row.known, row.key)
        over = replay(reader, self._store, row.id)
        reader.begin_session(record.log.session)
        return BoardRecord(record.key, reader, record.log, over, record.size_bytes)

    def append(self, record: BoardRecord, chunk: Chunk, stray_bytes: int) -> None:
        """Returns when the chunk is on disk. Raises CaptureTakenError, and then wrote nothing."""
        self._retry(lambda: record.append(chunk, stray_bytes))

    def keep_stray(self, arrived_s: float, sample: bytes, count: int) -> None:
        """The first bytes of a link on which no board was met, and how many there were."""
        if sample:
            log = self._retry(lambda: self._store.begin_capture(self._link.spec))
            self._retry(lambda: log.append(arrived_s, sample, Origin.STRAY, count))

    def is_still_ours(self, record: BoardRecord) -> bool:
        """Whether no other recorder went on with its capture. Raises BoardTakenError."""
        try:
            row = self._retry(lambda: self._store.capture(record.log.capture))
        except InputError:  # it was deleted
            return False
        ours = row.sessions == record.log.session
        if ours and record.key:
            self._claim(record.key.identity)
        return ours

    def keep(self, record: BoardRecord, over: RunOver) -> str:
        """Saves the run as it is known by now, and gives its id."""
        return self._keep(record.log.capture, record.reader, over)

    def keep_all(self, record: BoardRecord) -> None:
        """Saves its runs again, with what is known of the board's clock by now."""
        for over in record.over:
            self.keep(record, over)

    def _begun(self, reader: CaptureReader, key: BoardKey | None) -> BoardRecord:
        spec = self._link.spec
        log = self._retry(lambda: self._store.begin_capture(spec, reader.known, key))
        reader.begin_session(log.session)
        return BoardRecord(key, reader, log)

    def _resumed(self, last: CaptureRow, hello: BoardHello) -> BoardRecord | None:
        """The record of the last capture, after it was read again; None if the board, or its boot,
        is another one, or the capture cannot be read.

        What was stored must never keep a board from being recorded.
        """
        reader = CaptureReader(self.context, last.known, last.key)
        try:
            over = replay(reader, self._store, last.id)
            if not reader.goes_on_with(hello):
                self._save(last.id, reader, over + reader.ended_before(hello))
                return None
            self._save(last.id, reader, over)
        except StoreWaitError:
            raise
        except Exception as error:  # of any kind, as any bytes may be stored
            aside = warning(RecordCode.CAPTURE_SET_ASIDE, capture=last.id, reason=reason_of(error))
            self._notify(BoardTrouble(aside))
            return None
        tries = count()
        log = self._retry(
            lambda: self._store.resume_capture(last.id, last.sessions, again=next(tries) > 0)
        )
        reader.begin_session(log.session)
        return BoardRecord(last.key, reader, log, over, last.size_bytes)

    def _save(self, capture: int, reader: CaptureReader, over: list[RunOver]) -> None:
        """Saves runs that an earlier recorder saw, and reports those that it could not save."""
        known = {row.id for row in self._store.runs()} if over else set()
        for one in over:
            run_id = self._keep(capture, reader, one)
            if run_id not in known:
                self._notify(RunSaved(one.key, run_id))

    def _keep(self, capture: int, reader: CaptureReader, over: RunOver) -> str:
        found, context = reader.found(over), self.context
        return self._retry(
            lambda: self._store.save_found(capture, found, context.car_text, context.track_text)
        )
