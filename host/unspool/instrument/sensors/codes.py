"""The codes of what a sensor check finds."""

from __future__ import annotations

from enum import StrEnum


class SensorCode(StrEnum):
    """Each is the code of a Finding; docs/formats.md lists the values that go with it."""

    WHEEL_STILL = "wheel_still"
    WHEEL_HARDLY_TURNED = "wheel_hardly_turned"
    SENSOR_GOOD = "sensor_good"
    SENSOR_BLIND = "sensor_blind"
    SENSOR_MISSES_SLOTS = "sensor_misses_slots"
    PHASE_GOOD = "phase_good"
    PHASE_OFF = "phase_off"
    PHASE_WRONG = "phase_wrong"
    PHASE_UNKNOWN = "phase_unknown"
    TURNED_FORWARD = "turned_forward"
    TURNED_BACKWARD = "turned_backward"
    TURNED_BOTH_WAYS = "turned_both_ways"
    HIGH_SHARE_GOOD = "high_share_good"
    HIGH_SHARE_OFF = "high_share_off"
    EDGES_COUNTED = "edges_counted"
    EDGES_AS_EXPECTED = "edges_as_expected"
    EDGES_WRONG = "edges_wrong"
    EDGES_UNKNOWN = "edges_unknown"
    SLOT_CLOSED = "slot_closed"
    SENSOR_CHATTERS = "sensor_chatters"
    SHORT_PULSES = "short_pulses"
    CHANGES_LOST = "changes_lost"


# What is as it should be, and what could not be measured; the rest is to be looked at.
GOOD = frozenset(
    {
        SensorCode.SENSOR_GOOD,
        SensorCode.PHASE_GOOD,
        SensorCode.TURNED_FORWARD,
        SensorCode.HIGH_SHARE_GOOD,
        SensorCode.EDGES_COUNTED,
        SensorCode.EDGES_AS_EXPECTED,
    }
)
UNKNOWN = frozenset(
    {
        SensorCode.WHEEL_STILL,
        SensorCode.WHEEL_HARDLY_TURNED,
        SensorCode.PHASE_UNKNOWN,
        SensorCode.EDGES_UNKNOWN,
    }
)
