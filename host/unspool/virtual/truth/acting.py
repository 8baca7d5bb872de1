"""What happens where a leg of the true run ends, and what the string does after it."""

from __future__ import annotations

from collections.abc import Callable

from unspool.virtual.truth import rates
from unspool.virtual.truth.drum import wound_tiers
from unspool.virtual.truth.run_state import RunState, StringMode
from unspool.virtual.truth.terminal_events import LegEnd
from unspool.virtual.truth.true_car import FALL, OTHER, ROLLED, SINK, SPIN, V, X
from unspool.virtual.truth.watching import SAME_PLACE_M

# A car in a dip swings ever less, without end; swings below this end in a stop.
SMALLEST_SWING_M = 1e-6


def act(run: RunState, end: LegEnd) -> bool:
    """Does what the end asks for. Returns whether the run goes on."""
    if end is LegEnd.STANDSTILL:
        return _standstill(run)
    _ACTS[end](run)
    return True


def _landing(run: RunState) -> None:
    run.state[FALL] = run.car.car.drop_m
    _stop_weight(run)
    run.string = StringMode.LANDED
    if float(run.state[ROLLED]) < run.drum.empty_m - SAME_PLACE_M:
        run.note("landing")


def _stop_weight(run: RunState) -> None:
    """The energy of its fall ends in the cradle."""
    run.landing_j += 0.5 * run.car.hanging_kg * float(run.state[SINK]) ** 2
    run.state[SINK] = 0.0


def _catch(run: RunState) -> None:
    run.string = StringMode.TAUT
    _pull_tight(run, run.lever.at(float(run.state[ROLLED])))


def _pull_tight(run: RunState, arm: float) -> None:
    run.state, lost = rates.caught(run.car, run.state, arm)
    run.catches_j += lost


def _loose(run: RunState) -> None:
    run.string = StringMode.SLACK


def _regrip(run: RunState) -> None:
    run.string = StringMode.REGRIPPING


def _gripped(run: RunState) -> None:
    before = rates.kinetic_j(run.car, run.state)
    run.state[SPIN] = run.state[V]
    run.state[SINK] = run.lever.at(float(run.state[ROLLED])) * run.state[SPIN]
    run.state[OTHER] += before - rates.kinetic_j(run.car, run.state)
    run.string = StringMode.TAUT


def _tier_end(run: RunState) -> None:
    if run.string in (StringMode.SLIDING, StringMode.REGRIPPING):
        _gripped(run)
    names = [tier.name for tier in wound_tiers(run.car.car)]
    run.tier += 1
    run.state[ROLLED] = run.drum.ends_m[run.tier - 1]
    run.note("tier_change", names[run.tier - 1], names[run.tier])
    if run.string is StringMode.TAUT:
        arm = run.lever.at(float(run.state[ROLLED]))
        if run.state[SINK] >= arm * run.state[SPIN] * (1.0 - 1e-9):  # for rounding
            _catch(run)
        else:
            run.string = StringMode.SLACK


def _release(run: RunState) -> None:
    if run.string is not StringMode.LANDED:
        run.left_j = rates.left_j(run.car, run.state)
        _stop_weight(run)
    run.string = StringMode.GONE
    run.note("release")


def _peg(run: RunState) -> None:
    slack_m = max(run.drum.paid(run.tier, run.drum.empty_m) - float(run.state[FALL]), 0.0)
    run.held_from_m = run.drum.empty_m + slack_m / run.lever.at(run.drum.empty_m)
    if run.string is StringMode.LANDED:
        run.string = StringMode.DANGLING
    else:
        _tight(run)


def _tight(run: RunState) -> None:
    run.string = StringMode.HELD
    _pull_tight(run, run.lever.at(0.0))
    run.note("held")


def _level(run: RunState) -> None:
    places = run.car.track.distance_m
    run.state[X] = min(places, key=lambda place: abs(place - run.state[X]))


_ACTS: dict[LegEnd, Callable[[RunState], None]] = {
    LegEnd.LANDING: _landing,
    LegEnd.CATCH: _catch,
    LegEnd.LOOSE: _loose,
    LegEnd.REGRIP: _regrip,
    LegEnd.GRIPPED: _gripped,
    LegEnd.TIGHT: _tight,
    LegEnd.RELEASE: _release,
    LegEnd.PEG: _peg,
    LegEnd.TIER_END: _tier_end,
    LegEnd.LEVEL: _level,
}


def _standstill(run: RunState) -> bool:
    run.state[V] = run.state[SPIN] = 0.0
    if run.string in (StringMode.TAUT, StringMode.SLACK, StringMode.HELD):
        run.left_j = rates.left_j(run.car, run.state)
        run.note("stop")
        return False
    return _rolls_on(run)


def _rolls_on(run: RunState) -> bool:
    """Whether the slope takes the car away from a standstill."""
    x = float(run.state[X])
    swing, run.last_rest_m = abs(x - run.last_rest_m), x
    if swing < SMALLEST_SWING_M:
        run.note("stop")
        return False
    for forward in (False, True):
        slope = run.car.slope(x, forward)
        along = -run.car.downhill_n(slope) * (1.0 if forward else -1.0)
        if along > run.car.holding_n(slope):
            _turn(run, forward)
            return True
    run.note("stop")
    return False


def _turn(run: RunState, forward: bool) -> None:
    if not forward and not any(one.kind == "rollback" for one in run.events):
        run.note("furthest")
        run.note("rollback")
    run.forward = forward
