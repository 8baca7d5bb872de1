"""What a sweep holds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.car import Car, Track
from unspool.language import later
from unspool.model.number import Flags, Floats, Indices
from unspool.model.outcome import Prediction
from unspool.study.plan import Goal, Limits
from unspool.study.plan.limits import LIMIT_NAMES
from unspool.study.sweep.axes import Axis

# What limits a set, by its place in this table. `drum`: a tier as large as the wheel. `drop`: all
# of it is wound. `nothing`: the goal is reached, or no limit holds it back.
LIMITS = (
    *("start_margin", "traction_margin", "tipping_margin", "string_margin"),
    *("drum", "drop", "nothing"),
)
STOPPED_BY = {
    **LIMIT_NAMES,
    "drum": later("drum"),
    "drop": later("drop"),
    "nothing": later("nothing"),
}
DRUM, ALL_WOUND, NOTHING = (LIMITS.index(name) for name in ("drum", "drop", "nothing"))


@dataclass(frozen=True)
class NearlyBest:
    """Values of one axis with which, the others fitting, the goal is within 1 % of the best.

    - at_edge: whether the best value is the range's first or last and others are worse, so that a
      wider range may gain.
    - next_stopped_by: the limit that makes the next value beside the best one impossible, None if
      both are possible.
    """

    axis: Axis
    best: float
    low: float
    high: float
    at_edge: bool
    next_stopped_by: str | None


@dataclass(frozen=True)
class BestSet:
    """The best set of sizes: the car, wound for a hand, and what it should do.

    mark_s: when it passes the goal's mark, None if there is none.
    """

    values: tuple[float, ...]
    car: Car
    prediction: Prediction
    limit: str
    mark_s: float | None


@dataclass(frozen=True, repr=False)
class Sweep:
    """Every set of sizes with the best winding for it. Arrays have one axis for each of `axes`.

    - score: in the goal's unit, larger is better; minus infinity if the set is not possible.
    - distance_m: the distance that counts; NaN if the set is not possible.
    - possible: whether a winding keeps the limits.
    - limit: indices of LIMITS. What holds the goal back, or what makes the set impossible.
    - share_nearly_best: of the sets, those within 1 % of the best.
    """

    car: Car
    track: Track
    goal: Goal
    limits: Limits
    axes: tuple[Axis, ...]
    score: Floats
    distance_m: Floats
    possible: Flags
    limit: Indices
    best: BestSet
    nearly: tuple[NearlyBest, ...]
    share_nearly_best: float

    @property
    def limit_names(self) -> NDArray[np.str_]:
        """The limits by name."""
        return np.array(LIMITS)[self.limit]

    @property
    def shown_axes(self) -> tuple[int, ...]:
        """The one or two axes that matter most, in the order of `axes`: those for a picture."""
        swings = [self._swing(i) for i in range(len(self.axes))]
        most = sorted(range(len(self.axes)), key=lambda i: -swings[i])[:2]
        return tuple(sorted(most))

    def _swing(self, index: int) -> float:
        """By how much the score changes along an axis, with the best of the others."""
        score, _ = self.best_over((index,))
        possible = score[np.isfinite(score)]
        return float(np.ptp(possible))

    def best_over(self, kept: tuple[int, ...]) -> tuple[Floats, Indices]:
        """Score and limit over the axes `kept`, with the best of the others for each.

        Each array has the kept axes in their order in `axes`.
        """
        others = tuple(i for i in range(len(self.axes)) if i not in kept)
        shape = [*(self.score.shape[i] for i in kept), -1]
        score = np.transpose(self.score, (*kept, *others)).reshape(shape)
        limit = np.transpose(self.limit, (*kept, *others)).reshape(shape)
        best = np.argmax(score, axis=-1)[..., None]
        return (
            np.take_along_axis(score, best, axis=-1)[..., 0],
            np.take_along_axis(limit, best, axis=-1)[..., 0],
        )

    def __repr__(self) -> str:
        """A line: how many sets, and the best one."""
        return (
            f"Sweep of {self.car.name}, {self.score.size} sets; the best goes "
            f"{self.goal.distance(self.best.prediction):.2f} m"
        )
