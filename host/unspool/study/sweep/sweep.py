"""Every set of sizes, wound at its best: the batch model runs them all."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import product
from math import prod

import numpy as np

from unspool.car import FLAT, Car, Track
from unspool.errors import InputError
from unspool.language import _
from unspool.model import predict, split_times
from unspool.model.number import Flags
from unspool.model.params import params_of
from unspool.study.plan import Aim, Goal, Limits
from unspool.study.plan.evaluate import PlanningTask
from unspool.study.plan.hand import wound_by_hand
from unspool.study.plan.infeasible import never_stops
from unspool.study.plan.search import search
from unspool.study.plan.sensitivity import drum_fits
from unspool.study.sweep.axes import Axis, Varied, axis_name, with_sizes
from unspool.study.sweep.judge import Judged, judge
from unspool.study.sweep.types import DRUM, LIMITS, STOPPED_BY, BestSet, NearlyBest, Sweep

# Sets in one sweep, and runs: some seconds of work.
MOST_SETS, MOST_RUNS = 20_000, 250_000
MOST_WINDINGS = 1000  # of one set
CHUNK = 20_000  # runs from one word of progress to the next
THOROUGH = 5_000  # windings for the best set

Progress = Callable[[int, int], None]


def sweep(
    car: Car,
    axes: Sequence[Axis],
    track: Track = FLAT,
    goal: Goal | None = None,
    limits: Limits | None = None,
    progress: Progress | None = None,
) -> Sweep:
    """What each set of sizes achieves with the best winding for it, and what limits it.

    progress: called with the sets that are done and all of them.

    Raises InputError if there is nothing to vary, an axis is not of this car or comes twice, or
    there are too many sets. Raises it for a car that nothing stops, and if no set is possible.
    """
    goal, limits = goal or Goal(), limits or Limits()
    _check(car, axes)
    if goal.aim is not Aim.FASTEST and params_of(car, track).never_stops:
        raise never_stops(car.name)
    sets = list(product(*(axis.values for axis in axes)))
    judged = _judged(car, axes, sets, (track, goal, limits), progress or (lambda done, count: None))
    if not np.any(judged.possible):
        raise _impossible(car, judged)
    shape = tuple(len(axis.values) for axis in axes)
    score = judged.score.reshape(shape)
    best = int(np.argmax(judged.score))
    near = score >= goal.nearly(float(judged.score[best]))
    return Sweep(
        car=car,
        track=track,
        goal=goal,
        limits=limits,
        axes=tuple(axes),
        score=score,
        distance_m=judged.distance_m.reshape(shape),
        possible=judged.possible.reshape(shape),
        limit=judged.limit.reshape(shape),
        best=_best(car, axes, sets[best], (track, goal, limits), LIMITS[judged.limit[best]]),
        nearly=_nearly_best(axes, near, judged, best),
        share_nearly_best=float(np.mean(near)),
    )


Task = tuple[Track, Goal, Limits]


def _judged(
    car: Car, axes: Sequence[Axis], sets: Sequence[tuple[float, ...]], task: Task, report: Progress
) -> Judged:
    windings = max(1, min(MOST_WINDINGS, MOST_RUNS // len(sets)))
    at_once = max(1, CHUNK // windings)
    parts = []
    for begin in range(0, len(sets), at_once):
        report(begin, len(sets))
        cars = [with_sizes(car, axes, values) for values in sets[begin : begin + at_once]]
        parts.append(_judged_cars(cars, task, windings))
    report(len(sets), len(sets))
    return Judged(*(np.concatenate(columns) for columns in zip(*map(_columns, parts), strict=True)))


def _columns(one: Judged) -> tuple[object, ...]:
    return one.score, one.distance_m, one.possible, one.limit


def _judged_cars(cars: Sequence[Car], task: Task, windings: int) -> Judged:
    """Cars whose drum does not fit into the wheel are not possible; the others are run."""
    fits = np.array([drum_fits(car) for car in cars])
    count = len(cars)
    found = Judged(
        np.full(count, -np.inf), np.full(count, np.nan), np.zeros(count, dtype=np.bool_),
        np.full(count, DRUM, dtype=np.intp),
    )  # fmt: skip
    if np.any(fits):
        run = judge([car for car, fit in zip(cars, fits, strict=True) if fit], *task, windings)
        for into, values in zip(_columns(found), _columns(run), strict=True):
            into[fits] = values  # type: ignore[index]  # _columns gives arrays
    return found


def _best(
    car: Car, axes: Sequence[Axis], values: tuple[float, ...], task: Task, limit: str
) -> BestSet:
    """The set with the winding that a plan of it would propose."""
    track, goal, limits = task
    planning = PlanningTask(with_sizes(car, axes, values), track, goal, limits)
    best = search(planning, THOROUGH)
    if best is None:
        raise ArithmeticError("a set that is possible has no winding")
    wound = planning.car.wound(tuple(wound_by_hand(planning, best).simplest.turns.tolist()))
    mark = split_times(wound, track, [goal.mark_m])[0] if goal.mark_m is not None else None
    return BestSet(values, wound, predict(wound, track), limit, mark)


def _nearly_best(
    axes: Sequence[Axis], near: Flags, judged: Judged, best: int
) -> tuple[NearlyBest, ...]:
    """One for each axis; `best` is the index of the best set among all."""
    place = tuple(int(one) for one in np.unravel_index(best, near.shape))
    possible, limit = judged.possible.reshape(near.shape), judged.limit.reshape(near.shape)
    found = []
    for i, axis in enumerate(axes):
        good = np.flatnonzero(np.any(near, axis=tuple(j for j in range(near.ndim) if j != i)))
        last = len(axis.values) - 1
        steps = [j for j in (place[i] - 1, place[i] + 1) if 0 <= j <= last]
        beside = [(*place[:i], j, *place[i + 1 :]) for j in steps]
        stops = [LIMITS[int(limit[one])] for one in beside if not possible[one]]
        found.append(
            NearlyBest(
                axis,
                best=axis.values[place[i]],
                low=axis.values[good[0]],
                high=axis.values[good[-1]],
                at_edge=place[i] in (0, last) and len(good) <= last,
                next_stopped_by=stops[0] if stops else None,
            )
        )
    return tuple(found)


def _check(car: Car, axes: Sequence[Axis]) -> None:
    if not axes:
        raise InputError(
            _("there is nothing to vary; give a range of a tier, wheels, weight or drop")
        )
    names = [tier.name for tier in car.drum]
    seen: set[str] = set()
    for axis in axes:
        name = axis_name(axis.what, axis.tier)
        if axis.what is Varied.TIER and axis.tier not in names:
            known = ", ".join(names)
            raise InputError(
                _(
                    "{car}: the drum has no tier {tier}; it has {known}",
                    car=car.name,
                    tier=repr(axis.tier),
                    known=known,
                )
            )
        if name in seen:
            raise InputError(_("{size} is varied twice; give one range for it", size=name))
        seen.add(name)
    count = prod(len(axis.values) for axis in axes)
    if count > MOST_SETS:
        raise InputError(
            _(
                "the ranges make {count} sets, more than {most}; give fewer steps",
                count=count,
                most=MOST_SETS,
            )
        )


def _impossible(car: Car, judged: Judged) -> InputError:
    counts = np.bincount(judged.limit, minlength=len(LIMITS))
    worst = int(np.argmax(counts))
    share = 100.0 * counts[worst] / len(judged.limit)
    return InputError(
        _(
            "{car}: no set of these ranges is possible; in {share} % of them this stands in the"
            " way: {limit}",
            car=car.name,
            share=round(share),
            limit=_(STOPPED_BY[LIMITS[worst]]),
        )
    )
