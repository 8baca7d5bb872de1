"""Which ends the solver must watch for on a leg, given what the string does."""

from __future__ import annotations

from unspool.virtual.truth import rates
from unspool.virtual.truth.run_state import RunState, StringMode
from unspool.virtual.truth.terminal_events import LegEnd, TerminalEvent, TerminalEvents, at_rolled
from unspool.virtual.truth.true_car import FALL, GRAVITY, ROLLED, SINK, SPIN, State, V, X

SAME_PLACE_M = 1e-11


def due(run: RunState) -> LegEnd | None:
    """What is to happen where the car already is: two things can fall on one place."""
    rolled = float(run.state[ROLLED])
    distances = _string_ends(run)
    return next((end for end in distances if rolled >= distances[end] - SAME_PLACE_M), None)


def watched(run: RunState) -> TerminalEvents:
    """Everything that can end the leg that begins now."""
    events: TerminalEvents = {}
    drop, string = run.car.car.drop_m, run.string
    if string in (StringMode.TAUT, StringMode.SLACK):
        events[LegEnd.LANDING] = TerminalEvent(lambda _, y: y[FALL] - drop, 1)
    if string is StringMode.SLACK:
        # Gone slack just now, the weight is level with the string: rounding must not decide.
        level = max(0.0, run.slack_m(run.state) + SAME_PLACE_M)
        events[LegEnd.CATCH] = TerminalEvent(lambda _, y: run.slack_m(y) - level, 1)
    if string is StringMode.TAUT and run.lever.per_m > 0:
        events[LegEnd.LOOSE] = TerminalEvent(lambda t, y: _tension(run, t, y), -1)
    if string is StringMode.SLIDING:
        until = run.car.imperfections.slip_s
        events[LegEnd.REGRIP] = TerminalEvent(lambda t, _: t - until, 1)
    if string is StringMode.REGRIPPING:
        events[LegEnd.GRIPPED] = TerminalEvent(lambda _, y: y[SPIN] - y[V], -1)
    events |= {end: at_rolled(distance) for end, distance in _string_ends(run).items()}
    events[LegEnd.STANDSTILL] = TerminalEvent(lambda _, y: y[V], -1 if run.forward else 1)
    return events | _next_level(run)


def _string_ends(run: RunState) -> dict[LegEnd, float]:
    """What the wheel must have rolled, in m, for the string's next end."""
    one, drum = run.car.imperfections, run.drum
    if run.string is StringMode.DANGLING:
        return {LegEnd.TIGHT: run.held_from_m}
    if run.string is StringMode.HELD:
        return {LegEnd.RELEASE: run.held_from_m + one.held_m}
    if run.string is StringMode.GONE or not run.forward:
        return {}
    if run.tier + 1 < len(drum.ends_m):
        return {LegEnd.TIER_END: drum.ends_m[run.tier]}
    empty = drum.empty_m - one.early_release_m / drum.levers[-1].at(drum.empty_m)
    return {LegEnd.PEG if one.held_m else LegEnd.RELEASE: empty}


def _next_level(run: RunState) -> TerminalEvents:
    places, here, forward = run.car.track.distance_m, run.state[X], run.forward
    ahead = [p for p in places if (p > here + 1e-9 if forward else p < here - 1e-9)]
    if not ahead:
        return {}
    place = min(ahead) if forward else max(ahead)
    return {LegEnd.LEVEL: TerminalEvent(lambda _, y: y[X] - place, 1 if forward else -1)}


def _tension(run: RunState, t: float, y: State) -> float:
    """The string's pull over the weight's mass, in m/s2."""
    return GRAVITY - rates.taut(run.car, t, y, run.floor, run.lever)[SINK]
