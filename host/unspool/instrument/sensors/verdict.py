"""From all samples of a check to the verdict on the sensors."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from unspool.finding import Finding, Severity
from unspool.instrument.sensors.findings import FEWEST_EDGES, Measured, sensor_findings
from unspool.instrument.sensors.shape import directions, high_share, phase
from unspool.instrument.sensors.waves import Wave, wave
from unspool.instrument.wire.decoded import SensorSamples
from unspool.reading.edges.turn_period import edges_a_turn

AT_REST_S = 0.045  # a sample without a change, sooner after another, is a pulse (see SensorSamples)


@dataclass(frozen=True)
class SensorVerdict:
    """What was measured, None if it could not be, and what that means.

    edges_*: switchings. high_share_*: of a slot pitch. phase_deg: 90 is right. forward_share: of
    A's switchings. lost: samples that came too fast for the board or the link.
    """

    findings: tuple[Finding, ...]
    edges_a: int
    edges_b: int
    high_share_a: float | None
    high_share_b: float | None
    phase_deg: float | None
    forward_share: float | None
    edges_per_turn: int | None
    bounces: int
    pulses: int
    lost: int

    @property
    def ok(self) -> bool:
        """Both sensors were seen at work and nothing is at fault; the count may be unknown."""
        return all(finding.severity is not Severity.WARNING for finding in self.findings)


def judge(
    samples: SensorSamples,
    expected: int | None = None,
    turns: float | None = None,
    sensors: int = 2,
) -> SensorVerdict:
    """The verdict on all samples of a check.

    expected: edges of A a turn by the car file. turns: whole turns that the wheel was turned, one
    way, if that was counted. With one of the sensors alone, B's input means nothing.
    """
    measured = _measure(samples, expected, turns, sensors == 1)
    return SensorVerdict(
        tuple(sensor_findings(measured)),
        measured.a.count,
        measured.b.count,
        measured.high_a,
        measured.high_b,
        measured.phase.offset_deg if measured.phase else None,
        measured.phase.forward if measured.phase else None,
        measured.per_turn,
        measured.a.bounces + measured.b.bounces,
        measured.pulses,
        measured.lost,
    )


def _measure(
    samples: SensorSamples, expected: int | None, turns: float | None, alone: bool
) -> Measured:
    if not len(samples.number):
        empty = Wave(np.empty(0), np.empty(0, np.int8), 0, 0, 0)
        return Measured(empty, empty, None, None, None, 0, 0, None, turns, expected, alone)
    of_b = np.zeros_like(samples.b) if alone else samples.b
    a, b = wave(samples.time_s, samples.a), wave(samples.time_s, of_b)
    still = (np.diff(samples.a) == 0) & (np.diff(samples.b) == 0)
    unseen = int((still & (np.diff(samples.time_s) < AT_REST_S)).sum())
    lost = int(samples.number[-1] - samples.number[0]) + 1 - len(samples.number)
    return Measured(
        a,
        b,
        phase(a, b),
        high_share(a),
        high_share(b),
        a.pulses + b.pulses + unseen,
        lost,
        _edges_per_turn(a, b, turns, expected if alone else None),
        turns,
        expected,
        alone,
    )


def _edges_per_turn(a: Wave, b: Wave, turns: float | None, alone: int | None) -> int | None:
    """alone: edges that are expected of one sensor. A few magnets repeat too soon to separate their
    pattern from that of a hand which pushes at each second or third turn.
    """
    if not turns:
        found = edges_a_turn(a.time_s)
        rhythm = bool(found and alone and found > alone and found % alone == 0)
        return None if rhythm else found
    ways = directions(a, b)
    net = abs(int(ways.sum())) if b.count >= FEWEST_EDGES else a.count
    return round(net / turns)
