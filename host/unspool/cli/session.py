"""RecordingSession: a recording at work, the pages beside it, and lines in the terminal.

The recorder has a thread of its own and only puts notices into a queue. The page server has
another. The command's thread prints the notices, looks for keys and waits for Ctrl-C.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from queue import Empty, Queue
from typing import TYPE_CHECKING

from unspool.cli.keys import Keys, reading_keys
from unspool.cli.notices import NoticeLines
from unspool.cli.pages import PageOptions, announce, page_server
from unspool.cli.stopping import StopSignal, stop_signals
from unspool.errors import InputError, UnspoolError, own_faults

if TYPE_CHECKING:
    from unspool.app import RecordedCar
    from unspool.app.boards import OwnBoard
    from unspool.instrument.link import Link
    from unspool.instrument.record import Notice
    from unspool.reading.events.types import Reading
    from unspool.store import Store

LOOK_S = 0.1
NEXT_TIER = "n"  # the key, here as on the page


class RecordingSession:
    """Records a car until Ctrl-C, until the link ends, or until `is_over`.

    on_run: called with each new run's name and reading. is_over: called with the number of saved
    runs. own: the board that this is. Pages may start it again, so they stay when it ends.
    done: called often. It returns a sentence once no further run will come.

    After `run`, saved has the ids of the new runs, and stopped says whether Ctrl-C ended it.
    """

    def __init__(
        self,
        link: Link,
        store: Store,
        recorded: RecordedCar,
        on_run: Callable[[str, Reading], None],
        *,
        is_over: Callable[[int], bool] = lambda _saved: False,
        own: OwnBoard | None = None,
        done: Callable[[], str] = lambda: "",
    ) -> None:
        from unspool.app import LiveState, Recording

        self.saved: list[str] = []
        self.stopped = False
        self._link, self._store, self._recorded = link, store, recorded
        self._on_run, self._is_over, self._own, self._done = on_run, is_over, own, done
        # A capture that goes on brings notices of its old runs again.
        self._old_runs = frozenset(row.id for row in store.runs())
        self._notices: Queue[Notice] = Queue()
        self._live = LiveState()
        self._recording = Recording(store, self._live, [self._notices.put])
        self._lines = NoticeLines()
        self._keys = Keys(None)
        self._address = ""

    def run(self, page: PageOptions | None) -> None:
        """Records until it is over. Without a page, everything else happens all the same.

        Raises UnspoolError if link, board or store fail.
        """
        with stop_signals() as stop, ExitStack() as stack:
            if page is not None:
                self._serve(page, stack)
            self._keys = stack.enter_context(reading_keys())
            if self._keys.available and len(self._recorded.car.drum) > 1:
                print("while winding, press n when you go on to the next tier", flush=True)
            try:
                self._recording.start(self._recorded, self._link)
                self._follow(stop, stays=self._own is not None and page is not None)
            except KeyboardInterrupt:
                self.stopped = True
                print("\nstopped", flush=True)
            finally:
                self._recording.stop()
                self._recording.join()
        while not self._notices.empty():
            self._next_notice()

    def _serve(self, page: PageOptions, stack: ExitStack) -> None:
        from unspool.app import Access, Trackside, create_app
        from unspool.app.boards import Boards

        access = Access(shared=page.share)
        boards = Boards({"own": self._own} if self._own else {})
        trackside = Trackside(self._store, self._live, self._recording, boards)
        app = create_app(self._store, self._live, access=access, trackside=trackside)
        server = page_server(app, page)
        stack.enter_context(server)
        self._address = server.address
        announce(server, page, access)

    def _follow(self, stop: StopSignal, *, stays: bool) -> None:
        announced = ""
        while not self._is_over(len(self.saved)) and (stays or not self._recording.join(0.0)):
            stop.check()
            self._next_notice()
            if (done := self._done()) != announced:
                announced = done
                self._live.announce(done)

    def _next_notice(self) -> None:
        if NEXT_TIER in self._keys.pressed():
            self._mark_tier()
        try:
            self._print(self._notices.get(timeout=LOOK_S))
        except Empty:
            return

    def _mark_tier(self) -> None:
        try:
            if self._recorded.car.encoder.sensors == 1:
                self._recording.mark()  # no winding is seen: the mark says that a run comes
            else:
                self._live.mark_tier()
        except InputError as error:
            print(str(error), flush=True)

    def _print(self, notice: Notice) -> None:
        from unspool.instrument.record import LinkChanged, RunSaved

        if isinstance(notice, LinkChanged) and notice.up and self._address:
            print(f"track: {self._address} (Ctrl-C ends)", flush=True)
            self._address = ""
        if isinstance(notice, RunSaved):
            self._add_run(notice.run_id)
        elif line := self._lines.line(notice):
            print(line, flush=True)

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
