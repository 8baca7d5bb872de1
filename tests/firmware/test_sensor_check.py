"""The sensor check from the pins of the chip to the verdict, with a sensor or disc at fault."""

from __future__ import annotations

import pytest

from firmware.stepped import SteppedBoard, Talk
from instrument.sensors.turned import Bench
from unspool.instrument.record.sensor_check import joined
from unspool.instrument.sensors import Grade, Verdict, judge
from unspool.instrument.wire import SensorSamples

pytestmark = pytest.mark.firmware

START_S = 1.0
STEP_S = 0.05


def verdict(bench: Bench, expected: int = 20) -> Verdict:
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


def faults(seen: Verdict) -> set[str]:
    return {remark.code for remark in seen.remarks if remark.grade is Grade.FAULT}


@pytest.mark.parametrize(
    ("bench", "codes"),
    [
        (Bench(turns_a_second=2), set()),
        (Bench(turns_a_second=2, a_dead=True), {"sensor_a"}),
        (Bench(turns_a_second=2, b_dead=True), {"sensor_b"}),
        (Bench(turns_a_second=2, b_lag=0.03), {"phase"}),
        (Bench(turns_a_second=2, b_lag=0.75), {"direction"}),
        (Bench(turns_a_second=2, bounces=2), {"chatter"}),
        (Bench(turns_a_second=2, closed=4), {"slots", "blocked_slot"}),
        (Bench(turns_a_second=2, slots=12), {"slots"}),
        (Bench(turns_a_second=2, high=0.2), {"duty_a", "duty_b"}),
        (Bench(turns_a_second=2, spikes=15), {"noise"}),
    ],
    ids=lambda value: "" if isinstance(value, set) else None,
)
def test_fault_is_found_and_no_other(bench: Bench, codes: set[str]) -> None:
    seen = verdict(bench)
    assert faults(seen) == codes
    assert seen.lost == 0
    assert seen.ok is (not codes)


def test_wheel_that_stands_is_said_to_stand() -> None:
    seen = verdict(Bench(turns=0.02))
    assert not seen.ok
    assert [remark.code for remark in seen.remarks] == ["movement"]
