"""What a form says first: what the car should do, or what the floor is."""

from __future__ import annotations

from math import isfinite

from unspool.car import Track
from unspool.finding import Severity
from unspool.model.outcome import Prediction
from unspool.render.words.findings import sentence
from unspool.render.words.units import quantity


def expected_words(expected: Prediction) -> str:
    """The distance with its 90 % interval; nothing of a car that does not start or stop."""
    if not expected.starts or not isfinite(expected.distance_m):
        return "This car can be saved, but see below."
    low, high = expected.distance_low_m, expected.distance_high_m
    between = f", nine times in ten from {quantity(low, 'm', 1)} to {quantity(high, 'm', 1)}"
    known = between if isfinite(low) and isfinite(high) else ""
    return f"On a level floor it should roll {quantity(expected.distance_m, 'm', 1)}{known}."


def warning_words(expected: Prediction) -> list[str]:
    """What the builder should know of the car before it runs."""
    return [sentence(one) for one in expected.findings if one.severity is Severity.WARNING]


def rises_words(track: Track) -> str:
    """How long the floor is known, and how uneven it is."""
    rise = 1e3 * (max(track.height_m) - min(track.height_m))
    if len(track.distance_m) < 2:
        return "A level floor: add levels to describe another one."
    end = quantity(track.distance_m[-1], "m", 1)
    return f"Known up to {end}. Its highest level is {quantity(rise, 'mm', 0)} above its lowest."
