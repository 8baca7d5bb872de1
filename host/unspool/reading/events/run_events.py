"""The events and stretches of a run, from the law and what each changepoint is."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import hypot

from unspool.model.outcome import Event, EventKind
from unspool.model.params import Params
from unspool.reading.events.law_fit import LawFit
from unspool.reading.events.law_parameters import (
    LAUNCH_S,
    LAUNCH_SPEED,
    acceleration,
    changepoint_m,
    changepoint_s,
)
from unspool.reading.events.match_winding import WindingMatch
from unspool.reading.events.rollback import Rest
from unspool.reading.events.types import Stretch
from unspool.reading.motion.types import Motion


def launch(fit: LawFit, motion: Motion) -> Event:
    if motion.spun:
        return Event(EventKind.LAUNCH, motion.launch_s, 0.0, 0.0, distance_sd_m=0.0)
    launch = fit.values[LAUNCH_S]
    # A law that rolls already holds its time fixed: nothing shows how far off that is.
    sd = None if LAUNCH_SPEED in fit.values else launch.sd
    return Event(EventKind.LAUNCH, launch.value, 0.0, fit.law.launch_speed, sd, 0.0)


def changepoint_events(match: WindingMatch) -> list[Event]:
    changes = [
        _at_changepoint(
            match.fit,
            change.changepoint,
            EventKind.TIER_CHANGE,
            change.expected_m,
            change.from_tier.name,
            change.to_tier.name,
        )
        for change in match.changes
        if change.changepoint is not None
    ]
    if match.end_changepoint is None:
        return changes
    end = _at_changepoint(match.fit, match.end_changepoint, match.end_kind, match.end_expected_m)
    return [*changes, end]


def _at_changepoint(
    fit: LawFit,
    changepoint: int,
    kind: EventKind,
    expected_m: float | None,
    from_tier: str | None = None,
    to_tier: str | None = None,
) -> Event:
    time, place = fit.values[changepoint_s(changepoint)], fit.values[changepoint_m(changepoint)]
    return Event(
        kind=kind,
        time_s=time.value,
        distance_m=place.value,
        speed_m_s=fit.trace.changepoint_speed[changepoint],
        time_sd_s=time.sd,
        distance_sd_m=place.sd,
        expected_distance_m=expected_m if fit.law.placed else None,
        from_tier=from_tier,
        to_tier=to_tier,
    )


def ends(motion: Motion, turn: Rest, rest: Rest, returned: bool) -> list[Event]:
    """A stop is an event if the edges show one, or all but show it."""
    stop = [_rest_event(EventKind.STOP, rest)] if motion.stop_seen else []
    if not returned:
        return stop
    furthest, back = (_rest_event(k, turn) for k in (EventKind.FURTHEST, EventKind.ROLLBACK))
    return [furthest, back, *stop]


def _rest_event(kind: EventKind, rest: Rest) -> Event:
    return Event(kind, rest.time_s, rest.distance_m, 0.0, rest.time_sd_s, rest.distance_sd_m)


def on_this_wheel(events: tuple[Event, ...], share: float) -> tuple[Event, ...]:
    """The events with places as sure as the wheel's circumference, known to that share, is."""
    return tuple(
        event
        if event.distance_sd_m is None
        else replace(event, distance_sd_m=hypot(event.distance_sd_m, share * event.distance_m))
        for event in events
    )


def stretches(match: WindingMatch, engine: Params, furthest_m: float) -> tuple[Stretch, ...]:
    """Between events; acceleration is half the slope of v^2 over the distance."""
    fit = match.fit
    known = sorted(
        [c.changepoint for c in match.changes if c.changepoint is not None]
        + ([match.end_changepoint] if match.end_changepoint is not None else [])
    )
    places = [fit.law.begin_m, *(fit.law.changepoint_m[i] for i in known), furthest_m]
    starts = [fit.law.launch_speed, *(fit.trace.speed_after[i] for i in known)]
    ends = [*(fit.trace.changepoint_speed[i] for i in known), 0.0]
    out = []
    for j, (begin, end) in enumerate(pairwise(places)):
        stretch = known[j] if j < len(known) else len(fit.law.changepoint_m)
        tier = match.tier_of(stretch, engine)
        mean = (ends[j] ** 2 - starts[j] ** 2) / (2.0 * max(end - begin, 1e-9))
        sd = fit.values[acceleration(stretch)].sd
        kind = "tier" if tier else "coast"
        out.append(Stretch(kind, tier.name if tier else None, begin, end, mean, sd))
    return tuple(out)


def peak(fit: LawFit) -> tuple[float, float]:
    """The top speed and its place; within a piece the speed only rises or only falls."""
    at = [(piece.speed, piece.distance_m) for piece in fit.trace.pieces]
    at += list(zip(fit.trace.changepoint_speed, fit.law.changepoint_m, strict=True))
    return max(at)
