"""Recording: one board's recorder, which car it is in, and the live state that shows it."""

from __future__ import annotations

from threading import Lock

from unspool.app.board_memory import BoardMemory, RecordedCar
from unspool.app.live_state import LiveState
from unspool.app.live_status import Advised
from unspool.car import FLAT
from unspool.instrument.record import Recorder, RunContext


class Recording:
    """recorded: None leaves the car to what the board remembers. Safe from several threads.

    A board that is known by its number keeps in mind what it was recorded with. What was chosen by
    hand comes first, as long as no other board is put in its place.
    """

    def __init__(self, memory: BoardMemory, live: LiveState, recorded: RecordedCar | None) -> None:
        self._memory, self.live, self._recorded = memory, live, recorded
        self._lock = Lock()
        self._board: int | None = None  # None until it has said its number
        self._recorder: Recorder | None = None
        self._begin(None)

    def attend(self, recorder: Recorder) -> None:
        """The recorder whose board it is."""
        self._recorder = recorder

    @property
    def recorded(self) -> RecordedCar | None:
        with self._lock:
            return self._recorded

    @property
    def board(self) -> int:
        """Its number, 0 if it has none, or has not said it yet."""
        with self._lock:
            return self._board or 0

    def context_of(self, board: int) -> RunContext:
        """What is recorded, now that this board is there. On the recording thread."""
        remembered = self._memory.of(board)
        with self._lock:
            first, before = self._board is None, self._recorded
            other, self._board = not first and board != self._board, board
            if remembered and (before is None or other):
                self._recorded = remembered
            now = self._recorded
        advised = _advised(now, remembered, by_itself=now is not before)
        if now is not before:
            self._begin(advised)
        elif now is None or first:
            self.live.update(board=board, needs_car=now is None, advised=advised)
        if now is None:
            return RunContext()
        self._memory.keep(board, now)
        return now.context

    def change(self, recorded: RecordedCar) -> None:
        """The board is in this car. A run that is under way is this car's, too."""
        with self._lock:
            self._recorded, board = recorded, self._board or 0
        self._memory.keep(board, recorded)
        if self._recorder:
            self._recorder.change_context(recorded.context)
        self._begin(None)

    def mark(self, *, undo: bool = False) -> None:
        """The builder's mark, whatever the wheel shows."""
        if self._recorder:
            self._recorder.mark_tier(undo=undo)

    def stop(self) -> None:
        """Asks it to end; it saves a run that is under way."""
        if self._recorder:
            self._recorder.stop()

    def _begin(self, advised: Advised | None) -> None:
        now = self.recorded
        car, track = (now.car, now.track) if now else (None, FLAT)
        self.live.begin(car, track, self.mark, board=self.board, advised=advised)


def _advised(
    now: RecordedCar | None, remembered: RecordedCar | None, *, by_itself: bool
) -> Advised | None:
    if remembered is None or now is None or (not by_itself and remembered.names == now.names):
        return None
    return Advised(remembered.names.car, remembered.names.track, is_so=by_itself)
