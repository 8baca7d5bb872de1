"""What the measurements of a sensor check mean."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from unspool.finding import Finding, note, warning, warning_if
from unspool.instrument.sensors.closed_slot import long_gap
from unspool.instrument.sensors.codes import SensorCode
from unspool.instrument.sensors.shape import Quadrature
from unspool.instrument.sensors.waves import Wave

FEWEST_EDGES = 8  # of a sensor, before anything is said of how it switches
RIGHT_DEG = (60.0, 120.0)  # B's distance from A
USABLE_DEG = (35.0, 145.0)  # beyond, a slot cut a tenth of a pitch off reverses the direction
EVEN_SHARE = (0.4, 0.6)
USABLE_SHARE = (0.3, 0.7)  # at a quarter B switches together with A wherever it sits
ONE_WAY = 0.9  # share of the switchings in one direction of a wheel that was turned one way
CHATTER = 0.02  # bounces for each switching; a clean sensor has none
TURN_SLIP = 1  # edges by which a turn made by hand may end off its mark
MISSING = 0.6  # a sensor that switches this much less than the other misses slots


@dataclass(frozen=True)
class Measured:
    """What was measured, None if it could not be, and what the builder said of it.

    high_a, high_b: shares of a slot pitch. turns: that the wheel was turned. expected: edges a turn
    by the car file. alone: that A is the only sensor.
    """

    a: Wave
    b: Wave
    phase: Quadrature | None
    high_a: float | None
    high_b: float | None
    pulses: int
    lost: int
    per_turn: int | None
    turns: float | None
    expected: int | None
    alone: bool

    @property
    def sensors(self) -> tuple[tuple[str, Wave], ...]:
        return (("A", self.a),) if self.alone else (("A", self.a), ("B", self.b))


def sensor_findings(measured: Measured) -> Iterator[Finding]:
    """In the order in which a person looks at the sensors."""
    a, b = measured.a.count, measured.b.count
    if max(a, b) < FEWEST_EDGES:
        yield _still(measured)
        return
    yield _alive("A", measured.a, b)
    if not measured.alone:  # else it has no phase, and a magnet may be as narrow as it likes
        yield _alive("B", measured.b, a)
        if min(a, b) >= FEWEST_EDGES:
            yield from _together(measured.phase)
        yield from _shares(measured)
    if a >= FEWEST_EDGES:
        yield _edges(measured)
    yield from _closed_slot(measured)
    yield from _disturbed(measured)


def _still(measured: Measured) -> Finding:
    a, b = measured.a, measured.b
    if a.count or b.count:
        return warning(SensorCode.WHEEL_HARDLY_TURNED, edges_a=a.count, edges_b=b.count)
    return warning(SensorCode.WHEEL_STILL, a_high=bool(a.resting), b_high=bool(b.resting))


def _alive(name: str, one: Wave, other: int) -> Finding:
    if one.count == 0:
        return warning(SensorCode.SENSOR_BLIND, sensor=name, high=bool(one.resting))
    if one.count < MISSING * other:
        return warning(
            SensorCode.SENSOR_MISSES_SLOTS, sensor=name, edges=one.count, other_edges=other
        )
    return note(SensorCode.SENSOR_GOOD, sensor=name, edges=one.count)


def _together(phase: Quadrature | None) -> Iterator[Finding]:
    if phase is None:
        yield warning(SensorCode.PHASE_UNKNOWN)
        return
    offset = phase.offset_deg
    if not USABLE_DEG[0] <= offset <= USABLE_DEG[1]:
        yield warning(SensorCode.PHASE_WRONG, phase_deg=offset)
        return
    right = RIGHT_DEG[0] <= offset <= RIGHT_DEG[1]
    yield note(SensorCode.PHASE_GOOD if right else SensorCode.PHASE_OFF, phase_deg=offset)
    yield _direction(phase.forward)


def _direction(forward: float) -> Finding:
    if forward >= ONE_WAY:
        return note(SensorCode.TURNED_FORWARD, forward_share=forward)
    if forward <= 1.0 - ONE_WAY:
        return warning(SensorCode.TURNED_BACKWARD, forward_share=forward)
    return note(SensorCode.TURNED_BOTH_WAYS, forward_share=forward)


def _shares(measured: Measured) -> Iterator[Finding]:
    for name, share in (("A", measured.high_a), ("B", measured.high_b)):
        if share is None:
            continue
        if EVEN_SHARE[0] <= share <= EVEN_SHARE[1]:
            yield note(SensorCode.HIGH_SHARE_GOOD, sensor=name, high_share=share)
            continue
        usable = USABLE_SHARE[0] <= share <= USABLE_SHARE[1]
        yield warning_if(not usable, SensorCode.HIGH_SHARE_OFF, sensor=name, high_share=share)


def _edges(measured: Measured) -> Finding:
    per_turn, expected = measured.per_turn, measured.expected
    if per_turn is None:
        return note(SensorCode.EDGES_UNKNOWN)
    if expected is None:
        return note(SensorCode.EDGES_COUNTED, edges_per_turn=per_turn)
    slip = TURN_SLIP / measured.turns if measured.turns else 0.0
    if abs(per_turn - expected) <= slip:
        return note(SensorCode.EDGES_AS_EXPECTED, edges_per_turn=expected)
    return warning(SensorCode.EDGES_WRONG, edges_per_turn=per_turn, expected_edges=expected)


def _closed_slot(measured: Measured) -> Iterator[Finding]:
    for name, one in measured.sensors:
        every = long_gap(one.time_s)
        if every is not None:
            yield warning(SensorCode.SLOT_CLOSED, sensor=name, every_edges=every)
            return


def _disturbed(measured: Measured) -> Iterator[Finding]:
    for name, one in measured.sensors:
        if one.bounces > CHATTER * one.count:
            yield warning(
                SensorCode.SENSOR_CHATTERS, sensor=name, bounces=one.bounces, edges=one.count
            )
    if measured.pulses:
        many = measured.pulses > CHATTER * measured.a.count
        yield warning_if(many, SensorCode.SHORT_PULSES, pulses=measured.pulses)
    if measured.lost:
        yield note(SensorCode.CHANGES_LOST, changes=measured.lost)
