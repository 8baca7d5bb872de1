"""What a roll-out is made from, and what it tells."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from unspool.reading.edges.pulse_train import PulseTrain


class Verdict(StrEnum):
    """What the tape says of the car file's circumference and count of edges."""

    AGREES = "agrees"
    WHEEL_DIFFERS = "wheel_differs"
    MISCOUNTED = "miscounted"
    UNCLEAR = "unclear"
    UNEXPLAINED = "unexplained"
    DISAGREEING = "pushes_disagree"


@dataclass(frozen=True)
class Push:
    """One push from mark to mark. length_m: between the marks, by the tape."""

    name: str
    train: PulseTrain
    length_m: float


@dataclass(frozen=True)
class Estimate:
    """A value with its LEVEL interval."""

    value: float
    low: float
    high: float

    def times(self, factor: float) -> Estimate:
        return Estimate(self.value * factor, self.low * factor, self.high * factor)


@dataclass(frozen=True)
class Pause:
    """The wheel rested on the way: after how many slots, and how many it then turned on."""

    seconds: float
    after: int
    beyond: int


@dataclass(frozen=True)
class Travel:
    """How far the wheel turned in one push, in slots of even pitch.

    slots: from the middle of the slot it stood in at the start to the middle of that at the end;
    widths: of these two slots; place_sd: how well each one's place on the disc is known. crossed:
    boundaries, forward less backward; below 0 when pushed backwards. lost: edges missed, by number
    and by time; unsure: gaps of no certain number. before, after: edges left out as rolling the car
    onto the first mark or away from the last. settled: edges against the push that count, from
    coming back onto the last mark. period: edges after which the slots' pattern repeats; closed:
    edges from one gap of a closed slot to the next.
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
    told_direction: bool
    pattern: NDArray[np.float64]  # (pulses_per_turn,), mean 1: each slot's share of the even pitch
    period: int | None
    closed: int | None


@dataclass(frozen=True)
class RolledPush:
    """A push, how far the wheel turned, and what it alone says; left_out: why it is not used."""

    push: Push
    travel: Travel
    circumference_m: Estimate
    left_out: str | None = None


@dataclass(frozen=True)
class Remark:
    """Something to know about the pushes, in builder's words; severity is note or warning."""

    code: str
    severity: str
    text: str


@dataclass(frozen=True)
class RollOut:
    """What the pushes tell together.

    circumference_m counts as the car file does; fitting_edges is the edges a turn that would make
    tape and car file agree, and proposed_edges the whole number that is believed, None where
    nothing is: then there is nothing to write into the car file. proposed_m goes with it.
    """

    car: str
    wheel: str
    nominal_m: float
    edges_per_turn: int
    circumference_m: Estimate
    fitting_edges: Estimate
    pattern_edges: int | None
    proposed_edges: int | None
    proposed_m: Estimate | None
    verdict: Verdict
    text: str
    tape_sd_m: float
    pushes: tuple[RolledPush, ...]
    remarks: tuple[Remark, ...]
