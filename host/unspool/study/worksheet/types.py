"""What a worksheet consists of: questions with the values they need, and their answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from unspool.car import Car, Track
from unspool.finding import Value
from unspool.model.outcome import Prediction


class Ask(StrEnum):
    """What a question asks for."""

    ENERGY_STORED = "energy_stored"
    STRING_WOUND = "string_wound"
    STRING_AND_DROP = "string_and_drop"
    FORCE_AT_TYRE = "force_at_tyre"
    STRONGEST_TIER = "strongest_tier"
    CIRCUMFERENCE = "circumference"
    TIER_CHANGE = "tier_change"
    RELEASE = "release"
    RESISTANCE = "resistance"
    LONGEST_WAY = "longest_way"
    HEAVIER_WEIGHT = "heavier_weight"
    SMALLER_WHEELS = "smaller_wheels"
    LESS_DRAG = "less_drag"
    FORECAST_ERROR = "forecast_error"
    SLOWED_BY = "slowed_by"


class Change(StrEnum):
    """What a change of the car does to its distance."""

    FARTHER = "farther"
    SAME = "same"
    SHORTER = "shorter"


class Option(StrEnum):
    """How the string that is wound compares with the drop."""

    SHORTER_THAN_DROP = "shorter_than_drop"
    AS_LONG_AS_DROP = "as_long_as_drop"
    LONGER_THAN_DROP = "longer_than_drop"


@dataclass(frozen=True)
class Number:
    """A question whose answer is a number, in SI. `unit`: in which pupils give it."""

    ask: Ask
    given: Mapping[str, Value]
    answer: float
    unit: str


@dataclass(frozen=True)
class Choice:
    """A question whose answer is one of some options: codes, or names of tiers."""

    ask: Ask
    given: Mapping[str, Value]
    options: tuple[str, ...]
    answer: str


Question = Number | Choice


@dataclass(frozen=True)
class Worksheet:
    """The questions in the order in which they build on each other.

    prediction: what the model expects of the car, for the teacher's key.
    """

    car: Car
    track: Track
    questions: tuple[Question, ...]
    prediction: Prediction
