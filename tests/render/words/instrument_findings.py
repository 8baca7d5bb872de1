"""All that a recording or a sensor check may find, in each of its forms."""

from __future__ import annotations

from unspool.finding import note, warning
from unspool.instrument.codes import RecordCode
from unspool.instrument.sensors.codes import SensorCode
from unspool.instrument.strangers import Stranger
from unspool.instrument.wire.table import ResetCause

LINK = "/dev/ttyUSB0"

RECORD = [
    note(RecordCode.LISTENING, link=LINK),
    note(RecordCode.LISTENING_AGAIN, link=LINK),
    warning(RecordCode.LINK_FAILED, reason="the board on /dev/ttyUSB0 is gone"),
    *(warning(RecordCode.NO_BOARD_ANSWERS, link=LINK, there=who) for who in Stranger),
    *(warning(RecordCode.BOARD_RESTARTED, cause=cause.name.lower()) for cause in ResetCause),
    *(warning(RecordCode.BOARD_RESET, cause=cause.name.lower()) for cause in ResetCause),
    warning(RecordCode.BOARD_RESTARTED_BEFORE, cause="brown_out"),
    warning(RecordCode.BOARD_RESTARTED_BEFORE, cause="watchdog"),
    warning(RecordCode.BATTERY_LOW, battery_v=3.7),
    warning(RecordCode.CAPTURE_SET_ASIDE, capture=3, reason="ZeroDivisionError: division by zero"),
    warning(RecordCode.STORE_WAITS, reason="the store s.sqlite is locked by another program"),
    note(RecordCode.STORE_WRITES_AGAIN),
    warning(RecordCode.OBSERVER_FAILED, observer="LiveState", reason="KeyError: 'x'"),
    warning(RecordCode.EDGES_DO_NOT_ARRIVE, link="/dev/ttyUSB0", edges=271),
    note(RecordCode.EDGES_ARRIVE_AGAIN, link="/dev/ttyUSB0"),
    warning(RecordCode.BOARD_SILENT, link="/dev/ttyUSB0"),
    warning(RecordCode.EDGES_LOST_ON_BOARD, edges=1),
    warning(RecordCode.EDGES_LOST_ON_BOARD, edges=271),
]

SENSORS = [
    warning(SensorCode.WHEEL_STILL, a_high=True, b_high=False),
    warning(SensorCode.WHEEL_HARDLY_TURNED, edges_a=3, edges_b=2),
    note(SensorCode.SENSOR_GOOD, sensor="A", edges=200),
    warning(SensorCode.SENSOR_BLIND, sensor="B", high=True),
    warning(SensorCode.SENSOR_MISSES_SLOTS, sensor="B", edges=90, other_edges=200),
    note(SensorCode.PHASE_GOOD, phase_deg=93.0),
    note(SensorCode.PHASE_OFF, phase_deg=130.0),
    warning(SensorCode.PHASE_WRONG, phase_deg=8.0),
    warning(SensorCode.PHASE_WRONG, phase_deg=172.0),
    warning(SensorCode.PHASE_UNKNOWN),
    note(SensorCode.TURNED_FORWARD, forward_share=1.0),
    warning(SensorCode.TURNED_BACKWARD, forward_share=0.0),
    note(SensorCode.TURNED_BOTH_WAYS, forward_share=0.8),
    note(SensorCode.HIGH_SHARE_GOOD, sensor="A", high_share=0.51),
    note(SensorCode.HIGH_SHARE_OFF, sensor="A", high_share=0.36),
    note(SensorCode.EDGES_COUNTED, edges_per_turn=20),
    note(SensorCode.EDGES_AS_EXPECTED, edges_per_turn=20),
    warning(SensorCode.EDGES_WRONG, edges_per_turn=18, expected_edges=20),
    note(SensorCode.EDGES_UNKNOWN),
    warning(SensorCode.SLOT_CLOSED, sensor="A", every_edges=18),
    warning(SensorCode.SENSOR_CHATTERS, sensor="A", bounces=9, edges=200),
    note(SensorCode.SHORT_PULSES, pulses=3),
    note(SensorCode.CHANGES_LOST, changes=7),
]
