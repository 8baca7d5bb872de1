"""What a board's voltage and its restarts mean, told when they happen and once."""

from __future__ import annotations

import pytest

from unspool.instrument.record import (
    BoardHealth,
    BoardSeen,
    BoardTrouble,
    EdgesMissed,
    Notice,
)
from unspool.instrument.record.health import HealthWatch


def troubles(*notices: Notice) -> list[tuple[str, str]]:
    watch = HealthWatch()
    told = [told for notice in notices for told in watch.feed(notice)]
    return [(t.code, t.text) for t in told if isinstance(t, BoardTrouble)]


def seen(boot: int) -> BoardSeen:
    return BoardSeen("atmega328p", boot, 250_000)


def at(volts: float, cause: str = "power on") -> BoardHealth:
    return BoardHealth(volts, 0, cause)


def codes(*volts: float) -> list[str]:
    return [code for code, _ in troubles(*(at(v) for v in volts))]


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
    assert codes(*volts) == ["low_battery"] * warnings


def test_low_battery_says_the_voltage() -> None:
    ((_, text),) = troubles(at(3.7))
    assert text.startswith("the battery is low: 3.70 V; charge or change it")


def test_health_carries_whether_it_is_low() -> None:
    watch = HealthWatch()
    watch.feed(at(5.0))
    low, *_ = watch.feed(at(3.9))
    assert low == BoardHealth(3.9, 0, "power on", battery_low=True)


@pytest.mark.parametrize(
    ("cause", "says"),
    [
        ("power on", "because its power was off"),
        ("brown out", "because its supply fell too low"),
        ("watchdog", "because its program hung"),
        ("external", "by its reset button"),
        ("unknown", "does not tell why"),
    ],
)
def test_restart_in_a_session_is_told_with_its_cause(cause: str, says: str) -> None:
    told = troubles(seen(7), at(5.0), seen(8), at(5.0, cause), at(5.0, cause))
    ((code, text),) = told
    assert code == "reset"
    assert "the board started again" in text
    assert says in text
    assert text.endswith("what it held and no record has is gone")


@pytest.mark.parametrize(
    ("cause", "says"),
    [("power on", None), ("external", None), ("unknown", None), ("watchdog", "hung before this")],
)
def test_first_start_is_told_only_where_it_was_bad(cause: str, says: str | None) -> None:
    told = troubles(seen(7), at(5.0, cause), at(5.0, cause))
    assert [code for code, _ in told] == (["reset"] if says else [])
    assert not says or says in told[0][1]


def test_same_boot_heard_again_is_no_restart() -> None:
    assert troubles(seen(7), at(5.0), seen(7), at(5.0, "external")) == []


def test_other_notices_pass_as_they_are() -> None:
    assert HealthWatch().feed(EdgesMissed(3)) == [EdgesMissed(3)]
