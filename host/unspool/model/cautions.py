"""What a builder should know about a predicted run, in a sentence each."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain, pairwise

from unspool.car import Car
from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model.margins import Margins
from unspool.model.outcome import EventKind
from unspool.model.simulate import Simulation
from unspool.model.states import StringState

# String left over beyond the drop that is worth a word, and a string that is most likely a mistake.
_SPARE_M = 0.02
_FAR_BEYOND = 1.2


def cautions(car: Car, run: Simulation, margins: Margins) -> tuple[str, ...]:
    """Warnings, the gravest first."""
    told = (_start(run), _end(run), _string(car), _drum(car, run), _limits(margins), _known(car))
    return tuple(chain.from_iterable(told))


def _start(run: Simulation) -> Iterator[str]:
    if not run.starts:
        yield (
            f"The car does not start: the first tier pulls {run.start_margin:.2f} of what holds "
            "it. A larger first tier, a heavier weight or freer wheels will start it."
        )
    elif run.string in (StringState.TAUT, StringState.SLACK):
        yield (
            f"The car stops on tier {run.tier.name!r} with the weight still hanging: "
            "this tier is too small to pull it on."
        )


def _end(run: Simulation) -> Iterator[str]:
    if run.never_stops:
        yield (
            "Nothing stops this car: with rolling_coefficient and constant_drag_n both 0 it rolls "
            "on for ever. Give one of them under [losses]."
        )
    back = [event.distance_m for event in run.events if event.kind is EventKind.ROLLBACK]
    if back:
        yield f"The car rolls back from {back[0]:.2f} m: keep clear behind it, too."


def _string(car: Car) -> Iterator[str]:
    spare = car.wound_string_m - car.drop_m
    if spare > (_FAR_BEYOND - 1.0) * car.drop_m:
        yield (
            f"The string on the drum is {car.wound_string_m:.2f} m for a drop of "
            f"{car.drop_m:.2f} m: check turns and diameters."
        )
    elif spare > _SPARE_M:
        yield f"The weight lands {spare * 1e3:.0f} mm of string before the drum is empty."
    elif spare < -_SPARE_M:
        left = -spare * car.weight_mass_kg * STANDARD_GRAVITY
        early = -spare * 1e3
        yield f"The string lets go {early:.0f} mm early and leaves {left:.2f} J in the weight."


def _drum(car: Car, run: Simulation) -> Iterator[str]:
    for before, after in pairwise(car.drum):
        if after.radius_m > before.end_radius_m:
            yield (
                f"Tier {after.name!r} is larger than {before.name!r} before it: the string goes "
                "slack and jerks, and nothing is gained."
            )
    for one in run.segments:
        fastest = max(one.segment.v0, one.segment.v1)
        rest = STANDARD_GRAVITY - one.tier.lever_per_m * fastest**2
        if one.string is StringState.TAUT and rest < 0.0:
            yield f"The taper of {one.tier.name!r} outruns the weight: the prediction is too long."


def _limits(margins: Margins) -> Iterator[str]:
    if margins.traction is not None and margins.traction < 1.0:
        yield "The driven wheels slip at the start: the prediction holds only if they do not."
    if margins.tipping is not None and margins.tipping < 1.0:
        yield "The car tips back at the start: lower it, lengthen it or start on a smaller tier."
    if margins.string is not None and margins.string < 1.0:
        yield "The string may break at a knot: take a stronger one and stand clear."


def _known(car: Car) -> Iterator[str]:
    losses = car.losses
    if losses.break_away_coefficient < losses.rolling_coefficient:
        yield (
            f"break_away_coefficient {losses.break_away_coefficient:g} is below "
            f"rolling_coefficient: at rest the car is held by {losses.holding_coefficient:g}, "
            "the larger of both."
        )
    if car.frontal_area_m2 is None:
        yield "Air drag is left out: give frontal_area_cm2 and drag_coefficient under [body]."
    assumed = [name for name in car.losses.assumed if getattr(car.losses, name)]
    if assumed:
        names = ", ".join(assumed)
        yield f"Handbook values stand in for {names}: calibrate them from runs."
