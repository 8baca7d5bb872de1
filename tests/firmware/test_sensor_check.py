"""The sensor check from the pins of the chip to the verdict, with a sensor or disc at fault."""

from __future__ import annotations

import pytest

from firmware.stepped import SteppedBoard, Talk
from instrument.sensors.turned import Bench
from unspool.finding import Severity
from unspool.instrument.record.sensor_check import joined
from unspool.instrument.sensors import SensorVerdict, judge
from unspool.instrument.sensors.codes import SensorCode as Code
from unspool.instrument.wire import SensorSamples

pytestmark = pytest.mark.firmware

START_S = 1.0
STEP_S = 0.05


def verdict(bench: Bench, expected: int = 20) -> SensorVerdict:
    with SteppedBoard() as board:
        talk = Talk(board)
        talk.conversation.check()
        talk.until(START_S)
        pins = bench.pins(START_S)
        while board.time_s < START_S + bench.duration_s + 0.5:
            until_s = round(board.time_s + STEP_S, 6)
            for time_s, levels in pins:
                if board.time_s < time_s <= until_s:
                    board.say(f"{time_s * 1e6:.4f} pins {levels}")
            talk.until(until_s, step_s=STEP_S)
    return judge(joined(talk.all_of(SensorSamples)), expected)


def warnings(seen: SensorVerdict) -> set[str]:
    return {one.code for one in seen.findings if one.severity is Severity.WARNING}


@pytest.mark.parametrize(
    ("bench", "codes"),
    [
        (Bench(turns_a_second=2), set()),
        (Bench(turns_a_second=2, a_dead=True), {Code.SENSOR_BLIND}),
        (Bench(turns_a_second=2, b_dead=True), {Code.SENSOR_BLIND}),
        (Bench(turns_a_second=2, b_lag=0.03), {Code.PHASE_WRONG}),
        (Bench(turns_a_second=2, b_lag=0.75), {Code.TURNED_BACKWARD}),
        (Bench(turns_a_second=2, bounces=2), {Code.SENSOR_CHATTERS}),
        (Bench(turns_a_second=2, closed=4), {Code.EDGES_WRONG, Code.SLOT_CLOSED}),
        (Bench(turns_a_second=2, slots=12), {Code.EDGES_WRONG}),
        (Bench(turns_a_second=2, high=0.2), {Code.HIGH_SHARE_OFF}),
        (Bench(turns_a_second=2, spikes=15), {Code.SHORT_PULSES}),
    ],
    ids=lambda value: "" if isinstance(value, set) else None,
)
def test_fault_is_found_and_no_other(bench: Bench, codes: set[str]) -> None:
    seen = verdict(bench)
    assert warnings(seen) == codes
    assert seen.lost == 0
    assert seen.ok is (not codes)


def test_wheel_that_stands_is_said_to_stand() -> None:
    seen = verdict(Bench(turns=0.02))
    assert not seen.ok
    assert [one.code for one in seen.findings] == [Code.WHEEL_HARDLY_TURNED]
