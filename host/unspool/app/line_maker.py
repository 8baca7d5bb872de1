"""LineMaker: makes the Logbook's lines that are due, beside the pages, the newest first."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from threading import Lock, Thread

from unspool.kept.lines import Lines, is_due
from unspool.store import Line, RunRow

BATCH_S = 1.0  # as long as readers wait for the next ones
MOST_AT_ONCE = 50
REST_S = 0.5  # from one look to the next, while somebody records


class LineMaker:
    """Safe from several threads. One thread makes lines, while any are due.

    busy: whether a car is on its way: its recording then has the computer for itself.
    """

    def __init__(self, lines: Lines, busy: Callable[[], bool] = lambda: False) -> None:
        self._lines, self._busy = lines, busy
        self._lock = Lock()
        self._due: list[RunRow] = []
        self._made: dict[str, tuple[int, Line]] = {}  # with the turn in which each was made
        self._turn = 0
        self._thread: Thread | None = None

    def lines(self, rows: Sequence[RunRow]) -> tuple[dict[str, Line], int]:
        """The newest line of each run, as far as there is one, and how many of them are due.

        Begins to make those.

        rows: of the store, as they are now, in the order in which lines are made.
        """
        known = self._lines.kept()
        with self._lock:
            known |= {run: line for run, (_, line) in self._made.items()}
            self._due = [row for row in rows if is_due(row, known.get(row.id))]
            if self._due and self._thread is None:
                self._thread = Thread(target=self._work, name="logbook lines", daemon=True)
                self._thread.start()
            return known, len(self._due)

    def known(self, rows: Sequence[RunRow]) -> dict[str, Line]:
        """The newest lines of some runs. Makes none."""
        ids = [row.id for row in rows]
        known = self._lines.kept(ids)
        with self._lock:
            return known | {run: self._made[run][1] for run in ids if run in self._made}

    def since(self, turn: int) -> set[str]:
        """The runs whose lines were made after that turn."""
        with self._lock:
            return {run for run, (made, _) in self._made.items() if made > turn}

    @property
    def turn(self) -> int:
        """Counts each time that lines were made."""
        with self._lock:
            return self._turn

    def _work(self) -> None:
        while batch := self._next_batch():
            made: list[Line] = []
            began = time.monotonic()
            for row in batch:
                while self._busy():
                    time.sleep(REST_S)
                made.append(self._lines.make(row))
                if time.monotonic() - began > BATCH_S:
                    break
            self._lines.keep(made)
            self._note(made)

    def _next_batch(self) -> list[RunRow]:
        """Ends the thread if there is none. The next answer with lines due begins another."""
        with self._lock:
            if not self._due:
                self._thread = None
            return self._due[:MOST_AT_ONCE]

    def _note(self, made: Sequence[Line]) -> None:
        with self._lock:
            self._turn += 1
            self._made.update({line.run_id: (self._turn, line) for line in made})
            done = {line.run_id for line in made}
            self._due = [row for row in self._due if row.id not in done]
