"""RecordingSession: a recorder at work, the live page beside it, and lines in the terminal.

The recorder has a thread of its own and only puts notices into a queue. The page server has
another. The command's thread prints the notices, looks for keys and waits for Ctrl-C.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from queue import Empty, Queue
from typing import TYPE_CHECKING

from unspool.cli.keys import Keys, reading_keys
from unspool.cli.notices import NoticeLines
from unspool.cli.pages import PageOptions, announce, page_server
from unspool.cli.stopping import StopSignal, stop_signals
from unspool.errors import UnspoolError, own_faults

if TYPE_CHECKING:
    from unspool.car import Car, Track
    from unspool.instrument.link import Link
    from unspool.instrument.record import Notice, Recorder
    from unspool.reading.events.types import Reading
    from unspool.store import Store

LOOK_S = 0.1
NEXT_TIER = "n"  # the key, here as on the page


@dataclass(frozen=True)
class RecordedCar:
    """The car and the track that are recorded, with the text of their files for the store."""

    car: Car
    track: Track
    car_text: str
    track_text: str | None


class RecordingSession:
    """Records a car until Ctrl-C, until the link ends, or until `is_over`.

    on_run: called with each new run's name and reading. is_over: called with the number of saved
    runs. keep_page: the page stays after the link's end. After `run`, saved has the ids of the new
    runs, and stopped says whether Ctrl-C ended it.
    """

    def __init__(
        self,
        link: Link,
        store: Store,
        recorded: RecordedCar,
        on_run: Callable[[str, Reading], None],
        *,
        is_over: Callable[[int], bool] = lambda _saved: False,
        keep_page: bool = False,
    ) -> None:
        self.saved: list[str] = []
        self.stopped = False
        self._link, self._store, self._recorded = link, store, recorded
        self._on_run, self._is_over, self._keep_page = on_run, is_over, keep_page
        # A capture that goes on brings notices of its old runs again.
        self._old_runs = frozenset(row.id for row in store.runs())
        self._notices: Queue[Notice] = Queue()
        self._lines = NoticeLines()
        self._keys = Keys(None)
        self._address = ""
        self._marks = 0  # of tiers, while winding

    def run(self, page: PageOptions | None) -> None:
        """Records until it is over. Without a page, everything else happens all the same.

        Raises UnspoolError if link, board or store fail.
        """
        recorder = self._recorder()
        with stop_signals() as stop, ExitStack() as stack:
            if page is not None:
                self._serve(recorder, page, stack)
            self._keys = stack.enter_context(reading_keys())
            if self._keys.available and len(self._recorded.car.drum) > 1:
                print("while winding, press n when you go on to the next tier", flush=True)
            try:
                recorder.start()
                self._follow(recorder, stop)
                while self._keep_page and page is not None and not self._is_over(len(self.saved)):
                    stop.check()
                    self._next_notice(recorder)
            except KeyboardInterrupt:
                self.stopped = True
                print("\nstopped", flush=True)
            finally:
                recorder.stop()
                recorder.join()
        while not self._notices.empty():
            self._next_notice(recorder)

    def _recorder(self) -> Recorder:
        from unspool.instrument.record import Recorder, RunContext

        recorded = self._recorded
        turns = sum(tier.turns for tier in recorded.car.drum)
        encoder = recorded.car.encoder
        context = RunContext(
            recorded.car_text,
            recorded.track_text,
            encoder.pulses_per_turn,
            turns,
            encoder.sensors,
        )
        return Recorder(self._link, self._store, context, [self._notices.put])

    def _serve(self, recorder: Recorder, page: PageOptions, stack: ExitStack) -> None:
        from unspool.app import Access, LiveState, create_app

        access = Access(shared=page.share)
        live = LiveState(self._recorded.car, self._recorded.track)
        live.use_marks(recorder.mark_tier)
        recorder.observe(live)
        server = page_server(create_app(self._store, live, access=access), page)
        stack.enter_context(server)
        self._address = server.address
        announce(server, page, access)

    def _follow(self, recorder: Recorder, stop: StopSignal) -> None:
        while not recorder.join(0.0):
            stop.check()
            self._next_notice(recorder)
            if self._is_over(len(self.saved)):
                recorder.stop()

    def _next_notice(self, recorder: Recorder) -> None:
        if NEXT_TIER in self._keys.pressed():
            self._mark_tier(recorder)
        try:
            self._print(self._notices.get(timeout=LOOK_S))
        except Empty:
            return

    def _mark_tier(self, recorder: Recorder) -> None:
        from unspool.car.winding import why_no_next_tier

        if why := why_no_next_tier(self._recorded.car, self._marks):
            print(why, flush=True)
        else:
            recorder.mark_tier()

    def _print(self, notice: Notice) -> None:
        from unspool.instrument.record import LinkChanged, PhaseChanged, RunSaved

        if isinstance(notice, PhaseChanged):
            self._marks = len(notice.wound_steps)
        if isinstance(notice, LinkChanged) and notice.up and self._address:
            print(f"live page: {self._address} (Ctrl-C ends)", flush=True)
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
