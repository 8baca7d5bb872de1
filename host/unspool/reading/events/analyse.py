"""Read a run: from its edges to what happened, how sure that is, and where the energy went."""

from __future__ import annotations

from dataclasses import replace
from math import inf, isfinite

import numpy as np
from numpy.typing import NDArray

from unspool.car.measured import measured
from unspool.car.track import FLAT, Track
from unspool.car.vehicle import Car
from unspool.errors import InputError
from unspool.finding import Finding
from unspool.language import _
from unspool.model import predict
from unspool.model.outcome import EnergyLedger, Event, EventKind, Prediction
from unspool.model.params import Params, params_of
from unspool.reading.edges.plausible import check_times
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.events.candidates import candidates
from unspool.reading.events.changepoints import WORTH, find_changepoints, merged
from unspool.reading.events.energy import ledger, paid_out, unknown_ledger
from unspool.reading.events.few_edges import Doubt, placed, shifted, widened
from unspool.reading.events.findings import Evidence, did_not_start, findings
from unspool.reading.events.initial_guess import first_law, problem_of
from unspool.reading.events.law_fit import LawFit, fit_law, log_likelihood
from unspool.reading.events.law_parameters import STOP_M, STOP_S
from unspool.reading.events.law_problem import Problem
from unspool.reading.events.masses import Masses
from unspool.reading.events.match_winding import WindingMatch, match_winding
from unspool.reading.events.oscillation import Drive, Tone, find_tone
from unspool.reading.events.relative_time import on_its_clock, origin_of, since
from unspool.reading.events.rollback import Rest, WayOut, follow_back
from unspool.reading.events.run_events import (
    changepoint_events,
    ends,
    launch,
    on_this_wheel,
    peak,
    stretches,
)
from unspool.reading.events.sharpen import ended_at, sharpened
from unspool.reading.events.tapered import Wound, fit_tapered, without_unseen
from unspool.reading.events.types import Reading, Stretch
from unspool.reading.motion import follow
from unspool.reading.motion.rounded_times import LEAST_SD, MOST_SD, rounding_slots
from unspool.reading.motion.types import Motion

Array = NDArray[np.float64]

FEWEST_EDGES = 10  # of a way out that a law can be fitted to
STARTED_SLOTS = 1.5  # a wheel that never turned further did not start
STARTED_SHARE = 0.01  # of the predicted distance, likewise
AGREE_SLOTS = 1.5  # the law's rest and the one that the last edges show
REST_WORTH = 6.0  # log-likelihood that a start already rolling must gain over one from rest
# Times as coarse as slots beat with them, and hide missed edges: neither is white noise.
# So a changepoint must gain more, by how much rounding leaves of a place, in slots.
ROUNDED_WORTH = ((LEAST_SD, 1.0), (MOST_SD, 2.0), (inf, 8.0))
REST_SLOTS = 1.0  # of its first stretch, that edges must have seen
MOST_LOST = 3.0  # slots from the launch to the first edge, lost ones in between


def analyse(
    train: PulseTrain, car: Car, track: Track = FLAT, winding: tuple[float, ...] | None = None
) -> Reading:
    """What happened in one run.

    winding: turns wound on each tier, in drum order; None for what the car's drum says. Raises
    InputError when it does not fit the drum, or when the times of the edges cannot be seconds.
    """
    wound = _wound(car, winding)
    check_times(train, wound.metres_per_edge)
    train = train.as_seen_by(wound.encoder.sensors)
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
    begin_m = float(rolled.distance_m[0]) if motion.spun else 0.0
    fit = _fit(rolled, problem, Wound(wound, params_of(wound, track), prediction), begin_m)
    if fit is None:
        return _reading_without_law(motion, wound, track, prediction)
    return _reading_of_law(fit, motion, problem, wound, track, prediction)


def _wound(car: Car, winding: tuple[float, ...] | None) -> Car:
    """The car with the turns that were wound; tiers without any are left out."""
    turns = tuple(tier.turns for tier in car.drum) if winding is None else winding
    if len(turns) != len(car.drum):
        raise InputError(
            _(
                "{car}: {count} counts of turns for {tiers} tiers; give one a tier",
                car=car.name,
                count=len(turns),
                tiers=len(car.drum),
            )
        )
    if not all(isfinite(n) and n >= 0.0 for n in turns) or not any(turns):
        raise InputError(
            _("{car}: these turns are no winding; give 0 or more, not all 0", car=car.name)
        )
    wound = car.wound(turns)
    return replace(wound, drum=tuple(tier for tier in wound.drum if tier.turns > 0.0))


def _fit(motion: Motion, problem: Problem, wound: Wound, begin_m: float) -> LawFit | None:
    """The law of a motion that begins at begin_m; above 0 it rolls there already."""
    if motion.way_out < FEWEST_EDGES:
        return None
    fit = _most_likely(motion, problem, wound, begin_m)
    if not problem.from_rest and not begin_m:
        rested = _most_likely(motion, replace(problem, from_rest=True), wound)
        if rested is not None and (fit is None or _as_likely(rested, fit, problem)):
            fit = rested
    return fit if fit is not None and isfinite(fit.trace.stop_m) else None


def _as_likely(rested: LawFit, fit: LawFit, problem: Problem) -> bool:
    """A launch from rest is what runs have: it takes more than a little to speak against it.

    But not one that no edge saw: any speed can be reached before the first of them. Nor one so far
    back that edges must have seen the way from there.
    """
    pitch, first_m = problem.edges.pitch_m, -rested.origin_m
    seen = (
        rested.law.changepoint_m[0] > first_m + REST_SLOTS * pitch and first_m < MOST_LOST * pitch
    )
    return seen and log_likelihood(rested) > log_likelihood(fit) - REST_WORTH


def _most_likely(
    motion: Motion, problem: Problem, wound: Wound, begin_m: float = 0.0
) -> LawFit | None:
    first = first_law(motion, problem, begin_m)
    slots = rounding_slots(motion.time_s, motion.train.tick_s)
    worth = WORTH * next(times for most, times in ROUNDED_WORTH if slots <= most)
    if wound.tapered:
        fit = fit_tapered(problem, first, wound, worth)
        if fit is not None:
            return fit
    return find_changepoints(problem, first, candidates(motion, problem, first), worth)


def _still(motion: Motion, car: Car, track: Track, prediction: Prediction) -> Reading:
    found = (did_not_start(motion, prediction),)
    energy = unknown_ledger(params_of(car, track))
    return _reading(motion, car, prediction, (), found, energy, ())


def _reading_without_law(motion: Motion, car: Car, track: Track, prediction: Prediction) -> Reading:
    """A run that moved but follows no law that can be fitted: distances, and no more."""
    engine = params_of(car, track)
    energy = unknown_ledger(engine)
    launch = Event(EventKind.LAUNCH, motion.launch_s, 0.0, 0.0, distance_sd_m=0.0)
    turn = Rest(motion.furthest_s, motion.furthest_m, None, None)
    rest = Rest(motion.stop_s, motion.stop_m, None, None)
    returned = motion.way_out < len(motion.slot)
    events = (launch, *ends(motion, turn, rest, returned))
    seen = Evidence(
        car, Masses.of(car), motion, engine, prediction, None, energy, car.metres_per_edge,
        car.encoder.pulses_per_turn, returned, None, car.encoder.sensors,
    )  # fmt: skip
    return _reading(motion, car, prediction, events, findings(seen), energy, ())


def _reading_of_law(
    fit: LawFit, motion: Motion, problem: Problem, car: Car, track: Track, prediction: Prediction
) -> Reading:
    engine = params_of(car, track)
    match = match_winding(fit, problem, engine, prediction)
    fit = match.fit
    turn = _turn(fit, motion, problem)
    returned = motion.way_out < len(motion.slot)
    sharp = sharpened(motion, fit, problem, turn)
    way_out = WayOut(sharp, car, track, problem, fit.pattern)
    rest = follow_back(way_out, turn) if returned else turn
    motion = ended_at(sharp, rest)
    energy = ledger(match, engine, motion, car.frontal_area_m2 is not None)
    tone = _tone(match, problem, _drive(match, engine))
    driven = stretches(match, engine, turn.distance_m)
    doubt = Doubt.of(motion, fit, problem, engine)
    match = without_unseen(placed(match, doubt), Wound(car, engine, prediction))
    motion = shifted(motion, doubt)
    seen = Evidence(
        car, problem.masses, motion, engine, prediction, match, energy, car.metres_per_edge,
        car.encoder.pulses_per_turn, returned, tone, car.encoder.sensors, doubt.hidden,
        doubt.launch_sd_m,
    )  # fmt: skip
    events = (
        launch(fit, motion),
        *changepoint_events(match),
        *ends(motion, turn, rest, returned),
    )
    events = on_this_wheel(widened(events, match, doubt), measured(car).encoder_share)
    read = _reading(motion, car, prediction, events, findings(seen), energy, driven)
    speed, place = peak(fit)
    return replace(read, peak_speed_m_s=speed, peak_at_m=place - doubt.shift_m)


def _tone(match: WindingMatch, problem: Problem, drive: Drive | None) -> Tone | None:
    """A tone, also one that the law took for changepoints that the winding does not know."""
    tone = find_tone(problem, match.fit, drive)
    if tone is not None or not match.unexplained:
        return tone
    law = match.fit.law
    for changepoint in reversed(match.unexplained):
        law = merged(law, changepoint)
    plain = fit_law(problem, law)
    return None if plain is None else find_tone(problem, plain, drive)


def _drive(match: WindingMatch, engine: Params) -> Drive | None:
    if match.end_changepoint is None or not match.fit.law.placed:
        return None
    trace = match.fit.trace

    def fallen(time_s: Array) -> Array:
        return np.array([paid_out(engine, place) for place in trace.at(time_s)[0].tolist()])

    return Drive(match.fit.law.launch_s, trace.changepoint_s[match.end_changepoint], fallen)


def _reading(
    motion: Motion,
    car: Car,
    prediction: Prediction,
    events: tuple[Event, ...],
    found: tuple[Finding, ...],
    energy: EnergyLedger,
    stretches: tuple[Stretch, ...],
) -> Reading:
    fastest = int(np.argmax(motion.speed_m_s)) if len(motion.speed_m_s) else None
    return Reading(
        car=car.name,
        motion=motion,
        prediction=prediction,
        winding=tuple(tier.turns for tier in car.drum),
        distance_m=motion.stop_m,
        furthest_m=max(motion.furthest_m, motion.stop_m, 0.0),
        duration_s=motion.stop_s - motion.launch_s,
        peak_speed_m_s=float(motion.speed_m_s[fastest]) if fastest is not None else 0.0,
        peak_at_m=float(motion.distance_m[fastest]) if fastest is not None else 0.0,
        events=events,
        findings=found,
        energy=energy,
        stretches=stretches,
    )


def _turn(fit: LawFit, motion: Motion, problem: Problem) -> Rest:
    """The rest at the end of the way out: the law's, unless the last edges speak against it."""
    far = abs(fit.trace.stop_m - motion.furthest_m) > AGREE_SLOTS * problem.edges.pitch_m
    if far:
        return Rest(motion.furthest_s, motion.furthest_m, None, None)
    stop_s, stop_m = fit.values[STOP_S], fit.values[STOP_M]
    return Rest(stop_s.value, stop_m.value, stop_s.sd, stop_m.sd)
