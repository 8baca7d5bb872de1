"""What a winding is chosen for, and how good a predicted run is for it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import isfinite

import numpy as np

from unspool.errors import one_fault
from unspool.language import _
from unspool.model.batch import BatchPrediction
from unspool.model.number import Floats
from unspool.model.outcome import Prediction

# No tape at the trackside can tell you a stop from the mark more closely.
A_HIT_M = 0.01
# Within this share of the best a winding is nearly as good: two runs alike differ by as much.
NEARLY = 0.01


class Aim(StrEnum):
    FARTHEST = "farthest"
    FASTEST = "fastest"
    REACH = "reach"


class Counts(StrEnum):
    """Which distance a contest measures: where the car rests, or the furthest point it reached."""

    REST = "rest"
    FURTHEST = "furthest"


@dataclass(frozen=True)
class Goal:
    """`mark_m` is the place to pass soonest (fastest) or to stop nearest to (reach).

    `counts` says which distance is to be largest (farthest). Raises InputError for a mark that is
    missing, not ahead of the launch, or of no use, and if `counts` is of no use.
    """

    aim: Aim = Aim.FARTHEST
    mark_m: float | None = None
    counts: Counts = Counts.REST

    def __post_init__(self) -> None:
        found = _("nothing") if self.mark_m is None else f"{self.mark_m:g}"
        if self.aim is Aim.FARTHEST and self.mark_m is not None:
            raise one_fault("--distance", found, _("no mark: {aim} has none", aim=self.aim))
        if self.aim is not Aim.FARTHEST and not self._ahead():
            expected = _("the mark for {aim}, in m from the launch, above 0", aim=self.aim)
            raise one_fault("--distance", found, expected)
        if self.aim is not Aim.FARTHEST and self.counts is not Counts.REST:
            expected = _("rest: {aim} is measured at the mark", aim=self.aim)
            raise one_fault("--counts", str(self.counts), expected)

    def _ahead(self) -> bool:
        return self.mark_m is not None and isfinite(self.mark_m) and self.mark_m > 0.0

    @property
    def place_m(self) -> float:
        """The mark; 0 if there is none."""
        return self.mark_m or 0.0

    @property
    def unit(self) -> str:
        """Of a score and of the differences between scores."""
        return "s" if self.aim is Aim.FASTEST else "m"

    def scores(self, runs: BatchPrediction) -> Floats:
        """(n,) in the goal's unit, larger is better; minus infinity for a run that fails it."""
        if self.aim is Aim.FASTEST:
            return np.where(np.isfinite(runs.mark_s), -runs.mark_s, -np.inf)
        score = self.distances(runs)
        if self.aim is Aim.REACH:
            score = -np.abs(runs.distance_m - self.place_m)
        return np.where(runs.starts, score, -np.inf)

    def distances(self, runs: BatchPrediction) -> Floats:
        """(n,) the distance in m that counts."""
        return runs.furthest_m if self.counts is Counts.FURTHEST else runs.distance_m

    def distance(self, prediction: Prediction) -> float:
        """The distance in m that counts."""
        furthest = self.counts is Counts.FURTHEST
        return prediction.furthest_m if furthest else prediction.distance_m

    def nearly(self, best: float) -> float:
        """The least score of what is within 1 % of the best score, or of the mark to stop at."""
        tolerance = self.tolerance(best, NEARLY)
        hits = self.aim is Aim.REACH and -best <= tolerance
        return -tolerance if hits else best - tolerance

    def tolerance(self, score: float, share: float) -> float:
        """A share of what the goal is measured by, in its unit.

        Two scores that differ by less are as good as each other.
        """
        if self.aim is Aim.REACH:
            # For a mark that is out of reach, the distance that is left is no measure.
            distance = min(self.place_m, abs(self.place_m + score))
            return max(share * distance, A_HIT_M)
        return share * abs(score)
