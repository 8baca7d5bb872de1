"""Scores of attempts and of entries, in m or s."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from math import inf

from unspool.contest.rules import By, Measure, Rules, Score
from unspool.contest.state import Attempt, Entry


def attempt_score(attempt: Attempt, rules: Rules) -> float | None:
    """Rounded half up to the resolution; None for one that is void or not measured."""
    if attempt.void:
        return None
    measured = measured_value(attempt, rules)
    if measured is None:
        return None
    if rules.least_wins:
        return rounded(measured + sum(p.seconds for p in attempt.penalties), rules.resolution)
    off = sum(one.metres for one in attempt.penalties)
    return rounded(max(measured - off, 0.0), rules.resolution)


def measured_value(attempt: Attempt, rules: Rules) -> float | None:
    """What the rules say is measured, before penalties."""
    by_hand = attempt.time_s if rules.least_wins else attempt.tape_m
    by_wheel = wheel_value(attempt, rules)
    first, second = {
        By.TAPE: (by_hand, None),
        By.WHEEL: (by_wheel, None),
        By.TAPE_FIRST: (by_hand, by_wheel),
        By.WHEEL_FIRST: (by_wheel, by_hand),
    }[rules.by]
    return second if first is None else first


def wheel_value(attempt: Attempt, rules: Rules) -> float | None:
    if attempt.wheel is None:
        return None
    of = attempt.wheel
    values = {
        Measure.FURTHEST: of.furthest_m,
        Measure.RESTING: of.resting_m,
        Measure.TIME: of.time_s,
    }
    return values[rules.measure]


@lru_cache(maxsize=4096)  # each page of a contest rounds each attempt several times
def rounded(value: float, resolution: float) -> float:
    """Half up, as people round: 2.675 to 0.01 is 2.68."""
    step = Decimal(repr(resolution))
    whole = (Decimal(repr(value)) / step).quantize(Decimal(1), ROUND_HALF_UP)
    return float(whole * step)


def attempt_scores(entry: Entry, rules: Rules) -> list[float]:
    """Of the attempts that count towards the score, the best first; a run-off's are none."""
    found = [attempt_score(one, rules) for one in entry.made() if one.number <= rules.attempts]
    return sorted((one for one in found if one is not None), reverse=not rules.least_wins)


def entry_score(entry: Entry, rules: Rules, closed: bool = False) -> float | None:
    """None if nothing counts yet.

    A mean and a sum take attempts that are void as 0 m; as long as the contest is open, attempts
    that are still to come are left out. A time has no such 0, so each counted attempt needs one.
    """
    scores = attempt_scores(entry, rules)
    if not scores:
        return None
    if rules.score is Score.BEST:
        return scores[0]
    done = rules.attempts if closed else _done(entry, rules)
    count = min(rules.counted, done)
    if rules.least_wins and len(scores) < count:
        return None
    total = sum(map(_exact, scores[:count]), Decimal(0))
    return float(total / count if rules.score is Score.MEAN else total)


def tie_key(entry: Entry, rules: Rules) -> tuple[float, ...]:
    """All attempts, the best first; the lesser key is the better entry."""
    sign = 1.0 if rules.least_wins else -1.0
    scores = [sign * one for one in attempt_scores(entry, rules)]
    return (*scores, *[inf] * (rules.attempts - len(scores)))


def run_off_key(entry: Entry, rules: Rules) -> tuple[float, ...]:
    """The extra attempts in their order; the lesser key is the better entry.

    An extra attempt without a score is worth as little as none.
    """
    extra = [one for one in entry.made() if one.number > rules.attempts]
    sign = 1.0 if rules.least_wins else -1.0
    found = (attempt_score(one, rules) for one in extra)
    keys = [inf if score is None else sign * score for score in found]
    while keys and keys[-1] == inf:
        keys.pop()
    return (*keys, inf)


def is_over(attempt: Attempt, rules: Rules) -> bool:
    """Whether it is measured or void."""
    return attempt.void or measured_value(attempt, rules) is not None


def counting(entry: Entry, rules: Rules) -> frozenset[int]:
    """The numbers of the attempts that make the entry's score as it is now."""
    scores = {n: attempt_score(one, rules) for n, one in entry.attempts.items()}
    sign = 1.0 if rules.least_wins else -1.0
    best = sorted((sign * s, n) for n, s in scores.items() if s is not None and n <= rules.attempts)
    return frozenset(number for _score, number in best[: rules.counted])


def _done(entry: Entry, rules: Rules) -> int:
    regular = (one for one in entry.made() if one.number <= rules.attempts)
    return sum(is_over(one, rules) for one in regular)


def _exact(value: float) -> Decimal:
    return Decimal(repr(value))
