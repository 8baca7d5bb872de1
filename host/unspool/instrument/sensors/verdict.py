"""From all samples of a check to the verdict on the sensors."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from unspool.instrument.sensors.findings import FEWEST_EDGES, Grade, Remark, Seen, remarks
from unspool.instrument.sensors.shape import directions, high_share, phase
from unspool.instrument.sensors.waves import Wave, wave
from unspool.instrument.wire.decoded import SensorSamples
from unspool.reading.edges.turn_period import edges_a_turn

AT_REST_S = 0.045  # a sample without a change, sooner after another, is a pulse (wire.heard)


@dataclass(frozen=True)
class Verdict:
    """What was measured, None where it could not be, and what to say of it.

    edges_*: switchings. high_share_*: of a slot pitch. phase_deg: 90 is right. forward_share: of
    A's switchings. lost: samples that came too fast for the board or the link.
    """

    remarks: tuple[Remark, ...]
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
        bad = [r for r in self.remarks if r.grade in (Grade.FAULT, Grade.UNKNOWN)]
        return all(remark.code == "slots" and remark.grade is Grade.UNKNOWN for remark in bad)


def judge(
    samples: SensorSamples, expected: int | None = None, turns: float | None = None
) -> Verdict:
    """The verdict on all samples of a check.

    expected: edges of A a turn by the car file. turns: whole turns that the wheel was turned, one
    way, where that was counted.
    """
    seen = _look(samples, expected, turns)
    return Verdict(
        tuple(remarks(seen)),
        seen.a.count,
        seen.b.count,
        seen.high_a,
        seen.high_b,
        seen.phase.offset_deg if seen.phase else None,
        seen.phase.forward if seen.phase else None,
        seen.per_turn,
        seen.a.bounces + seen.b.bounces,
        seen.pulses,
        seen.lost,
    )


def _look(samples: SensorSamples, expected: int | None, turns: float | None) -> Seen:
    if not len(samples.number):
        empty = Wave(np.empty(0), np.empty(0, np.int8), 0, 0, 0)
        return Seen(empty, empty, None, None, None, 0, 0, None, turns, expected)
    a, b = wave(samples.time_s, samples.a), wave(samples.time_s, samples.b)
    still = (np.diff(samples.a) == 0) & (np.diff(samples.b) == 0)
    unseen = int((still & (np.diff(samples.time_s) < AT_REST_S)).sum())
    lost = int(samples.number[-1] - samples.number[0]) + 1 - len(samples.number)
    return Seen(
        a,
        b,
        phase(a, b),
        high_share(a),
        high_share(b),
        a.pulses + b.pulses + unseen,
        lost,
        _edges_per_turn(a, b, turns),
        turns,
        expected,
    )


def _edges_per_turn(a: Wave, b: Wave, turns: float | None) -> int | None:
    if not turns:
        return edges_a_turn(a.time_s)
    ways = directions(a, b)
    net = abs(int(ways.sum())) if b.count >= FEWEST_EDGES else a.count
    return round(net / turns)
