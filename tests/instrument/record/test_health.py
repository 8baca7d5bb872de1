"""What a board's voltage and its restarts mean, reported when they happen and once."""

from __future__ import annotations

from dataclasses import replace

import pytest

from unspool.finding import Finding, warning
from unspool.instrument.codes import RecordCode
from unspool.instrument.record import (
    BoardHealth,
    BoardSeen,
    BoardTrouble,
    EdgesMissed,
    Notice,
)
from unspool.instrument.record.health import HealthWatch
from unspool.instrument.wire.table import ResetCause


def troubles(*notices: Notice) -> list[Finding]:
    watch = HealthWatch()
    out = [one for notice in notices for one in watch.feed(notice)]
    return [one.finding for one in out if isinstance(one, BoardTrouble)]


def seen(boot: int) -> BoardSeen:
    return BoardSeen("atmega328p", boot, 250_000)


def at(volts: float, cause: ResetCause = ResetCause.POWER_ON) -> BoardHealth:
    return BoardHealth(volts, 0, cause)


def codes(*volts: float) -> list[str]:
    return [finding.code for finding in troubles(*(at(v) for v in volts))]


@pytest.mark.parametrize(
    ("volts", "warnings"),
    [
        ((5.0, 4.1, 4.01), 0),
        ((5.0, 3.99), 1),
        ((5.0, 3.99, 3.98, 4.05, 3.97), 1),  # it hovers
        ((5.0, 3.99, 4.2, 3.9), 2),  # it recovered
        ((3.7,), 1),  # nothing but a 5 V board shows this
        ((3.3, 3.1, 3.01), 0),  # a 3.3 V board
        ((3.3, 2.95), 1),
        ((5.0, 3.2), 1),  # a 5 V board stays one
        ((0.0, 0.0), 0),  # it does not measure
        ((5.0, 0.0), 0),
    ],
)
def test_low_battery_is_told_once_until_it_recovers(
    volts: tuple[float, ...], warnings: int
) -> None:
    assert codes(*volts) == [RecordCode.BATTERY_LOW] * warnings


def test_low_battery_carries_the_voltage() -> None:
    assert troubles(at(3.7)) == [warning(RecordCode.BATTERY_LOW, battery_v=3.7)]


def test_health_carries_whether_it_is_low() -> None:
    watch = HealthWatch()
    watch.feed(at(5.0))
    low, *_ = watch.feed(at(3.9))
    assert low == BoardHealth(3.9, 0, ResetCause.POWER_ON, battery_low=True)


@pytest.mark.parametrize("cause", list(ResetCause))
def test_restart_in_a_session_is_told_with_its_cause(cause: ResetCause) -> None:
    found = troubles(seen(7), at(5.0), seen(8), at(5.0, cause), at(5.0, cause))
    assert found == [warning(RecordCode.BOARD_RESTARTED, cause=cause.name.lower())]


def test_reset_that_kept_the_edges_is_another_finding() -> None:
    later = replace(at(5.0, ResetCause.EXTERNAL), reset_at=1000)
    found = troubles(seen(7), at(5.0), later, later)
    assert found == [warning(RecordCode.BOARD_RESET, cause="external")]
    assert troubles(seen(7), later, later) == [], "before the session"


@pytest.mark.parametrize("cause", list(ResetCause))
def test_first_start_is_told_only_if_it_was_bad(cause: ResetCause) -> None:
    found = troubles(seen(7), at(5.0, cause), at(5.0, cause))
    bad = cause in (ResetCause.BROWN_OUT, ResetCause.WATCHDOG)
    expected = [warning(RecordCode.BOARD_RESTARTED_BEFORE, cause=cause.name.lower())]
    assert found == (expected if bad else [])


def test_same_boot_heard_again_is_no_restart() -> None:
    assert troubles(seen(7), at(5.0), seen(7), at(5.0, ResetCause.EXTERNAL)) == []


def test_other_notices_pass_as_they_are() -> None:
    assert HealthWatch().feed(EdgesMissed(3)) == [EdgesMissed(3)]
