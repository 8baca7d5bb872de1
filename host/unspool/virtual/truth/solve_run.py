"""A true run: legs of one kind of motion each, solved one after the other.

Each leg is an initial value problem that ends at the first of its events. What happens there
decides the next leg. Nothing here is in closed form.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.integrate import solve_ivp

from unspool.virtual.truth import rates
from unspool.virtual.truth.acting import act
from unspool.virtual.truth.run_state import RunState, StringMode
from unspool.virtual.truth.terminal_events import first_of
from unspool.virtual.truth.true_car import Floor, State, TrueCar
from unspool.virtual.truth.watching import due, watched

LONGEST_LEG_S = 3600.0  # no leg of a car lasts an hour
LONGEST_STEP_S = 0.25  # so that no event hides between two others in one step
MOST_LEGS = 500  # a car that swings between two slopes is followed so far
RTOL, ATOL = 1e-10, 1e-12  # a run comes out right to eight digits

Motion = Callable[[float, State], list[float]]


def solve_run(car: TrueCar) -> RunState:
    """The run from the launch to its end.

    Raises ArithmeticError if the solver fails.
    """
    run = RunState(car)
    slope = car.slope(0.0, forward=True)
    force = run.start_force_n() if run.drum.levers else 0.0
    run.started = force > car.holding_n(slope) + car.downhill_n(slope)
    if not run.started:
        run.left_j = rates.left_j(car, run.state)
        return run
    run.note("launch")
    if car.imperfections.slip_s:
        run.string = StringMode.SLIDING
    while len(run.legs) < MOST_LEGS and _leg(run):
        pass
    return run


def _leg(run: RunState) -> bool:
    """Solves one leg and acts on its end; False when the run is over."""
    at_once = due(run)
    if at_once:
        return act(run, at_once)
    events = watched(run)
    answer = solve_ivp(
        _motion(run),
        (run.time_s, run.time_s + LONGEST_LEG_S),
        run.state,
        method="DOP853",
        dense_output=True,
        events=list(events.values()),
        max_step=LONGEST_STEP_S,
        rtol=RTOL,
        atol=ATOL,
    )
    if answer.sol is None or answer.t_events is None or not answer.success:
        raise ArithmeticError(f"the solver failed: {answer.message}")
    run.legs.append(answer.sol)
    ended = [end for end, times in zip(events, answer.t_events, strict=True) if len(times)]
    if not ended:
        return False
    run.time_s, end = first_of(answer.sol, events, ended[0])
    run.state = np.asarray(answer.sol(run.time_s)).copy()
    return act(run, end)


def _motion(run: RunState) -> Motion:
    car, lever, floor = run.car, run.lever, run.floor
    if run.string in (StringMode.TAUT, StringMode.HELD):
        return lambda t, y: rates.taut(car, t, y, floor, lever)
    if run.string is StringMode.SLACK:
        return lambda t, y: rates.slack(car, t, y, floor)
    if run.string in (StringMode.SLIDING, StringMode.REGRIPPING):
        grip = _grip_n(run, floor)
        return lambda t, y: rates.sliding(car, t, y, floor, lever, grip)
    return lambda t, y: rates.coasting(car, t, y, floor)


def _grip_n(run: RunState, floor: Floor) -> float:
    """What the sliding tyre pushes the car with."""
    force = run.start_force_n()
    if run.string is StringMode.REGRIPPING:
        return 2.0 * force
    needed = run.car.holding_n(floor.slope) + run.car.downhill_n(floor.slope)
    return needed + run.car.imperfections.slip_grip * (force - needed)
