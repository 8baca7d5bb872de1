"""What a builder should know about a predicted run."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain, pairwise

from unspool.car import Car
from unspool.car.gravity import STANDARD_GRAVITY
from unspool.finding import Finding, Severity, note, warning
from unspool.model.codes import PredictionCode
from unspool.model.limits import LEAST_STRING_MARGIN
from unspool.model.margins import Margins
from unspool.model.outcome import EventKind
from unspool.model.simulate import Simulation
from unspool.model.states import StringState

# String more or less than the drop that is worth a word: about what a hand marks it to.
_SPARE_M = 0.02
# Of likely losses: if the car does not start with so many of them, its builder should know.
_MAY_STICK = 0.1
# Over the drop: more string than this is most likely a mistake in the file.
_FAR_BEYOND = 1.2


def findings(car: Car, run: Simulation, margins: Margins, stuck: float) -> tuple[Finding, ...]:
    """Warnings, then notes, each the most serious first.

    stuck: the share of likely losses with which the car does not start.
    """
    found = chain(
        _start(run, stuck),
        _end(run),
        _drum(car, run),
        _margins(margins),
        _string(car),
        _losses(car),
    )
    return tuple(sorted(found, key=lambda one: one.severity is not Severity.WARNING))


def _start(run: Simulation, stuck: float) -> Iterator[Finding]:
    if not run.starts:
        yield warning(PredictionCode.DOES_NOT_START, start_margin=run.start_margin)
    elif stuck >= _MAY_STICK:
        yield warning(PredictionCode.MAY_NOT_START, share=stuck)
    if run.starts and run.string in (StringState.TAUT, StringState.SLACK):
        yield warning(PredictionCode.STOPS_ON_TIER, tier=run.tier.name)


def _end(run: Simulation) -> Iterator[Finding]:
    if run.never_stops:
        yield warning(PredictionCode.NEVER_STOPS)
    back = [event.distance_m for event in run.events if event.kind is EventKind.ROLLBACK]
    if back:
        yield warning(PredictionCode.ROLLS_BACK, from_m=back[0])


def _drum(car: Car, run: Simulation) -> Iterator[Finding]:
    for before, after in pairwise(car.drum):
        if after.radius_m > before.end_radius_m:
            yield warning(PredictionCode.LARGER_TIER, tier=after.name, before=before.name)
    for one in run.segments:
        fastest = max(one.segment.v0, one.segment.v1)
        # What gravity leaves after the string's own acceleration: below 0 it would have to push.
        pull = STANDARD_GRAVITY - one.tier.lever_per_m * fastest**2
        if one.string is StringState.TAUT and pull < 0.0:
            yield warning(PredictionCode.TAPER_OUTRUNS_WEIGHT, tier=one.tier.name)


def _margins(margins: Margins) -> Iterator[Finding]:
    if margins.traction is not None and margins.traction < 1.0:
        yield warning(PredictionCode.WHEELS_SLIP, margin=margins.traction)
    if margins.tipping is not None and margins.tipping < 1.0:
        yield warning(PredictionCode.TIPS_BACK, margin=margins.tipping)
    if margins.string is not None and margins.string < LEAST_STRING_MARGIN:
        breaks = margins.string < 1.0
        code = PredictionCode.STRING_MAY_BREAK if breaks else PredictionCode.STRING_MARGIN_LOW
        yield warning(code, margin=margins.string, peak_tension_n=margins.peak_tension_n)


def _string(car: Car) -> Iterator[Finding]:
    spare = car.wound_string_m - car.drop_m
    if spare > (_FAR_BEYOND - 1.0) * car.drop_m:
        yield warning(
            PredictionCode.STRING_TOO_LONG, string_m=car.wound_string_m, drop_m=car.drop_m
        )
    elif spare > _SPARE_M:
        yield note(PredictionCode.WEIGHT_LANDS_FIRST, spare_m=spare)
    elif spare < -_SPARE_M:
        left = -spare * car.weight_mass_kg * STANDARD_GRAVITY
        yield note(PredictionCode.DROP_NOT_USED, early_m=-spare, left_j=left)


def _losses(car: Car) -> Iterator[Finding]:
    losses = car.losses
    if losses.break_away_coefficient < losses.rolling_coefficient:
        yield note(
            PredictionCode.BREAK_AWAY_BELOW_ROLLING,
            break_away=losses.break_away_coefficient,
            rolling=losses.rolling_coefficient,
        )
    if car.frontal_area_m2 is None:
        yield note(PredictionCode.AIR_DRAG_LEFT_OUT)
    assumed = tuple(name for name in losses.assumed if getattr(losses, name))
    if assumed:
        yield note(PredictionCode.HANDBOOK_LOSSES, losses=assumed)
