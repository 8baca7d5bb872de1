"""RecordingSession: recordings at work, the pages beside them, and lines in the terminal.

Each recorder has a thread of its own and only puts notices into a queue. The page server has
another. The command's thread prints the notices, looks for keys and waits for Ctrl-C.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from queue import Empty, Queue
from typing import TYPE_CHECKING

from unspool.cli.board_lines import BoardLines
from unspool.cli.keys import Keys, reading_keys
from unspool.cli.pages import PageOptions, announce, page_server, sharing_of
from unspool.cli.stopping import StopSignal, stop_signals
from unspool.errors import InputError, UnspoolError, own_faults

if TYPE_CHECKING:
    from unspool.app import LiveState, RecordedCar
    from unspool.app.boards import OwnBoard
    from unspool.cli.all_boards import AllBoards
    from unspool.instrument.link import Link
    from unspool.instrument.record import Notice
    from unspool.reading.events.types import Reading
    from unspool.store import Store

LOOK_S = 0.1
NEW_BOARDS_S = 1.0  # from one look for new boards to the next
NEXT_TIER = "n"  # the key, here as on the page


@dataclass(frozen=True)
class Wanted:
    """A board to record. recorded: None takes the car that the board remembers."""

    link: Link
    recorded: RecordedCar | None


class RecordingSession:
    """Records boards until Ctrl-C, until their links end, or until `is_over`.

    on_run: called with each new run's name and reading. is_over: called with the number of saved
    runs. own: the board that this is. Pages may start it again, so they stay when it ends.
    every: boards that come later are recorded, too; then only Ctrl-C ends it. done: called often.
    It returns a sentence once no further run will come.

    After `run`, saved has the ids of the new runs, and stopped says whether Ctrl-C ended it.
    """

    def __init__(
        self,
        wanted: Sequence[Wanted],
        store: Store,
        on_run: Callable[[str, Reading], None],
        *,
        is_over: Callable[[int], bool] = lambda _saved: False,
        own: OwnBoard | None = None,
        every: AllBoards | None = None,
        done: Callable[[], str] = lambda: "",
    ) -> None:
        from unspool.app import LiveBoards, Recordings

        self.saved: list[str] = []
        self.stopped = False
        self._wanted, self._store, self._every = wanted, store, every
        self._on_run, self._is_over, self._own, self._done = on_run, is_over, own, done
        # A capture that goes on brings notices of its old runs again.
        self._old_runs = frozenset(row.id for row in store.runs())
        self._notices: Queue[tuple[LiveState, Notice]] = Queue()
        self._lives = LiveBoards()
        self._recordings = Recordings(store, self._lives, self._observers_of)
        self._lines = BoardLines(several=len(wanted) > 1 or every is not None)
        self._keys = Keys(None)
        self._address = ""
        self._looks_at = 0.0
        self._asked: set[str] = set()  # boards whose car was asked for

    def run(self, page: PageOptions | None) -> None:
        """Records until it is over. Without a page, everything else happens all the same.

        Raises UnspoolError if link, board or store fail.
        """
        with stop_signals() as stop, ExitStack() as stack:
            if page is not None:
                self._serve(page, stack)
            self._keys = stack.enter_context(reading_keys())
            if self._keys.available and self._has_tiers():
                print("while winding, press n when you go on to the next tier", flush=True)
            try:
                for one in self._wanted:
                    self._recordings.start(one.recorded, one.link)
                stays = self._every is not None or (self._own is not None and page is not None)
                self._follow(stop, stays=stays)
            except KeyboardInterrupt:
                self.stopped = True
                print("\nstopped", flush=True)
            finally:
                self._recordings.stop()
                self._recordings.join()
        while not self._notices.empty():
            self._next_notice()

    def _observers_of(self, live: LiveState) -> list[Callable[[Notice], None]]:
        return [lambda notice: self._notices.put((live, notice))]

    def _has_tiers(self) -> bool:
        cars = [one.recorded.car for one in self._wanted if one.recorded]
        return any(len(car.drum) > 1 for car in cars)

    def _serve(self, page: PageOptions, stack: ExitStack) -> None:
        from unspool.app import Trackside, create_app
        from unspool.app.boards import Boards

        sharing = sharing_of(page)
        boards = Boards({"own": self._own} if self._own else {})
        trackside = Trackside(self._store, self._lives, self._recordings, boards)
        app = create_app(self._store, sharing=sharing, trackside=trackside)
        server = page_server(app, page, sharing)
        stack.callback(sharing.close)
        stack.enter_context(server)
        self._address = server.address
        announce(server, page, sharing)

    def _follow(self, stop: StopSignal, *, stays: bool) -> None:
        announced = ""
        while not self._is_over(len(self.saved)) and (stays or not self._recordings.join(0.0)):
            stop.check()
            self._take_fresh()
            self._next_notice()
            self._say_fallen()
            if (done := self._done()) != announced:
                announced = done
                for live in self._lives.shown:
                    live.update(done=done)

    def _take_fresh(self) -> None:
        """Boards that were plugged in since the last look."""
        if self._every is None or time.monotonic() < self._looks_at:
            return
        self._looks_at = time.monotonic() + NEW_BOARDS_S
        for link in self._every.fresh():
            with suppress(InputError):  # its own recorder has found it again
                self._recordings.start(None, link)

    def _next_notice(self) -> None:
        if NEXT_TIER in self._keys.pressed():
            self._mark_tier()
        try:
            self._print(*self._notices.get(timeout=LOOK_S))
        except Empty:
            return

    def _mark_tier(self) -> None:
        try:
            live = _wound(self._lives.shown)
            recording = self._recordings.one(live.key)
            if live.car is not None and live.car.encoder.sensors == 1:
                recording.mark()  # no winding is seen: the mark says that a run comes
            else:
                live.mark_tier()
        except InputError as error:
            print(str(error), flush=True)

    def _print(self, live: LiveState, notice: Notice) -> None:
        from unspool.instrument.record import LinkChanged, RunSaved

        if isinstance(notice, LinkChanged) and notice.up and self._address:
            print(f"track: {self._address} (Ctrl-C ends)", flush=True)
            self._address = ""
        if isinstance(notice, RunSaved):
            self._add_run(notice.run_id)
        elif line := self._lines.line(live, notice):
            print(line, flush=True)
        if live.status.needs_car and live.key not in self._asked:
            self._asked.add(live.key)
            asked = f"! {live.line.name} is new here: choose its car on its page, or give --car"
            print(asked, flush=True)

    def _say_fallen(self) -> None:
        """A board that fails alone; the last one's fault ends the command."""
        for why in self._recordings.take_faults():
            if self._recordings.is_under_way or self._every is not None:
                print(f"! {why}", flush=True)

    def _add_run(self, run_id: str) -> None:
        from unspool.kept import Readings
        from unspool.runs import stored_run

        if run_id in self._old_runs or run_id in self.saved:
            return
        self.saved.append(run_id)
        try:
            with own_faults("its reading"):
                run = stored_run(self._store.run(run_id))
                self._on_run(run_id, Readings(self._store).reading(run))
        except UnspoolError as error:
            print(f"run {run_id} is saved, but cannot be read: {error}", flush=True)


def _wound(boards: Sequence[LiveState]) -> LiveState:
    """The board whose next tier the key marks. Raises InputError if that is not sure."""
    from unspool.app.tiers import WOUND_IN

    wound = [one for one in boards if one.status.phase in WOUND_IN]
    if len(boards) != 1 and len(wound) > 1:
        raise InputError("several cars are wound now: mark the tier on each one's page")
    if not boards:
        raise InputError("nothing here is being recorded")
    return (wound or list(boards))[0]
