"""Recording: the one recorder of an app, which a command or a page starts and ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from threading import Lock, Thread

from unspool.app.live_state import LiveState
from unspool.car import Car, Track
from unspool.errors import InputError, UnspoolError
from unspool.instrument.link import Link
from unspool.instrument.record import Observer, Recorder, RunContext
from unspool.store import Store

CLOSING_S = 20.0  # a radio that does not answer is given up well before


@dataclass(frozen=True)
class RecordedCar:
    """The car and the track that are recorded, with the text of their files for the store."""

    car: Car
    track: Track
    car_text: str
    track_text: str | None


class Recording:
    """Safe from several threads. `live` and the observers hear of everything.

    Its recorder ends with the link, with `stop`, or if it fails; then another can be started.
    """

    def __init__(self, store: Store, live: LiveState, observers: Sequence[Observer] = ()) -> None:
        self._store, self._live, self._observers = store, live, tuple(observers)
        self._lock = Lock()
        self._recorder: Recorder | None = None
        self._thread: Thread | None = None
        self._failed: Exception | None = None

    @property
    def is_under_way(self) -> bool:
        return self._thread is not None and self._thread.is_alive()

    def start(self, recorded: RecordedCar, link: Link) -> None:
        """Records from now on. Raises InputError if something is being recorded already."""
        with self._lock:
            if self.is_under_way:
                raise InputError("a car is being recorded already; end that recording first")
            recorder = Recorder(
                link, self._store, _context(recorded), [self._live, *self._observers]
            )
            self._failed, self._recorder = None, recorder
            self._live.begin(recorded.car, recorded.track, recorder.mark_tier)
            self._thread = Thread(
                target=self._run, args=(recorder,), name="unspool recorder", daemon=True
            )
            self._thread.start()

    def _run(self, recorder: Recorder) -> None:
        try:
            recorder.run()
        except Exception as error:  # of any kind: `join` raises it in the caller's thread
            self._failed = error
        said = str(self._failed) if isinstance(self._failed, UnspoolError) else ""
        self._live.end(said or ("The recording failed." if self._failed else ""))

    def stop(self) -> None:
        """Asks the recording to end; it saves a run that is under way."""
        if self._recorder is not None:
            self._recorder.stop()

    def mark(self) -> None:
        """The builder's mark, whatever the wheel shows."""
        if self._recorder is not None:
            self._recorder.mark_tier()

    def join(self, timeout_s: float | None = None) -> bool:
        """Waits for the end, and says whether it came. Raises what ended it."""
        if self._thread is not None:
            self._thread.join(timeout_s)
        if not self.is_under_way and self._failed is not None:
            failed, self._failed = self._failed, None
            raise failed
        return not self.is_under_way


def _context(recorded: RecordedCar) -> RunContext:
    turns = sum(tier.turns for tier in recorded.car.drum)
    encoder = recorded.car.encoder
    return RunContext(
        recorded.car_text, recorded.track_text, encoder.pulses_per_turn, turns, encoder.sensors
    )
