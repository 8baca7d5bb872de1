"""What a sensor check finds, in the words of the person who mounted the sensors."""

from __future__ import annotations

from unspool.instrument.sensors.codes import SensorCode
from unspool.language import _, localised
from unspool.render.words.values import Text, Values, joined, number


def _level(high: object) -> str:
    return _("high") if high else _("low")


def _share_of_pitch(degrees: float) -> str:
    return _("{share} of a slot pitch", share=localised(f"{degrees / 360.0:.2f}"))


def _percent(share: float) -> str:
    return f"{round(100 * share)} %"


def _wheel_still(v: Values) -> str:
    return _(
        "The wheel did not turn, or neither sensor sees the disc. Sensor A reads {a} and B {b} all"
        " the time. Turn the wheel slowly through five turns. Check that both sensors have power"
        " and that the disc runs between them.",
        a=_level(v["a_high"]),
        b=_level(v["b_high"]),
    )


def _wheel_hardly_turned(v: Values) -> str:
    return _(
        "The wheel hardly turned: sensor A switched {a} times and B {b}. Turn it through five"
        " turns.",
        a=v["edges_a"],
        b=v["edges_b"],
    )


def _sensor_blind(v: Values) -> str:
    return _(
        "Sensor {sensor} sees no slot. It reads {level} all the time, while the other sees the"
        " disc pass. Check its plug, its wires and that the slots pass in front of it.",
        sensor=v["sensor"],
        level=_level(v["high"]),
    )


def _sensor_misses_slots(v: Values) -> str:
    return _(
        "Sensor {sensor} misses slots: it switched {edges} times, the other {other}. Set it closer"
        " to the disc, or shade it.",
        sensor=v["sensor"],
        edges=v["edges"],
        other=v["other_edges"],
    )


def _move(offset_deg: float) -> str:
    far = _share_of_pitch(abs(90.0 - offset_deg))
    return _("Move sensor B along the rim by {far}.", far=far)


def _phase_good(v: Values) -> str:
    return _(
        "B switches {far} from A; {best} is best.",
        far=_share_of_pitch(number(v, "phase_deg")),
        best=localised("0.25"),
    )


def _phase_off(v: Values) -> str:
    return joined(_phase_good(v), _move(number(v, "phase_deg")))


def _phase_wrong(v: Values) -> str:
    offset = number(v, "phase_deg")
    together = _("B switches almost together with A: {far} off instead of {best}.")
    opposite = _("B switches almost opposite to A: {far} off instead of {best}.")
    near = together if offset < 90 else opposite
    return joined(
        near.format(far=_share_of_pitch(offset), best=localised("0.25")),
        _("So the board cannot know in which direction the wheel turns."),
        _move(offset),
    )


def _turned_backward(v: Values) -> str:
    return _(
        "The wheel turned backward all the time. If you turned it in the direction in which the"
        " car runs, exchange the two sensors' wires."
    )


def _turned_both_ways(v: Values) -> str:
    return _(
        "The wheel turned both ways, {share} of it forward. If you turned it one way only, the"
        " sensors sit loose, or slots and webs are too unlike.",
        share=_percent(number(v, "forward_share")),
    )


def _high_share_good(v: Values) -> str:
    return _(
        "Sensor {sensor} reads high for {share} of a slot pitch.",
        sensor=v["sensor"],
        share=_percent(number(v, "high_share")),
    )


def _high_share_off(v: Values) -> str:
    return _(
        "Sensor {sensor} reads high for {share} of a slot pitch; half is best. Cut slots and webs"
        " alike, set the sensor square to the disc, or turn its trimmer if it has one.",
        sensor=v["sensor"],
        share=_percent(number(v, "high_share")),
    )


def _edges_wrong(v: Values) -> str:
    return _(
        "A turn has {edges} edges, but {expected} are expected. Check the disc's slots, and"
        " pulses_per_turn under [encoder] in the car file.",
        edges=v["edges_per_turn"],
        expected=v["expected_edges"],
    )


def _edges_unknown(v: Values) -> str:
    return _(
        "How many edges a turn has cannot be found. Spin the wheel and let it run for five turns,"
        " or turn it exactly ten turns from mark to mark and add --turns 10."
    )


def _slot_closed(v: Values) -> str:
    every = number(v, "every_edges")
    return _(
        "Once in {every} edges sensor {sensor} sees a gap as long as three. One slot is closed, or"
        " a web is broken out; a whole disc would give {whole}.",
        every=format(every, "g"),
        sensor=v["sensor"],
        whole=format(every + 2, "g"),
    )


def _sensor_chatters(v: Values) -> str:
    return _(
        "Sensor {sensor} chatters: it switched to and fro {bounces} times at {edges} edges. Keep"
        " stray light off it, and set it square and close to the disc.",
        sensor=v["sensor"],
        bounces=v["bounces"],
        edges=v["edges"],
    )


def _short_pulses(v: Values) -> str:
    return _(
        "{pulses} short pulses came without a slot. Keep the sensor wires short and away from the"
        " battery's, and check their ground.",
        pulses=v["pulses"],
    )


TEXTS: dict[str, Text] = {
    SensorCode.WHEEL_STILL: _wheel_still,
    SensorCode.WHEEL_HARDLY_TURNED: _wheel_hardly_turned,
    SensorCode.SENSOR_GOOD: lambda v: _(
        "Sensor {sensor} sees the slots: it switched {edges} times.",
        sensor=v["sensor"],
        edges=v["edges"],
    ),
    SensorCode.SENSOR_BLIND: _sensor_blind,
    SensorCode.SENSOR_MISSES_SLOTS: _sensor_misses_slots,
    SensorCode.PHASE_GOOD: _phase_good,
    SensorCode.PHASE_OFF: _phase_off,
    SensorCode.PHASE_WRONG: _phase_wrong,
    SensorCode.PHASE_UNKNOWN: lambda v: _(
        "The wheel turned too unevenly to show how B lies to A. Turn it smoothly."
    ),
    SensorCode.TURNED_FORWARD: lambda v: _("The wheel turned forward all the time."),
    SensorCode.TURNED_BACKWARD: _turned_backward,
    SensorCode.TURNED_BOTH_WAYS: _turned_both_ways,
    SensorCode.HIGH_SHARE_GOOD: _high_share_good,
    SensorCode.HIGH_SHARE_OFF: _high_share_off,
    SensorCode.EDGES_COUNTED: lambda v: _("A turn has {edges} edges.", edges=v["edges_per_turn"]),
    SensorCode.EDGES_AS_EXPECTED: lambda v: _(
        "A turn has {edges} edges, as it should.", edges=v["edges_per_turn"]
    ),
    SensorCode.EDGES_WRONG: _edges_wrong,
    SensorCode.EDGES_UNKNOWN: _edges_unknown,
    SensorCode.SLOT_CLOSED: _slot_closed,
    SensorCode.SENSOR_CHATTERS: _sensor_chatters,
    SensorCode.SHORT_PULSES: _short_pulses,
    SensorCode.CHANGES_LOST: lambda v: _(
        "{changes} changes came too fast to be looked at.", changes=v["changes"]
    ),
}
