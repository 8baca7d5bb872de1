"""Rules: a contest's rules as settings. rules_file.py reads them from a file."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from unspool.language import later

VERSION = 1
MOST_ATTEMPTS = 20
LONGEST_NAME = 60
Name = Annotated[
    str,
    Field(min_length=1, max_length=LONGEST_NAME, description=later("a name of 1 to 60 characters")),
]
Positive = Annotated[float, Field(gt=0.0, le=1e5, allow_inf_nan=False)]
NotNegative = Annotated[float, Field(ge=0.0, le=1e5, allow_inf_nan=False)]


class Measure(StrEnum):
    """What an attempt is scored by. The least time wins, and the greatest distance."""

    FURTHEST = "furthest"
    RESTING = "resting"
    TIME = "time"


class By(StrEnum):
    """What measures it. `*_first`: the other one counts only if the first is missing."""

    TAPE = "tape"
    WHEEL = "wheel"
    TAPE_FIRST = "tape_first"
    WHEEL_FIRST = "wheel_first"


class Score(StrEnum):
    """How attempts make the score of an entry."""

    BEST = "best"
    MEAN = "mean"
    SUM = "sum"


class Ties(StrEnum):
    """NEXT_BEST: the next best attempts decide. RUN_OFF: an extra attempt does."""

    NEXT_BEST = "next_best"
    SHARED = "shared"
    RUN_OFF = "run_off"


class _Settings(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Penalty(_Settings):
    """What a judge may note against an attempt. void: the attempt then has no score."""

    name: Name
    metres: NotNegative = Field(default=0.0, description=later("metres taken off, 0 or more"))
    seconds: NotNegative = Field(default=0.0, description=later("seconds added, 0 or more"))
    void: bool = Field(default=False, description=later("true or false"))


class Class(_Settings):
    """Who competes with whom: the first class that an entry fits. Bounds are within the class."""

    name: Name
    weight_min_g: NotNegative | None = Field(default=None, description=later("grams, 0 or more"))
    weight_max_g: Positive | None = Field(default=None, description=later("grams, above 0"))
    age_min: NotNegative | None = Field(default=None, description=later("years, 0 or more"))
    age_max: Positive | None = Field(default=None, description=later("years, above 0"))


class Rules(_Settings):
    """The settings. mark_m: where the time ends. resolution: scores are rounded to it, in m or s.

    doubt_m: tape and wheel that differ by more are worth a look.
    """

    unspool_rules: Literal[1] = Field(default=1, description=later("1, the version of this form"))
    attempts: int = Field(
        default=3, ge=1, le=MOST_ATTEMPTS, description=later("a whole number from 1 to 20")
    )
    measure: Measure = Field(
        default=Measure.FURTHEST, description=later('"furthest", "resting" or "time"')
    )
    by: By = Field(
        default=By.TAPE, description=later('"tape", "wheel", "tape_first" or "wheel_first"')
    )
    mark_m: Positive | None = Field(default=None, description=later("metres to the mark, above 0"))
    score: Score = Field(default=Score.BEST, description=later('"best", "mean" or "sum"'))
    drop_worst: int = Field(
        default=0, ge=0, lt=MOST_ATTEMPTS, description=later("a whole number, 0 or more")
    )
    resolution: Positive = Field(default=0.01, description=later("metres or seconds, above 0"))
    doubt_m: Positive = Field(default=0.3, description=later("metres, above 0"))
    ties: Ties = Field(
        default=Ties.NEXT_BEST, description=later('"next_best", "shared" or "run_off"')
    )
    order: Literal["same", "reversed"] = Field(
        default="same", description=later('"same" or "reversed"')
    )
    forecast: Literal["absolute", "relative"] = Field(
        default="absolute", description=later('"absolute" or "relative"')
    )
    penalties: tuple[Penalty, ...] = Field(
        default=(), max_length=20, description=later("at most 20 penalties")
    )
    classes: tuple[Class, ...] = Field(
        default=(), max_length=20, description=later("at most 20 classes")
    )

    @property
    def counted(self) -> int:
        """How many attempts the score is made of."""
        return 1 if self.score is Score.BEST else self.attempts - self.drop_worst

    @property
    def least_wins(self) -> bool:
        return self.measure is Measure.TIME

    @model_validator(mode="after")
    def _fit_together(self) -> Self:
        if self.drop_worst >= self.attempts:
            raise ValueError("drop_worst")
        if self.least_wins and self.mark_m is None:
            raise ValueError("mark_m")
        for group in (self.penalties, self.classes):
            names = [one.name.casefold() for one in group]
            if len(set(names)) < len(names):
                raise ValueError("name")
        return self
