"""A sitting at the track: a recorder at work, the live page beside it, and words in the terminal.

The recorder has its own thread and only puts notices into a queue; the page server has another; the
command's own thread says what happens and waits for Ctrl-C.
"""

from __future__ import annotations

import webbrowser
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, field
from queue import Empty, Queue
from typing import TYPE_CHECKING

from unspool.cli.keys import Keys, listening
from unspool.cli.notices import Teller
from unspool.cli.sources import Source, read_source, stored_source
from unspool.errors import InputError, UnspoolError

if TYPE_CHECKING:
    from dash import Dash

    from unspool.app import PageServer
    from unspool.car import Car, Track
    from unspool.instrument.link import Link
    from unspool.instrument.record import Notice, Recorder
    from unspool.reading.events.types import Reading
    from unspool.store import Store

LOOK_S = 0.1
NEXT_TIER = "n"  # the key, here as on the page
OnRun = Callable[[str, Source, "Reading"], None]


@dataclass(frozen=True)
class PageWish:
    """port None: the usual one, or any that is free where another program has it.

    share: other computers on the network may look on.
    """

    wanted: bool = True
    port: int | None = None
    browser: bool = False
    share: bool = False


@dataclass
class Sitting:
    """What is recorded, from where and into what.

    on_run is given each new run that was saved, with its reading. runs: end after so many; None
    ends with Ctrl-C or the link's own end. stay: keep the page after the link's end.
    """

    link: Link
    store: Store
    car: Car
    track: Track
    car_text: str
    track_text: str | None
    on_run: OnRun
    runs: int | None = None
    over: Callable[[], bool] = lambda: False
    stay: bool = False
    saved: list[str] = field(default_factory=list)
    stopped: bool = False  # by Ctrl-C
    _before: frozenset[str] = frozenset()
    _address: str = ""
    _notices: Queue[Notice] = field(default_factory=Queue)
    _teller: Teller = field(default_factory=Teller)
    _keys: Keys = field(default_factory=lambda: Keys(None))
    _mark: Callable[[], None] = lambda: None
    _steps: int = 0  # that were marked while winding

    def hold(self, page: PageWish) -> None:
        """Records until it is over. Raises UnspoolError when link, board or store fail."""
        from unspool.instrument.record import Recorder, Subject

        # A capture that is gone on with tells its old runs again.
        self._before = frozenset(row.id for row in self.store.runs())
        turns = sum(tier.turns for tier in self.car.drum)
        slots = self.car.encoder.pulses_per_turn
        subject = Subject(self.car_text, self.track_text, slots, turns)
        recorder = Recorder(self.link, self.store, subject, [self._notices.put])
        with ExitStack() as opened:
            if page.wanted:
                self._serve(recorder, page, opened)
            self._keys, self._mark = opened.enter_context(listening()), recorder.mark_tier
            if self._keys.heard and len(self.car.drum) > 1:
                print("while winding, press n when you go on to the next tier", flush=True)
            try:
                recorder.start()
                self._follow(recorder)
                while self.stay and page.wanted and not self._is_over():
                    self._say_next()
            except KeyboardInterrupt:
                self.stopped = True
                print("\nstopped", flush=True)
            finally:
                recorder.stop()
                recorder.join()
        while not self._notices.empty():
            self._say_next()

    def _serve(self, recorder: Recorder, page: PageWish, open_pages: ExitStack) -> None:
        from unspool.app import Door, LiveHub, build

        door = Door(shared=page.share)
        hub = LiveHub(self.car, self.track)
        hub.mark_with(recorder.mark_tier)
        recorder.observe(hub)
        server = _server(build(self.store, hub, door=door), page)
        open_pages.enter_context(server)
        self._address = server.address
        if page.share:
            _say_shared(server.port, door.pin)
        if page.browser:
            webbrowser.open(server.address)

    def _is_over(self) -> bool:
        enough = self.runs is not None and len(self.saved) >= self.runs
        return enough or self.over()

    def _follow(self, recorder: Recorder) -> None:
        while not recorder.join(0.0):
            self._say_next()
            if self._is_over():
                recorder.stop()

    def _say_next(self) -> None:
        if NEXT_TIER in self._keys.pressed():
            self._next_tier()
        try:
            self._say(self._notices.get(timeout=LOOK_S))
        except Empty:
            return

    def _next_tier(self) -> None:
        from unspool.car.winding import why_no_next_tier

        if why := why_no_next_tier(self.car, self._steps):
            print(why, flush=True)
        else:
            self._mark()

    def _say(self, notice: Notice) -> None:
        from unspool.instrument.record import LinkChanged, PhaseChanged, RunSaved

        if isinstance(notice, PhaseChanged):
            self._steps = len(notice.wound_steps)
        if isinstance(notice, LinkChanged) and notice.up and self._address:
            print(f"live page: {self._address} (Ctrl-C ends)", flush=True)
            self._address = ""
        if isinstance(notice, RunSaved):
            self._say_run(notice.run_id)
        elif line := self._teller.words(notice):
            print(line, flush=True)

    def _say_run(self, run_id: str) -> None:
        if run_id in self._before or run_id in self.saved:
            return
        self.saved.append(run_id)
        try:
            source = stored_source(self.store.run(run_id))
            self.on_run(run_id, source, read_source(source))
        except UnspoolError as error:
            print(f"run {run_id} is kept, but cannot be read: {error}", flush=True)


def _server(dash: Dash, page: PageWish) -> PageServer:
    from unspool.app import PageServer
    from unspool.app.serving import EVERYWHERE, HOST, PORT

    host = EVERYWHERE if page.share else HOST
    if page.port is not None:
        return PageServer(dash, host, page.port)
    try:
        return PageServer(dash, host, PORT)
    except InputError:
        return PageServer(dash, host, 0)


def _say_shared(port: int, pin: str) -> None:
    from unspool.app.access import own_addresses

    there = [f"http://{address}:{port}/" for address in own_addresses()]
    print("shared: type", " or ".join(there) or f"this computer's address with :{port}", flush=True)
    print(f"guests look on; to change anything they need the PIN {pin}", flush=True)
