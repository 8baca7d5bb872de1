"""Recordings: the boards that an app records, which commands and pages start and end."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from threading import Condition

from unspool.app.board_memory import BoardMemory, RecordedCar
from unspool.app.live_boards import LiveBoards
from unspool.app.live_state import LiveState
from unspool.app.recording import Recording
from unspool.errors import InputError, UnspoolError
from unspool.instrument.link import Link
from unspool.instrument.record import Notice, Observer, Recorders, RunSaved
from unspool.language import Phrase, _
from unspool.store import Store

ObserversOf = Callable[[LiveState], Sequence[Observer]]


@dataclass(frozen=True)
class BoardRun:
    """A run that has just been saved, and who ran it.

    board: the board's number for life, 0 if it has none. car: by name, "" if nobody said which.
    floor: "" for a level one. key: of the board's LiveState.
    """

    run_id: str
    board: int
    car: str
    floor: str
    key: str


class Recordings:
    """Safe from several threads. `lives` and the observers hear of everything.

    A recording ends with its link, with `end` or `stop`, or if it fails; the others go on.
    """

    def __init__(
        self, store: Store, lives: LiveBoards, observers_of: ObserversOf = lambda _live: ()
    ) -> None:
        self._lives, self._observers_of = lives, observers_of
        self._memory, self._recorders = BoardMemory(store), Recorders(store)
        self._at_work: dict[str, Recording] = {}
        self._failed: Exception | None = None  # what ended the last one
        self._faults: list[str] = []
        self._changed = Condition()
        self._run_listeners: list[Callable[[BoardRun], object]] = []

    @property
    def is_under_way(self) -> bool:
        with self._changed:
            return bool(self._at_work)

    @property
    def links(self) -> list[str]:
        """The names of the links that are in use."""
        return self._recorders.links

    def on_run(self, listener: Callable[[BoardRun], object]) -> Callable[[], None]:
        """Calls it with each run, once it is in the store, and returns what ends that.

        It is called on the thread of the board's recorder: it must return at once, and not raise. A
        run that an earlier recorder could not save comes too. No run comes twice.
        """
        with self._changed:
            self._run_listeners.append(listener)

        def remove() -> None:
            with self._changed:
                self._run_listeners.remove(listener)

        return remove

    def start(
        self,
        recorded: RecordedCar | None,
        link: Link,
        heard: Callable[[str, Notice], None] = lambda _key, _notice: None,
        ended: Callable[[str], None] = lambda _key: None,
    ) -> Recording:
        """Records one more board. recorded: None takes the car that the board remembers.

        heard: called with its key and each notice. ended: called with it when the recording has
        ended. Both on its thread.

        Raises InputError if the link is in use.
        """
        live = LiveState(key=uuid.uuid4().hex[:6], place=link.place)
        recording = Recording(self._memory, live, recorded)
        runs = _RunsOf(recording, self._tell_run)
        told = partial(heard, live.key)
        observers: list[Observer] = [live, runs, told, *self._observers_of(live)]
        with self._changed:
            recorder = self._recorders.start(
                link, recording.context_of, observers, lambda why: self._end(live.key, why, ended)
            )
            self._failed = None
            recording.attend(recorder)
            self._at_work[live.key] = recording
            self._lives.add(live)
        return recording

    def one(self, key: str) -> Recording:
        """By its key; "" is the only one. Raises InputError if there is none."""
        with self._changed:
            if not key and len(self._at_work) == 1:
                return next(iter(self._at_work.values()))
            if key not in self._at_work:
                raise InputError(_("nothing here is being recorded"))
            return self._at_work[key]

    def stop(self) -> None:
        """Asks all of them to end."""
        self._recorders.stop()

    def join(self, timeout_s: float | None = None) -> bool:
        """Waits until none is left, and says whether that came. Raises what ended the last one."""
        with self._changed:
            ended = self._changed.wait_for(lambda: not self._at_work, timeout_s)
            failed, self._failed = self._failed if ended else None, None if ended else self._failed
        if failed is not None:
            raise failed
        return ended

    def take_faults(self) -> list[str]:
        """Why recordings failed since the last call, a sentence each."""
        with self._changed:
            faults, self._faults = self._faults, []
        return faults

    def _end(self, key: str, failed: Exception | None, ended: Callable[[str], None]) -> None:
        """On the recording thread."""
        ended(key)
        why = _why(failed) if failed else ""
        with self._changed:
            del self._at_work[key]
            self._failed = failed
            if failed:
                self._faults.append(why)
            self._lives.remove(key, why)
            self._changed.notify_all()

    def _tell_run(self, run: BoardRun) -> None:
        with self._changed:
            listeners = list(self._run_listeners)
        for listener in listeners:
            listener(run)


def _why(failed: Exception) -> str:
    ours = Phrase("The recording failed.")
    return failed.sentence if isinstance(failed, UnspoolError) else ours


class _RunsOf:
    """An Observer that says of each saved run whose it is."""

    def __init__(self, recording: Recording, tell: Callable[[BoardRun], object]) -> None:
        self._recording, self._tell = recording, tell
        self._told: set[str] = set()

    def __call__(self, notice: Notice) -> None:
        if not isinstance(notice, RunSaved) or notice.run_id in self._told:
            return
        self._told.add(notice.run_id)
        one = self._recording
        names = one.recorded.names if one.recorded else None
        car, floor = (names.car, names.track) if names else ("", "")
        self._tell(BoardRun(notice.run_id, one.board, car, floor, one.live.key))
