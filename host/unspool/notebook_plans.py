"""Plans and sweeps for a notebook."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from unspool.car import FLAT
from unspool.errors import InputError
from unspool.notebook_given import CarOrFile, EdgesOrFile, TrackOrFile, car_of, track_of
from unspool.notebook_runs import calibration_given
from unspool.study.plan import Owned

if TYPE_CHECKING:
    from unspool.study.calibration import Calibration
    from unspool.study.plan import Goal, Limits, Plan
    from unspool.study.sweep import Sweep


def plan(
    car: CarOrFile,
    track: TrackOrFile = FLAT,
    goal: str = "farthest",
    distance_m: float | None = None,
    calibration: Calibration | Sequence[EdgesOrFile] | None = None,
    limits: Mapping[str, float] | None = None,
    owned: Owned | None = None,
    counts: str = "rest",
    turn_step: float = 0.25,
) -> Plan:
    """The winding to try next: farthest, fastest to distance_m, or to reach it and stop there.

    - calibration: as for `predict`.
    - limits: the least margins by name, such as {"start_margin": 1.5}.
    - owned: other parts that could go on the car, as Owned.measured gives them.
    - counts: the distance that a contest measures, to "rest" or to the "furthest" point.
    - turn_step: turns are multiples of it.

    Raises InputError if
    a file, the goal or a limit cannot be used, or no winding is possible.
    """
    from unspool.study import plan as planning

    the_car, the_track = car_of(car), track_of(track)
    return planning.plan(
        the_car,
        the_track,
        _goal(goal, distance_m, counts),
        _limits(limits),
        owned,
        calibration_given(calibration, the_car, the_track),
        turn_step=turn_step,
    )


def sweep(
    car: CarOrFile,
    track: TrackOrFile = FLAT,
    tiers_mm: Mapping[str, Sequence[float]] | None = None,
    wheels_mm: Sequence[float] | None = None,
    weights_g: Sequence[float] | None = None,
    drops_mm: Sequence[float] | None = None,
    wheel_g: float | None = None,
    goal: str = "farthest",
    distance_m: float | None = None,
    limits: Mapping[str, float] | None = None,
    counts: str = "rest",
) -> Sweep:
    """Every set of these sizes with the best winding for it, before the car is built.

    Sizes are diameters of tiers (by name) and of driven wheels, falling weights and drops, such as
    range(8, 25).

    - wheel_g: the mass of each wheel; it follows from the size if it is None.
    - goal, distance_m, limits, counts: as for `plan`.

    Raises InputError if a file, a size or the goal cannot be used, or no set is possible.
    """
    from unspool.study import sweep as sweeping

    wheel_kg = None if wheel_g is None else 1e-3 * wheel_g
    sizes = [(sweeping.Varied.TIER, name, mm) for name, mm in (tiers_mm or {}).items()]
    given = (
        (sweeping.Varied.DRIVEN_WHEELS, wheels_mm),
        (sweeping.Varied.WEIGHT, weights_g),
        (sweeping.Varied.DROP, drops_mm),
    )
    axes = [sweeping.axis_of(what, [1e-3 * x for x in mm], name) for what, name, mm in sizes]
    axes += [
        sweeping.axis_of(what, [1e-3 * x for x in values], wheel_kg=wheel_kg)
        for what, values in given
        if values is not None
    ]
    wanted = _goal(goal, distance_m, counts)
    return sweeping.sweep(car_of(car), axes, track_of(track), wanted, _limits(limits))


def _goal(goal: str, distance_m: float | None, counts: str) -> Goal:
    from unspool.study.plan import Aim, Counts, Goal

    if goal not in list(Aim):
        raise InputError(f"the goal is {goal!r}; expected one of {', '.join(Aim)}")
    if counts not in list(Counts):
        raise InputError(f"counts is {counts!r}; expected one of {', '.join(Counts)}")
    return Goal(Aim(goal), distance_m, Counts(counts))


def _limits(given: Mapping[str, float] | None) -> Limits:
    from unspool.study.plan import Limits

    margins = Limits.__dataclass_fields__
    for name in given or {}:
        if name not in margins:
            raise InputError(f"there is no limit {name!r}; the limits are {', '.join(margins)}")
    return Limits(**(given or {}))
