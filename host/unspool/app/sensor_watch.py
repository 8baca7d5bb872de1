"""SensorWatch: the sensors of a board, looked at from a page while the wheel is turned by hand."""

from __future__ import annotations

from threading import Event, Lock, Thread
from typing import Any

from unspool.car import Car
from unspool.errors import InputError, UnspoolError
from unspool.instrument.link import Link
from unspool.instrument.record.sensor_check import ENOUGH_EDGES, CheckProgress, check_sensors
from unspool.instrument.sensors import SensorVerdict, judge
from unspool.instrument.wire import SensorSamples
from unspool.language import Phrase, _
from unspool.render.words.findings import sentence

LONGEST_S = 60.0
MOST_SAMPLES = 20_000  # some minutes of turning by hand


class SensorWatch:
    """One check at a time. Safe from several threads."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._thread: Thread | None = None
        self._ending = Event()
        self._clear()

    def _clear(self) -> None:
        self._ending.clear()
        self._samples: list[tuple[float, int, int]] = []
        self._progress: CheckProgress | None = None
        self._verdict: SensorVerdict | None = None
        self._fault = ""

    @property
    def is_under_way(self) -> bool:
        return self._thread is not None and self._thread.is_alive()

    def start(self, link: Link, car: Car | None) -> None:
        """car: for its disc and sensors, if it is known. Raises InputError during a check."""
        with self._lock:
            if self.is_under_way:
                raise InputError(_("the sensors are being checked already"))
            self._clear()
            self._thread = Thread(
                target=self._run, args=(link, car), name="sensor check", daemon=True
            )
            self._thread.start()

    def end(self) -> None:
        """Ends the check with what was seen."""
        self._ending.set()

    def json(self, since: int) -> dict[str, Any]:
        """How far it is, with the samples from number `since` on: [time_s, a, b]."""
        with self._lock:
            shown = self._progress
            answer: dict[str, Any] = {
                "under_way": self.is_under_way,
                "samples": self._samples[since:],
                "have": len(self._samples),
                "fault": str(self._fault),
                "left_s": round(shown.left_s) if shown else LONGEST_S,
                "changes": [shown.changes_a, shown.changes_b] if shown else [0, 0],
            }
            if self._verdict is not None:
                answer["ok"] = self._verdict.ok
                answer["found"] = [
                    {"severity": str(one.severity), "text": sentence(one)}
                    for one in self._verdict.findings
                ]
        return answer

    def _run(self, link: Link, car: Car | None) -> None:
        try:
            seen = check_sensors(link, LONGEST_S, ENOUGH_EDGES, self._look, hear=self._hear)
            encoder = car.encoder if car else None
            slots = encoder.pulses_per_turn if encoder else None
            verdict = judge(seen, slots, None, encoder.sensors if encoder else 2)
            with self._lock:
                self._verdict = verdict
        except KeyboardInterrupt:
            self._say(Phrase("Ended before the board showed its sensors."))
        except UnspoolError as error:
            self._say(error.sentence)

    def _say(self, fault: str) -> None:
        with self._lock:
            self._fault = fault

    def _look(self, progress: CheckProgress) -> None:
        with self._lock:
            self._progress = progress
        if self._ending.is_set():
            raise KeyboardInterrupt  # how a check is ended early

    def _hear(self, samples: SensorSamples) -> None:
        rows = zip(samples.time_s.tolist(), samples.a.tolist(), samples.b.tolist(), strict=True)
        with self._lock:
            self._samples += [(round(t, 4), a, b) for t, a, b in rows]
            del self._samples[MOST_SAMPLES:]
