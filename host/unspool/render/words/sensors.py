"""What a sensor check finds, in the words of the person who mounted the sensors."""

from __future__ import annotations

from unspool.instrument.sensors.codes import SensorCode
from unspool.render.words.values import Text, Values, number


def _level(high: object) -> str:
    return "high" if high else "low"


def _share_of_pitch(degrees: float) -> str:
    return f"{degrees / 360.0:.2f} of a slot pitch"


def _percent(share: float) -> str:
    return f"{round(100 * share)} %"


def _wheel_still(v: Values) -> str:
    return (
        "The wheel did not turn, or neither sensor sees the disc. Sensor A reads"
        f" {_level(v['a_high'])} and B {_level(v['b_high'])} all the time. Turn the wheel slowly"
        " through five turns. Check that both sensors have power and that the disc runs between"
        " them."
    )


def _wheel_hardly_turned(v: Values) -> str:
    return (
        f"The wheel hardly turned: sensor A switched {v['edges_a']} times and B {v['edges_b']}."
        " Turn it through five turns."
    )


def _sensor_blind(v: Values) -> str:
    return (
        f"Sensor {v['sensor']} sees no slot. It reads {_level(v['high'])} all the time, while the"
        " other sees the disc pass. Check its plug, its wires and that the slots pass in front of"
        " it."
    )


def _sensor_misses_slots(v: Values) -> str:
    return (
        f"Sensor {v['sensor']} misses slots: it switched {v['edges']} times, the other"
        f" {v['other_edges']}. Set it closer to the disc, or shade it."
    )


def _move(offset_deg: float) -> str:
    return f"Move sensor B along the rim by {_share_of_pitch(abs(90.0 - offset_deg))}."


def _phase_good(v: Values) -> str:
    return f"B switches {_share_of_pitch(number(v, 'phase_deg'))} from A; 0.25 is best."


def _phase_off(v: Values) -> str:
    return f"{_phase_good(v)} {_move(number(v, 'phase_deg'))}"


def _phase_wrong(v: Values) -> str:
    offset = number(v, "phase_deg")
    near = "together with A" if offset < 90 else "opposite to A"
    return (
        f"B switches almost {near}: {_share_of_pitch(offset)} off instead of 0.25. So the board"
        f" cannot know in which direction the wheel turns. {_move(offset)}"
    )


def _turned_backward(v: Values) -> str:
    return (
        "The wheel turned backward all the time. If you turned it in the direction in which the"
        " car runs, exchange the two sensors' wires."
    )


def _turned_both_ways(v: Values) -> str:
    return (
        f"The wheel turned both ways, {_percent(number(v, 'forward_share'))} of it forward. If you"
        " turned it one way only, the sensors sit loose, or slots and webs are too unlike."
    )


def _high_share(v: Values) -> str:
    return (
        f"Sensor {v['sensor']} reads high for {_percent(number(v, 'high_share'))} of a slot pitch"
    )


def _high_share_off(v: Values) -> str:
    return (
        f"{_high_share(v)}; half is best. Cut slots and webs alike, set the sensor square to the"
        " disc, or turn its trimmer if it has one."
    )


def _edges_wrong(v: Values) -> str:
    return (
        f"A turn has {v['edges_per_turn']} edges, but {v['expected_edges']} are expected. Check the"
        " disc's slots, and pulses_per_turn under [encoder] in the car file."
    )


def _edges_unknown(v: Values) -> str:
    return (
        "How many edges a turn has cannot be found. Spin the wheel and let it run for five turns,"
        " or turn it exactly ten turns from mark to mark and add --turns 10."
    )


def _slot_closed(v: Values) -> str:
    every = number(v, "every_edges")
    return (
        f"Once in {every:g} edges sensor {v['sensor']} sees a gap as long as three. One slot is"
        f" closed, or a web is broken out; a whole disc would give {every + 2:g}."
    )


def _sensor_chatters(v: Values) -> str:
    return (
        f"Sensor {v['sensor']} chatters: it switched to and fro {v['bounces']} times at"
        f" {v['edges']} edges. Keep stray light off it, and set it square and close to the disc."
    )


def _short_pulses(v: Values) -> str:
    return (
        f"{v['pulses']} short pulses came without a slot. Keep the sensor wires short and away from"
        " the battery's, and check their ground."
    )


TEXTS: dict[str, Text] = {
    SensorCode.WHEEL_STILL: _wheel_still,
    SensorCode.WHEEL_HARDLY_TURNED: _wheel_hardly_turned,
    SensorCode.SENSOR_GOOD: (
        lambda v: f"Sensor {v['sensor']} sees the slots: it switched {v['edges']} times."
    ),
    SensorCode.SENSOR_BLIND: _sensor_blind,
    SensorCode.SENSOR_MISSES_SLOTS: _sensor_misses_slots,
    SensorCode.PHASE_GOOD: _phase_good,
    SensorCode.PHASE_OFF: _phase_off,
    SensorCode.PHASE_WRONG: _phase_wrong,
    SensorCode.PHASE_UNKNOWN: (
        lambda v: "The wheel turned too unevenly to show how B lies to A. Turn it smoothly."
    ),
    SensorCode.TURNED_FORWARD: lambda v: "The wheel turned forward all the time.",
    SensorCode.TURNED_BACKWARD: _turned_backward,
    SensorCode.TURNED_BOTH_WAYS: _turned_both_ways,
    SensorCode.HIGH_SHARE_GOOD: lambda v: f"{_high_share(v)}.",
    SensorCode.HIGH_SHARE_OFF: _high_share_off,
    SensorCode.EDGES_COUNTED: lambda v: f"A turn has {v['edges_per_turn']} edges.",
    SensorCode.EDGES_AS_EXPECTED: (
        lambda v: f"A turn has {v['edges_per_turn']} edges, as it should."
    ),
    SensorCode.EDGES_WRONG: _edges_wrong,
    SensorCode.EDGES_UNKNOWN: _edges_unknown,
    SensorCode.SLOT_CLOSED: _slot_closed,
    SensorCode.SENSOR_CHATTERS: _sensor_chatters,
    SensorCode.SHORT_PULSES: _short_pulses,
    SensorCode.CHANGES_LOST: (lambda v: f"{v['changes']} changes came too fast to be looked at."),
}
