"""What a board's health means for whoever runs the car: a battery that fails, a restart.

The chip measures its own supply against a reference that is within 10 % from chip to chip. At
16 MHz its datasheet asks for 3.78 V (ATmega328P, "Speed Grades": 10 MHz at 2.7 V to 20 MHz at
4.5 V), and at 2.7 V the brown-out detector resets it, which forgets all edges not yet fetched.
"""

from __future__ import annotations

from dataclasses import replace

from unspool.instrument.record.notices import BoardHealth, BoardSeen, BoardTrouble, Notice

FIVE_VOLT_ABOVE_V = 3.65  # no 3.3 V regulator gives this, within the reference's error
LOW_5V_V = 4.0  # a little above what 16 MHz needs
LOW_3V3_V = 3.0  # a little above the brown-out
RECOVERED_V = 0.1  # above the limit, before the next warning is one

_AGAIN = "the board started again"
_GONE = "what it held and no record has is gone"
_CAUSES = {
    "power on": f"{_AGAIN} because its power was off: look at battery, switch and plugs; {_GONE}",
    "brown out": f"{_AGAIN} because its supply fell too low: charge or change the battery; {_GONE}",
    "watchdog": f"{_AGAIN} by its watchdog, because its program hung: please report it; {_GONE}",
    "external": f"{_AGAIN} by its reset button, or by a program that opened its port; {_GONE}",
}
_UNKNOWN = f"{_AGAIN}, its boot loader does not tell why; {_GONE}"
_BEFORE = {
    "brown out": "the board's supply fell too low before this session, and it started again:"
    " charge or change the battery",
    "watchdog": "the board's program hung before this session, and its watchdog started it again:"
    " please report it",
}


def low_below_v(highest_v: float) -> float:
    """The voltage to warn below, by the highest that was seen: a 5 V board's or a 3.3 V board's."""
    return LOW_5V_V if highest_v > FIVE_VOLT_ABOVE_V else LOW_3V3_V


class HealthWatch:
    """One session's board."""

    def __init__(self) -> None:
        self._boot: int | None = None
        self._cause_due: dict[str, str] | None = None
        self._highest_v = 0.0
        self._low = False

    def feed(self, notice: Notice) -> list[Notice]:
        """What onlookers are told in its place: the same, with what it means behind it."""
        match notice:
            case BoardSeen(boot=boot):
                if boot != self._boot:
                    self._cause_due = _BEFORE if self._boot is None else _CAUSES
                    self._boot = boot
                return [notice]
            case BoardHealth():
                return self._judge(notice)
            case _:
                return [notice]

    def _judge(self, health: BoardHealth) -> list[Notice]:
        was = self._low
        self._measure(health.battery_v)
        told: list[Notice] = [replace(health, battery_low=self._low)]
        if self._cause_due is not None:
            default = _UNKNOWN if self._cause_due is _CAUSES else ""
            if words := self._cause_due.get(health.reset_cause, default):
                told.append(BoardTrouble("reset", words))
            self._cause_due = None
        if self._low and not was:
            told.append(BoardTrouble("low_battery", _low_words(health.battery_v)))
        return told

    def _measure(self, battery_v: float) -> None:
        """A board says 0 V where it does not measure."""
        if battery_v <= 0.0:
            self._low = False
            return
        self._highest_v = max(self._highest_v, battery_v)
        limit = low_below_v(self._highest_v)
        self._low = battery_v < limit + (RECOVERED_V if self._low else 0.0)


def _low_words(battery_v: float) -> str:
    return (
        f"the battery is low: {battery_v:.2f} V; charge or change it before the next run, for a"
        " board that browns out forgets what it holds"
    )
