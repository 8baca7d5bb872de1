"""What a roll-out is made from, and what comes out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.finding import Finding
from unspool.intervals import HALF_IN_SDS
from unspool.reading.edges.pulse_train import PulseTrain


@dataclass(frozen=True)
class Push:
    """One push from mark to mark. length_m: between the marks, by the tape."""

    name: str
    train: PulseTrain
    length_m: float


@dataclass(frozen=True)
class IntervalEstimate:
    """A value with its LEVEL interval."""

    value: float
    low: float
    high: float

    def times(self, factor: float) -> IntervalEstimate:
        return IntervalEstimate(self.value * factor, self.low * factor, self.high * factor)

    @property
    def sd(self) -> float:
        """Of a normal distribution whose interval is as wide."""
        return (self.high - self.low) / (2.0 * HALF_IN_SDS)


@dataclass(frozen=True)
class Pause:
    """The wheel rested on the way: after how many slots, and how many it then turned on."""

    seconds: float
    after: int
    beyond: int


@dataclass(frozen=True)
class Travel:
    """How far the wheel turned in one push, in slots of even pitch.

    - slots: from the middle of its slot at the start to the middle of its slot at the end.
    - widths: of these two slots. place_sd: how well the place of each on the disc is known.
    - crossed: boundaries, forward less backward. It is below 0 if the push was backwards.
    - lost: edges missed, by number and by time.
    - unsure: gaps whose number of edges is not certain.
    - before, after: edges that rolled the car onto the first mark or away from the last. They are
      left out.
    - settled: edges against the push at its end, back onto the last mark. They count.
    - has_direction: at least one edge is backward, so all have a direction.
    - pattern: (pulses_per_turn,), mean 1, each slot's share of the even pitch.
    - period: edges after which this pattern repeats.
    - closed: edges from one gap of a closed slot to the next.
    """

    slots: float
    widths: tuple[float, float]
    place_sd: float
    crossed: int
    edges: int
    lost: int
    unsure: int
    chatter: int
    before: int
    after: int
    settled: int
    pauses: tuple[Pause, ...]
    has_direction: bool
    pattern: NDArray[np.float64]
    period: int | None
    closed: int | None


@dataclass(frozen=True)
class RolledPush:
    """A push, how far the wheel turned, and the circumference from it alone.

    left_out: the finding for which the push is not used, None if it is.
    """

    push: Push
    travel: Travel
    circumference_m: IntervalEstimate
    left_out: Finding | None = None


@dataclass(frozen=True, repr=False)
class RollOut:
    """What the pushes show together.

    - circumference_m: with the car file's edges_per_turn.
    - fitting_edges: the edges a turn with which tape and car file would agree.
    - pattern_edges: after which the slots' pattern repeats.
    - proposed_edges, proposed_m: the whole number of edges that is believed, and the circumference
      with it. Both are None if nothing is believed: then the car file stays as it is.
    """

    car: str
    wheel: str
    nominal_m: float
    edges_per_turn: int
    circumference_m: IntervalEstimate
    fitting_edges: IntervalEstimate
    pattern_edges: int | None
    proposed_edges: int | None
    proposed_m: IntervalEstimate | None
    verdict: Finding
    tape_sd_m: float
    pushes: tuple[RolledPush, ...]
    findings: tuple[Finding, ...]

    def __repr__(self) -> str:
        """A few lines: the circumference with its interval, the verdict, the findings' codes."""
        found = self.circumference_m
        odd = ", ".join(finding.code for finding in self.findings)
        return (
            f"RollOut of {self.car}, wheel {self.wheel}, in {len(self.pushes)} pushes: "
            f"{found.value:.4f} m ({found.low:.4f} to {found.high:.4f})\n"
            f"  verdict: {self.verdict.code}\n"
            f"  findings: {odd or 'none'}"
        )
