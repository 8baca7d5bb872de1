"""Observers: who looks on while a board is recorded. One that fails is left out."""

from __future__ import annotations

from collections.abc import Sequence

from unspool.finding import Finding, warning
from unspool.instrument.codes import RecordCode
from unspool.instrument.record.health import HealthWatch
from unspool.instrument.record.notices import BoardTrouble, Notice, Observer
from unspool.instrument.record.notify import reason_of


class Observers:
    """All are called on the recording thread."""

    def __init__(self, observers: Sequence[Observer]) -> None:
        self._observers = list(observers)
        self._health = HealthWatch()

    def expect_other_board(self) -> None:
        """What comes next is no restart of the board that was there."""
        self._health = HealthWatch()

    def __call__(self, notice: Notice) -> None:
        """Reports the notice, and what it means for the board's health."""
        for out in self._health.feed(notice):
            for observer in list(self._observers):
                self._call(observer, out)

    def trouble(self, findings: Sequence[Finding]) -> None:
        """Reports each."""
        for finding in findings:
            self(BoardTrouble(finding))

    def _call(self, observer: Observer, notice: Notice) -> None:
        """The others hear of one that fails."""
        try:
            observer(notice)
        except Exception as error:  # of any kind: the recording must go on
            self._observers.remove(observer)
            name = getattr(observer, "__name__", type(observer).__name__)
            failed = warning(RecordCode.OBSERVER_FAILED, observer=name, reason=reason_of(error))
            self.trouble([failed])
