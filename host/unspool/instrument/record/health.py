"""What a board's health means for the person who runs the car: a failing battery, a restart.

The chip measures its own supply against a reference that is within 10 % from chip to chip. At 16
MHz its datasheet asks for 3.78 V (ATmega328P, "Speed Grades": 10 MHz at 2.7 V to 20 MHz at 4.5 V).
At 2.7 V the brown-out detector resets it. It then keeps the edges that no host has fetched, unless
the supply falls so far that its memory fades.
"""

from __future__ import annotations

from dataclasses import replace

from unspool.finding import warning
from unspool.instrument.codes import RecordCode
from unspool.instrument.record.notices import BoardHealth, BoardSeen, BoardTrouble, Notice
from unspool.instrument.wire.table import (
    FIVE_VOLT_ABOVE_MV,
    LOW_3V3_MV,
    LOW_5V_MV,
    RECOVERED_MV,
    ResetCause,
)

FAULTY_STARTS = (ResetCause.BROWN_OUT, ResetCause.WATCHDOG)


def low_below_v(highest_v: float) -> float:
    """The voltage to warn below, by the highest that was seen: a 5 V board's or a 3.3 V board's."""
    five_volt = highest_v > FIVE_VOLT_ABOVE_MV / 1000.0
    return (LOW_5V_MV if five_volt else LOW_3V3_MV) / 1000.0


class HealthWatch:
    """One session's board."""

    def __init__(self) -> None:
        self._seen: BoardSeen | None = None
        self._cause_due: RecordCode | None = None  # what the next status's reset cause belongs to
        self._reset_at: int | None = None  # None before the boot's first status
        self._highest_v = 0.0
        self._low = False

    def feed(self, notice: Notice) -> list[Notice]:
        """The notices that take its place: the same, then what it means."""
        match notice:
            case BoardSeen():
                return self._see(notice)
            case BoardHealth():
                return self._judge(notice)
            case _:
                return [notice]

    def _see(self, seen: BoardSeen) -> list[Notice]:
        """Nothing if the board only got another setting."""
        if seen == self._seen:
            return []
        if self._seen is None or seen.boot != self._seen.boot:
            self._cause_due = _restart_code(self._seen)
            self._reset_at = None
        self._seen = seen
        return [seen]

    def _judge(self, health: BoardHealth) -> list[Notice]:
        was = self._low
        self._measure(health.battery_v)
        if self._reset_at is not None and health.reset_at != self._reset_at:
            self._cause_due = RecordCode.BOARD_RESET
        self._reset_at = health.reset_at
        notices: list[Notice] = [replace(health, battery_low=self._low)]
        if self._cause_due is not None:
            if self._is_worth_saying(health.reset_cause):
                cause = health.reset_cause.name.lower()
                notices.append(BoardTrouble(warning(self._cause_due, cause=cause)))
            self._cause_due = None
        if self._low and not was:
            notices.append(
                BoardTrouble(warning(RecordCode.BATTERY_LOW, battery_v=health.battery_v))
            )
        return notices

    def _is_worth_saying(self, cause: ResetCause) -> bool:
        """Before the session a board may start as it likes, unless its start shows a fault."""
        before = self._cause_due is RecordCode.BOARD_RESTARTED_BEFORE
        return not before or cause in FAULTY_STARTS

    def _measure(self, battery_v: float) -> None:
        """A board sends 0 V if it does not measure."""
        if battery_v <= 0.0:
            self._low = False
            return
        self._highest_v = max(self._highest_v, battery_v)
        limit = low_below_v(self._highest_v)
        self._low = battery_v < limit + (RECOVERED_MV / 1000.0 if self._low else 0.0)


def _restart_code(before: BoardSeen | None) -> RecordCode:
    if before is None:
        return RecordCode.BOARD_RESTARTED_BEFORE
    return RecordCode.BOARD_RESTARTED
