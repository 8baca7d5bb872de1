"""What goes into a comparison and what comes out of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from unspool.car import Car
from unspool.finding import Finding
from unspool.reading.events.types import Reading
from unspool.study.compare.quantities import Quantity
from unspool.study.compare.statistics import Estimate, Sample
from unspool.study.measured_run import MeasuredRun


@dataclass(frozen=True)
class ComparedRun:
    """A run as it was read. turn says when it came in which sitting, None where that is not known:
    runs of two groups made in turns in one sitting are compared pair by pair.
    """

    name: str
    reading: Reading
    car: Car
    track: str = ""
    note: str = ""
    turn: tuple[str, float] | None = None  # the sitting, and the order within it

    @classmethod
    def of(cls, run: MeasuredRun, reading: Reading) -> ComparedRun:
        return cls(run.name, reading, run.car, run.track.name, run.note, run.turn)


@dataclass(frozen=True)
class Summary:
    """One quantity in one group: (mean with its interval) and what two further runs may differ by.

    values has one entry a run of the group, None where the run does not tell it.
    """

    quantity: Quantity
    values: tuple[float | None, ...]
    sample: Sample | None
    mean: Estimate | None
    repeatability: float | None


@dataclass(frozen=True)
class Group:
    name: str
    runs: tuple[ComparedRun, ...]
    summaries: tuple[Summary, ...]

    def summary(self, key: str) -> Summary:
        return next(s for s in self.summaries if s.quantity.key == key)


class Verdict(StrEnum):
    DIFFERENT = "different"
    NOT_DISTINGUISHABLE = "not_distinguishable"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Difference:
    """`second` less `first` in one quantity.

    more_runs: how many more in each group would probably tell the difference that was seen; None
    where it is told already, is not known, or is beyond what anybody would run. text says it all
    in words.
    """

    quantity: Quantity
    first: str
    second: str
    estimate: Estimate
    counts: tuple[int, int]
    paired: bool
    verdict: Verdict
    more_runs: int | None
    text: str


@dataclass(frozen=True)
class LeftOut:
    """A run that was left out, and the finding for which it was."""

    run: str
    why: Finding


@dataclass(frozen=True)
class Comparison:
    """cautions: sentences on what makes the groups unlike beside what they are grouped by."""

    by: str
    groups: tuple[Group, ...]
    differences: tuple[Difference, ...]
    left_out: tuple[LeftOut, ...]
    cautions: tuple[str, ...]

    def of(self, key: str) -> tuple[Difference, ...]:
        """The differences in one quantity."""
        return tuple(d for d in self.differences if d.quantity.key == key)
