"""What goes into a comparison and what comes out of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from unspool.car import Car
from unspool.finding import Finding
from unspool.reading.events.types import Reading
from unspool.study.compare.quantities import Quantity
from unspool.study.compare.statistics import MeanEstimate, Sample
from unspool.study.measured_run import MeasuredRun


@dataclass(frozen=True)
class ComparedRun:
    """A run as it was read.

    turn: in which session it was made, and when. Runs of two groups made in turns in one session
    are compared pair by pair. It is None if it is not known.
    """

    name: str
    reading: Reading
    car: Car
    track: str = ""
    note: str = ""
    turn: tuple[str, float] | None = None  # the session, and the order within it

    @classmethod
    def of(cls, run: MeasuredRun, reading: Reading) -> ComparedRun:
        return cls(run.name, reading, run.car, run.track.name, run.note, run.turn)


@dataclass(frozen=True)
class GroupSummary:
    """One quantity in one group: its mean, and by how much two further runs may differ.

    values has one entry a run of the group, None if the run does not show it.
    """

    quantity: Quantity
    values: tuple[float | None, ...]
    sample: Sample | None
    mean: MeanEstimate | None
    repeatability: float | None


@dataclass(frozen=True)
class Group:
    name: str
    runs: tuple[ComparedRun, ...]
    summaries: tuple[GroupSummary, ...]

    def summary(self, key: str) -> GroupSummary:
        return next(s for s in self.summaries if s.quantity.key == key)


class Distinction(StrEnum):
    """Whether two groups differ in a quantity: by more than chance, perhaps by chance, unknown."""

    DIFFERENT = "different"
    NOT_DISTINGUISHABLE = "not_distinguishable"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Difference:
    """`second` less `first` in one quantity.

    more_runs: how many more in each group would probably show the difference that was seen. It is
    None if they show it already, if nothing is known, or beyond what anybody would run.
    """

    quantity: Quantity
    first: str
    second: str
    estimate: MeanEstimate
    counts: tuple[int, int]
    paired: bool
    verdict: Distinction
    more_runs: int | None


@dataclass(frozen=True)
class LeftOut:
    """A run that was left out, and the finding for which it was."""

    run: str
    why: Finding


@dataclass(frozen=True, repr=False)
class Comparison:
    """Groups of runs by one aspect, and every difference between two of them.

    cautions: what else makes the groups unlike, or the differences doubtful.
    """

    by: str
    groups: tuple[Group, ...]
    differences: tuple[Difference, ...]
    left_out: tuple[LeftOut, ...]
    cautions: tuple[Finding, ...]

    def of(self, key: str) -> tuple[Difference, ...]:
        """The differences in one quantity."""
        return tuple(d for d in self.differences if d.quantity.key == key)

    def __repr__(self) -> str:
        """The groups with their numbers of runs, what differs, and the cautions' codes."""
        groups = ", ".join(f"{group.name} ({len(group.runs)})" for group in self.groups)
        apart = [
            f"\n  {d.second} against {d.first}: {d.quantity.key} {d.estimate.value:+.3g}"
            for d in self.differences
            if d.verdict is Distinction.DIFFERENT
        ]
        found = ", ".join(caution.code for caution in self.cautions)
        return (
            f"Comparison by {self.by}: {groups}{''.join(apart)}\n"
            f"  differences that may be chance: {len(self.differences) - len(apart)}\n"
            f"  findings: {found or 'none'}"
        )
