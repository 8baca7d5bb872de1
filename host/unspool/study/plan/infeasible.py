"""Why no winding fits, in a sentence that says what would help."""

from __future__ import annotations

import numpy as np

from unspool.errors import InputError
from unspool.study.plan.evaluate import Task, Trial
from unspool.study.plan.goal import Aim
from unspool.study.plan.grid import first_windings
from unspool.study.plan.limits import WORDS

_PLENTY = 2000


def refusal(task: Task) -> InputError:
    """The error for a task whose every winding breaks a limit or misses the goal."""
    name = task.car.name
    turns = first_windings(task, min(_PLENTY, task.affordable))
    if not len(turns):
        return InputError(f"{name}: the drop is too short for a quarter turn on any tier")
    trial = task.tried(turns)
    if not np.any(trial.runs.starts):
        best = float(np.nanmax(trial.runs.start_margin))
        return InputError(
            f"{name}: no winding starts this car: the best pulls {best:.2f} of what holds it; "
            f"try {WORDS['start_margin'][1]}"
        )
    if task.goal.aim is Aim.FASTEST and not np.any(np.isfinite(trial.scores)):
        reach = float(np.max(trial.runs.furthest_m))
        return InputError(
            f"{name}: no winding reaches a mark at {task.goal.place_m:g} m; the most is "
            f"{reach:.2f} m"
        )
    return InputError(f"{name}: no winding fits: {_worst(task, trial)}")


def _worst(task: Task, trial: Trial) -> str:
    """Of each limit that alone stops every winding the best value; else that they stop together."""
    told = []
    for limit, broken in trial.broken.items():
        if np.all(broken | ~trial.runs.starts):
            word, help_ = WORDS[limit]
            best = float(np.nanmax(getattr(trial.runs, limit)[trial.runs.starts]))
            asked = getattr(task.limits, limit)
            told.append(f"the best {word} is {best:.2f} and {asked:.2f} is asked; try {help_}")
    if told:
        return "; ".join(told)
    names = [WORDS[limit][0] for limit, broken in trial.broken.items() if np.any(broken)]
    if np.any(trial.allowed):
        return f"none that keeps the {' and '.join(names)} reaches {task.goal.place_m:g} m"
    return f"each breaks one of {', '.join(names)}; lower a limit or change the drum"
