"""Read a run: from its edges to what happened, how sure that is, and where the energy went."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from unspool.car.track import FLAT, Track
from unspool.car.vehicle import Car
from unspool.errors import InputError
from unspool.finding import Finding
from unspool.model import predict
from unspool.model.outcome import EnergyLedger, Event, EventKind, Prediction
from unspool.model.params import Params, params_of
from unspool.reading.edges.plausible import check_times
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.edges.slot_pattern import pitches, places
from unspool.reading.events.candidates import candidates
from unspool.reading.events.changepoints import find_kinks
from unspool.reading.events.energy import ledger, paid_out, unknown_ledger
from unspool.reading.events.findings import Evidence, did_not_start, findings
from unspool.reading.events.initial_guess import first_law, problem_of
from unspool.reading.events.likelihood import Fit, Problem, log_likelihood
from unspool.reading.events.match_winding import Account, account_for
from unspool.reading.events.oscillation import Drive, find_tone
from unspool.reading.events.relative_time import on_its_clock, origin_of, since
from unspool.reading.events.rollback import Rest, WayOut, follow_back
from unspool.reading.events.types import Reading, Stretch
from unspool.reading.motion import follow
from unspool.reading.motion.types import Motion

Array = NDArray[np.float64]

FEWEST_EDGES = 10  # of a way out that a law can be fitted to
STARTED_SLOTS = 1.5  # a wheel that never turned further did not start
STARTED_SHARE = 0.01  # of the predicted distance, likewise
AGREE_SLOTS = 1.5  # the law's rest and the one that the last edges show
REST_WORTH = 6.0  # log-likelihood that a start already rolling must gain over one from rest
REST_SLOTS = 1.0  # of its first stretch, that edges must have seen
MOST_LOST = 3.0  # slots from the launch to the first edge, lost ones in between
LAW_FITS_SLOTS = 0.01  # misplacement of edges, in slots, up to which the law is the motion


def analyse(
    train: PulseTrain, car: Car, track: Track = FLAT, winding: tuple[float, ...] | None = None
) -> Reading:
    """What happened in one run.

    winding: turns wound on each tier, in drum order; None for what the car's drum says. Raises
    InputError when it does not fit the drum, or when the times of the edges cannot be seconds.
    """
    wound = _wound(car, winding)
    check_times(train, wound.metres_per_edge)
    origin_s = origin_of(train)
    return on_its_clock(_read(since(train, origin_s), wound, track), train, origin_s)


def _read(train: PulseTrain, wound: Car, track: Track) -> Reading:
    prediction = predict(wound, track)
    motion = follow(train, wound)
    pitch = wound.metres_per_edge
    expected = prediction.distance_m if isfinite(prediction.distance_m) else 0.0
    started = max(STARTED_SLOTS * pitch, STARTED_SHARE * expected)
    if motion.way_out == 0 or motion.furthest_m < started:
        return _still(motion, wound, track, prediction)
    rolled = motion.rolled
    problem = problem_of(rolled, wound, track, rolled.way_out)
    fit = _fit(rolled, problem, float(rolled.distance_m[0]) if motion.spun else 0.0)
    if fit is None:
        return _plain(motion, wound, track, prediction)
    return _told(fit, motion, problem, wound, track, prediction)


def _wound(car: Car, winding: tuple[float, ...] | None) -> Car:
    """The car with the turns that were wound; tiers without any are left out."""
    turns = tuple(tier.turns for tier in car.drum) if winding is None else winding
    if len(turns) != len(car.drum):
        raise InputError(
            f"{car.name}: {len(turns)} counts of turns for {len(car.drum)} tiers; give one a tier"
        )
    if not all(isfinite(n) and n >= 0.0 for n in turns) or not any(turns):
        raise InputError(f"{car.name}: turns {turns} are no winding; give 0 or more, not all 0")
    wound = car.wound(turns)
    return replace(wound, drum=tuple(tier for tier in wound.drum if tier.turns > 0.0))


def _fit(motion: Motion, problem: Problem, begin_m: float) -> Fit | None:
    """The law of a motion that begins at begin_m; above 0 it rolls there already."""
    if motion.way_out < FEWEST_EDGES:
        return None
    fit = _most_likely(motion, problem, begin_m)
    if not problem.from_rest and not begin_m:
        rested = _most_likely(motion, replace(problem, from_rest=True))
        if rested is not None and (fit is None or _as_likely(rested, fit, problem)):
            fit = rested
    return fit if fit is not None and isfinite(fit.trace.stop_m) else None


def _as_likely(rested: Fit, fit: Fit, problem: Problem) -> bool:
    """A launch from rest is what runs have: it takes more than a little to speak against it.

    But not one that no edge saw: any speed can be reached before the first of them. Nor one so far
    back that edges must have seen the way from there.
    """
    pitch, first_m = problem.edges.pitch_m, -rested.origin_m
    seen = rested.law.kink_m[0] > first_m + REST_SLOTS * pitch and first_m < MOST_LOST * pitch
    return seen and log_likelihood(rested) > log_likelihood(fit) - REST_WORTH


def _most_likely(motion: Motion, problem: Problem, begin_m: float = 0.0) -> Fit | None:
    first = first_law(motion, problem, begin_m)
    return find_kinks(problem, first, candidates(motion, problem, first))


def _still(motion: Motion, car: Car, track: Track, prediction: Prediction) -> Reading:
    found = (did_not_start(motion, prediction),)
    energy = unknown_ledger(params_of(car, track))
    return _reading(motion, car, prediction, (), found, energy, ())


def _plain(motion: Motion, car: Car, track: Track, prediction: Prediction) -> Reading:
    """A run that moved but follows no law that can be fitted: distances, and no more."""
    engine = params_of(car, track)
    energy = unknown_ledger(engine)
    launch = Event(EventKind.LAUNCH, motion.launch_s, 0.0, 0.0, distance_sd_m=0.0)
    turn = Rest(motion.furthest_s, motion.furthest_m, None, None)
    rest = Rest(motion.stop_s, motion.stop_m, None, None)
    returned = motion.way_out < len(motion.slot)
    events = (launch, *_ends(motion, turn, rest, returned))
    seen = Evidence(
        motion, engine, prediction, None, energy, car.metres_per_edge,
        car.encoder.pulses_per_turn, returned,
    )  # fmt: skip
    return _reading(motion, car, prediction, events, findings(seen), energy, ())


def _told(
    fit: Fit, motion: Motion, problem: Problem, car: Car, track: Track, prediction: Prediction
) -> Reading:
    engine = params_of(car, track)
    account = account_for(fit, problem, engine, prediction)
    fit = account.fit
    turn = _turn(fit, motion, problem)
    returned = motion.way_out < len(motion.slot)
    sharp = _sharpened(motion, fit, problem, turn)
    way_out = WayOut(sharp, car, track, problem, fit.pattern)
    rest = follow_back(way_out, turn) if returned else turn
    motion = _stopped(sharp, rest)
    energy = ledger(account, engine, motion, car.frontal_area_m2 is not None)
    tone = find_tone(problem, fit, _drive(account, engine))
    seen = Evidence(
        motion, engine, prediction, account, energy, car.metres_per_edge,
        car.encoder.pulses_per_turn, returned, tone,
    )  # fmt: skip
    events = (_launch(fit, motion), *_kink_events(account), *_ends(motion, turn, rest, returned))
    stretches = _stretches(account, engine, turn.distance_m)
    read = _reading(motion, car, prediction, events, findings(seen), energy, stretches)
    speed, place = _peak(fit)
    return replace(read, peak_speed_m_s=speed, peak_at_m=place)


def _drive(account: Account, engine: Params) -> Drive | None:
    if account.end_kink is None or not account.fit.law.placed:
        return None
    trace = account.fit.trace

    def fallen(time_s: Array) -> Array:
        return np.array([paid_out(engine, place) for place in trace.at(time_s)[0].tolist()])

    return Drive(account.fit.law.launch_s, trace.kink_s[account.end_kink], fallen)


def _reading(
    motion: Motion,
    car: Car,
    prediction: Prediction,
    events: tuple[Event, ...],
    found: tuple[Finding, ...],
    energy: EnergyLedger,
    stretches: tuple[Stretch, ...],
) -> Reading:
    peak = int(np.argmax(motion.speed_m_s)) if len(motion.speed_m_s) else None
    return Reading(
        car=car.name,
        motion=motion,
        prediction=prediction,
        winding=tuple(tier.turns for tier in car.drum),
        distance_m=motion.stop_m,
        furthest_m=max(motion.furthest_m, motion.stop_m, 0.0),
        duration_s=motion.stop_s - motion.launch_s,
        peak_speed_m_s=float(motion.speed_m_s[peak]) if peak is not None else 0.0,
        peak_at_m=float(motion.distance_m[peak]) if peak is not None else 0.0,
        events=events,
        findings=found,
        energy=energy,
        stretches=stretches,
    )


def _turn(fit: Fit, motion: Motion, problem: Problem) -> Rest:
    """The rest at the end of the way out: the law's, unless the last edges speak against it."""
    far = abs(fit.trace.stop_m - motion.furthest_m) > AGREE_SLOTS * problem.edges.pitch_m
    if far:
        return Rest(motion.furthest_s, motion.furthest_m, None, None)
    k = len(fit.law.kink_m)
    time_sd, distance_sd = fit.output_sd[1 + 2 * k : 3 + 2 * k].tolist()
    return Rest(fit.trace.stop_s, fit.trace.stop_m, time_sd, distance_sd)


def _sharpened(motion: Motion, fit: Fit, problem: Problem, turn: Rest) -> Motion:
    """The motion with the launch, the pattern and the end of the way out that the law found."""
    pitch = problem.edges.pitch_m
    distance = places(motion.slot, fit.pattern) * pitch - fit.origin_m
    return replace(
        _ruled(motion, fit, pitch),
        distance_m=distance,
        pitch=pitches(fit.pattern - fit.pattern.mean()),
        launch_s=motion.launch_s if motion.spun else fit.law.launch_s,
        furthest_s=turn.time_s,
        furthest_m=turn.distance_m,
        stop_m=motion.stop_m + float(distance[-1] - motion.distance_m[-1]),
    )


def _ruled(motion: Motion, fit: Fit, pitch_m: float) -> Motion:
    """The motion with the law's speed and acceleration on the way out, where the law fits."""
    if fit.noise.place > LAW_FITS_SLOTS * pitch_m:
        return motion
    before, n = motion.spun, motion.way_out
    stretch, acceleration = fit.trace.stretch_at(motion.time_s[before:n])
    a_sd = fit.output_sd[-len(fit.law.acceleration) :][stretch]
    speed = fit.trace.at(motion.time_s[before:n])[1]

    def joined(out: Array, was: Array) -> Array:
        return np.concatenate([was[:before], out, was[n:]])

    return replace(
        motion,
        speed_m_s=joined(speed, motion.speed_m_s),
        speed_sd_m_s=joined(fit.speed_sd, motion.speed_sd_m_s),
        acceleration_m_s2=joined(acceleration, motion.acceleration_m_s2),
        acceleration_sd_m_s2=joined(a_sd, motion.acceleration_sd_m_s2),
    )


def _stopped(motion: Motion, rest: Rest) -> Motion:
    return replace(
        motion,
        stop_s=rest.time_s,
        stop_m=rest.distance_m,
        stop_seen=motion.stop_seen or rest.distance_sd_m is not None,
    )


def _launch(fit: Fit, motion: Motion) -> Event:
    if motion.spun:
        return Event(EventKind.LAUNCH, motion.launch_s, 0.0, 0.0, distance_sd_m=0.0)
    sd = float(fit.output_sd[0])
    speed = fit.law.launch_speed
    return Event(EventKind.LAUNCH, fit.law.launch_s, 0.0, speed, sd, 0.0)


def _kink_events(account: Account) -> list[Event]:
    changes = [
        _at_kink(
            account.fit,
            change.kink,
            EventKind.TIER_CHANGE,
            change.expected_m,
            change.from_tier.name,
            change.to_tier.name,
        )
        for change in account.changes
        if change.kink is not None
    ]
    if account.end_kink is None:
        return changes
    end = _at_kink(account.fit, account.end_kink, account.end_kind, account.end_expected_m)
    return [*changes, end]


def _at_kink(
    fit: Fit,
    kink: int,
    kind: EventKind,
    expected_m: float | None,
    from_tier: str | None = None,
    to_tier: str | None = None,
) -> Event:
    k = len(fit.law.kink_m)
    return Event(
        kind=kind,
        time_s=fit.trace.kink_s[kink],
        distance_m=fit.law.kink_m[kink],
        speed_m_s=fit.trace.kink_speed[kink],
        time_sd_s=float(fit.output_sd[1 + k + kink]),
        distance_sd_m=float(fit.output_sd[1 + kink]),
        expected_distance_m=expected_m if fit.law.placed else None,
        from_tier=from_tier,
        to_tier=to_tier,
    )


def _ends(motion: Motion, turn: Rest, rest: Rest, returned: bool) -> list[Event]:
    """A stop is an event only where the edges show one, or all but show it."""
    stop = [_rest_event(EventKind.STOP, rest)] if motion.stop_seen else []
    if not returned:
        return stop
    furthest, back = (_rest_event(k, turn) for k in (EventKind.FURTHEST, EventKind.ROLLBACK))
    return [furthest, back, *stop]


def _rest_event(kind: EventKind, rest: Rest) -> Event:
    return Event(kind, rest.time_s, rest.distance_m, 0.0, rest.time_sd_s, rest.distance_sd_m)


def _stretches(account: Account, engine: Params, furthest_m: float) -> tuple[Stretch, ...]:
    """Between events; acceleration is half the slope of v^2 over the distance."""
    fit = account.fit
    known = sorted(
        [c.kink for c in account.changes if c.kink is not None]
        + ([account.end_kink] if account.end_kink is not None else [])
    )
    places = [fit.law.begin_m, *(fit.law.kink_m[i] for i in known), furthest_m]
    starts = [fit.law.launch_speed, *(_speed_after(fit, i) for i in known)]
    ends = [*(fit.trace.kink_speed[i] for i in known), 0.0]
    first_a = len(fit.output_sd) - len(fit.law.acceleration)
    out = []
    for j, (begin, end) in enumerate(pairwise(places)):
        stretch = known[j] if j < len(known) else len(fit.law.kink_m)
        tier = account.tier_of(stretch, engine)
        mean = (ends[j] ** 2 - starts[j] ** 2) / (2.0 * max(end - begin, 1e-9))
        sd = float(fit.output_sd[first_a + stretch])
        kind = "tier" if tier else "coast"
        out.append(Stretch(kind, tier.name if tier else None, begin, end, mean, sd))
    return tuple(out)


def _speed_after(fit: Fit, kink: int) -> float:
    at = fit.trace.kink_s[kink]
    return next(piece.speed for piece in fit.trace.pieces if piece.time_s >= at)


def _peak(fit: Fit) -> tuple[float, float]:
    """The top speed and its place; within a piece the speed only rises or only falls."""
    at = [(piece.speed, piece.distance_m) for piece in fit.trace.pieces]
    at += list(zip(fit.trace.kink_speed, fit.law.kink_m, strict=True))
    return max(at)
