"""The winding card: what one needs at the trackside to wind a car and to see whether it runs so."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf, isfinite

from unspool.car import FLAT, Car, Track
from unspool.errors import InputError
from unspool.model import predict, split_times
from unspool.model.outcome import Prediction

# Distances between split times, the shortest that needs no more than MOST_SPLITS of them.
SPLITS_EVERY_M = (5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0)
MOST_SPLITS = 16
CAUTIONS = (
    "Keep feet and hands from under the weight; protect eyes near the wound string.",
    "Set the car down with its tower clear of people, and wind it only where it is to run.",
    "Keep the run-out clear and fenced; nobody stands in front of a wound car.",
    "Follow local rules and whoever is responsible for the place.",
)


@dataclass(frozen=True)
class Wind:
    """A tier to wind, mark_m from the drum's end of the string to where it is full."""

    tier: str
    turns: float
    string_m: float
    mark_m: float


@dataclass(frozen=True)
class Split:
    distance_m: float
    time_s: float


@dataclass(frozen=True)
class Card:
    """winds are in the order of winding: the tier that the string leaves last is first.

    spare_m is the drop less the string wound, below 0 where the weight lands before the drum is
    empty. splits are the passings of every 5 m (or more, on a long run) from the launch.
    """

    car: Car
    track: Track
    winds: tuple[Wind, ...]
    prediction: Prediction
    splits: tuple[Split, ...]
    cautions: tuple[str, ...]

    @property
    def string_m(self) -> float:
        return self.winds[-1].mark_m

    @property
    def turns(self) -> float:
        return sum(wind.turns for wind in self.winds)

    @property
    def spare_m(self) -> float:
        return self.car.drop_m - self.string_m


def card(car: Car, track: Track = FLAT, turns: tuple[float, ...] | None = None) -> Card:
    """The card of this car, wound as its drum says or with other turns, one number a tier.

    Raises InputError for turns that are no winding of this drum.
    """
    wound = _wound(car, turns)
    told = predict(wound, track)
    return Card(
        car=wound,
        track=track,
        winds=_winds(wound),
        prediction=told,
        splits=_splits(wound, track, told),
        cautions=(*told.warnings, *CAUTIONS),
    )


def _wound(car: Car, turns: tuple[float, ...] | None) -> Car:
    """The car with only the tiers that are wound."""
    if turns is not None:
        if len(turns) != len(car.drum):
            names = ", ".join(tier.name for tier in car.drum)
            raise InputError(f"{car.name}: {len(turns)} turns for the tiers {names}; give one each")
        if not all(isfinite(n) and n >= 0.0 for n in turns) or not any(turns):
            raise InputError(f"{car.name}: these turns are no winding; give 0 or more, not all 0")
        car = car.wound(turns)
    return replace(car, drum=tuple(tier for tier in car.drum if tier.turns > 0.0))


def _winds(car: Car) -> tuple[Wind, ...]:
    winds: list[Wind] = []
    mark = 0.0
    for tier in reversed(car.drum):
        mark += tier.string_m
        winds.append(Wind(tier.name, tier.turns, tier.string_m, mark))
    return tuple(winds)


def _splits(car: Car, track: Track, told: Prediction) -> tuple[Split, ...]:
    furthest = told.furthest_m if told.starts else 0.0
    every = next((x for x in SPLITS_EVERY_M if furthest <= MOST_SPLITS * x), SPLITS_EVERY_M[-1])
    if furthest == inf:
        every = SPLITS_EVERY_M[0]
    marks = [every * (i + 1) for i in range(MOST_SPLITS) if every * (i + 1) <= furthest]
    times = split_times(car, track, marks)
    return tuple(Split(x, t) for x, t in zip(marks, times, strict=True) if t is not None)
