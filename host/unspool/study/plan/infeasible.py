"""Why no winding is possible, and what would help."""

from __future__ import annotations

from enum import StrEnum

import numpy as np

from unspool.errors import InputError
from unspool.language import _, later, localised
from unspool.study.plan.evaluate import Evaluation, PlanningTask
from unspool.study.plan.goal import Aim
from unspool.study.plan.grid import coarse_grid
from unspool.study.plan.limits import LIMIT_NAMES

# Enough windings to find the best value of each limit.
_PLENTY = 2000
_HELP = {
    "start_margin": later("a larger first tier, a heavier weight or freer wheels"),
    "traction_margin": later("grippier tyres or a smaller first tier"),
    "tipping_margin": later("a lower or longer car, or a smaller first tier"),
    "string_margin": later("a stronger string, a lighter weight, or tiers that differ less"),
}


class Infeasible(StrEnum):
    """Why there is no winding."""

    NEVER_STOPS = "never_stops"
    DROP_TOO_SHORT = "drop_too_short"
    NOTHING_STARTS = "nothing_starts"
    MARK_OUT_OF_REACH = "mark_out_of_reach"
    LIMITS_OUT_OF_REACH = "limits_out_of_reach"  # each of them alone
    LIMITS_TOGETHER = "limits_together"


class InfeasiblePlanError(InputError):
    """No winding of this car is possible; `limits` names those that are in the way."""

    def __init__(self, message: str, reason: Infeasible, limits: tuple[str, ...] = ()) -> None:
        super().__init__(message)
        self.reason = reason
        self.limits = limits


def never_stops(name: str) -> InfeasiblePlanError:
    """The error for a car that nothing stops."""
    return InfeasiblePlanError(
        _(
            "{car}: nothing stops this car, so no winding decides where; give the rolling"
            " coefficient or the constant drag among its losses",
            car=name,
        ),
        Infeasible.NEVER_STOPS,
    )


def infeasible(task: PlanningTask) -> InfeasiblePlanError:
    """The error for a task whose every winding breaks a limit or misses the goal."""
    name = task.car.name
    turns = coarse_grid(task, _PLENTY)
    if not len(turns):
        return InfeasiblePlanError(
            _("{car}: the drop is too short for a quarter turn on any tier", car=name),
            Infeasible.DROP_TOO_SHORT,
        )
    tried = task.evaluate(turns)
    if not np.any(tried.runs.starts):
        best = float(np.nanmax(tried.runs.start_margin))
        return InfeasiblePlanError(
            _(
                "{car}: no winding starts this car: the best pulls {best} of what holds it; try"
                " {help}",
                car=name,
                best=localised(format(best, ".2f")),
                help=_(_HELP["start_margin"]),
            ),
            Infeasible.NOTHING_STARTS,
            ("start_margin",),
        )
    if task.goal.aim is Aim.FASTEST and not np.any(np.isfinite(tried.scores)):
        reach = float(np.max(tried.runs.furthest_m))
        return InfeasiblePlanError(
            _(
                "{car}: no winding reaches a mark at {mark} m; the most is {reach} m",
                car=name,
                mark=localised(format(task.goal.place_m, "g")),
                reach=localised(format(reach, ".2f")),
            ),
            Infeasible.MARK_OUT_OF_REACH,
        )
    return _limits(task, tried)


def _limits(task: PlanningTask, tried: Evaluation) -> InfeasiblePlanError:
    """The limits that alone stop every winding; or else those that do so together."""
    start = _("{car}: no winding fits", car=task.car.name)
    alone = [limit for limit, broken in tried.broken.items() if np.all(broken | ~tried.runs.starts)]
    if alone:
        best = "; ".join(_best(task, tried, limit) for limit in alone)
        return InfeasiblePlanError(f"{start}: {best}", Infeasible.LIMITS_OUT_OF_REACH, tuple(alone))
    names = tuple(limit for limit, broken in tried.broken.items() if np.any(broken))
    words = [_words(limit) for limit in names]
    why = _(
        "each breaks one of {margins}; lower a limit or change the drum", margins=", ".join(words)
    )
    if np.any(tried.allowed):
        why = _(
            "none that keeps {margins} reaches {mark} m",
            margins=", ".join(words),
            mark=localised(format(task.goal.place_m, "g")),
        )
    return InfeasiblePlanError(f"{start}: {why}", Infeasible.LIMITS_TOGETHER, names)


def _best(task: PlanningTask, tried: Evaluation, limit: str) -> str:
    best = float(np.nanmax(getattr(tried.runs, limit)[tried.runs.starts]))
    asked = getattr(task.limits, limit)
    return _(
        "the best {margin} is {best} and {asked} is asked; try {help}",
        margin=_words(limit),
        best=localised(format(best, ".2f")),
        asked=localised(format(asked, ".2f")),
        help=_(_HELP[limit]),
    )


def _words(limit: str) -> str:
    return _(LIMIT_NAMES[limit])
