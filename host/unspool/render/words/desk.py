"""What a form says first: what the car should do, or what the floor is."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from unspool.car import Track
from unspool.finding import Severity
from unspool.language import _, later
from unspool.model.outcome import Prediction
from unspool.render.words.findings import sentence
from unspool.render.words.units import quantity


@dataclass(frozen=True)
class DeskWords:
    """The messages of one kind of thing, for `_` as they are shown."""

    source: str
    new: str
    open_file: str
    put_away: str
    no_version: str
    too_large: str


OF_CARS = DeskWords(
    later("the car"),
    later("New car"),
    later("Open the file of a car (TOML)"),
    later("Put this car away"),
    later("the car {name} has no version {number}"),
    later("this car is larger than a file of one can be"),
)
OF_FLOORS = DeskWords(
    later("the floor"),
    later("New floor"),
    later("Open the file of a floor (TOML)"),
    later("Put this floor away"),
    later("the floor {name} has no version {number}"),
    later("this floor is larger than a file of one can be"),
)


def expected_words(expected: Prediction) -> str:
    """The distance with its 90 % interval; nothing of a car that does not start or stop."""
    if not expected.starts or not isfinite(expected.distance_m):
        return _("This car can be saved, but see below.")
    low, high = expected.distance_low_m, expected.distance_high_m
    far = quantity(expected.distance_m, "m", 1)
    if not (isfinite(low) and isfinite(high)):
        return _("On a level floor it should roll {far}.", far=far)
    return _(
        "On a level floor it should roll {far}, nine times in ten from {low} to {high}.",
        far=far,
        low=quantity(low, "m", 1),
        high=quantity(high, "m", 1),
    )


def warning_words(expected: Prediction) -> list[str]:
    """What the builder should know of the car before it runs."""
    return [sentence(one) for one in expected.findings if one.severity is Severity.WARNING]


def rises_words(track: Track) -> str:
    """How long the floor is known, and how uneven it is."""
    rise = 1e3 * (max(track.height_m) - min(track.height_m))
    if len(track.distance_m) < 2:
        return _("A level floor: add levels to describe another one.")
    end = quantity(track.distance_m[-1], "m", 1)
    return _(
        "Known up to {end}. Its highest level is {rise} above its lowest.",
        end=end,
        rise=quantity(rise, "mm", 0),
    )
