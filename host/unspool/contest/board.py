"""The board of results: rankings by class, and a ranking of who knew their car best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from unspool.contest.ranking import ranked
from unspool.contest.rules import Rules, Ties
from unspool.contest.scoring import (
    attempt_score,
    entry_score,
    rounded,
    run_off_key,
    tie_key,
)
from unspool.contest.state import Contest, Entry


@dataclass(frozen=True)
class Row:
    """A line. place: None without a score. attempts: scores, None for one without."""

    entry: int
    team: str
    car: str
    place: int | None
    score: float | None
    attempts: tuple[float | None, ...]


@dataclass(frozen=True)
class Board:
    """One class, or all entries if the rules name none. rows: the best first."""

    class_name: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Forecaster:
    """error: of the forecast against the score, in m or s, or as a share of the score."""

    entry: int
    team: str
    car: str
    place: int
    forecast: float
    score: float
    error: float


def board(contest: Contest) -> tuple[Board, ...]:
    """One board a class. Entries of no class come last, in one of the name ""."""
    rules = contest.rules
    groups: dict[str, list[Entry]] = {one.name: [] for one in rules.classes} or {"": []}
    for entry in contest.competing():
        groups.setdefault(entry.class_in(rules), []).append(entry)
    return tuple(Board(name, _rows(contest, entries)) for name, entries in groups.items())


def forecasters(contest: Contest) -> tuple[Forecaster, ...]:
    """Those who handed a forecast in and have a score, the least error first."""
    rules = contest.rules
    found: dict[int, tuple[float, float, float]] = {}
    for entry in contest.competing():
        score = entry_score(entry, rules, contest.closed)
        if entry.forecast is not None and score is not None:
            error = forecast_error(entry.forecast, score, rules)
            found[entry.number] = (error, entry.forecast, score)
    places = ranked({number: one[0] for number, one in found.items()})
    rows = [
        Forecaster(number, *_names(contest, number), places[number], forecast, score, error)
        for number, (error, forecast, score) in found.items()
    ]
    return tuple(sorted(rows, key=lambda row: (row.place, row.team, row.car, row.entry)))


def forecast_error(forecast: float, score: float, rules: Rules) -> float:
    """Relative to the score; a score of 0 makes any other forecast infinitely wrong."""
    off = abs(forecast - score)
    if rules.forecast == "absolute":
        return rounded(off, rules.resolution)
    if score == 0.0:
        return inf if off else 0.0
    return rounded(off / score, 0.001)


def place_key(contest: Contest, entry: Entry, score: float) -> tuple[object, ...]:
    """What places are made of; the lesser key is the better."""
    rules = contest.rules
    first = score if rules.least_wins else -score
    if rules.ties is Ties.NEXT_BEST:
        return (first, tie_key(entry, rules), run_off_key(entry, rules))
    if rules.ties is Ties.RUN_OFF:
        return (first, run_off_key(entry, rules))
    return (first,)


def _rows(contest: Contest, entries: Sequence[Entry]) -> tuple[Row, ...]:
    scores = {e.number: entry_score(e, contest.rules, contest.closed) for e in entries}
    keys = {
        entry.number: place_key(contest, entry, score)
        for entry in entries
        if (score := scores[entry.number]) is not None
    }
    places = ranked(keys)
    rows = [_row(contest, one, places.get(one.number), scores[one.number]) for one in entries]
    return tuple(sorted(rows, key=lambda r: (r.place or len(rows) + 1, r.team, r.car, r.entry)))


def _row(contest: Contest, entry: Entry, place: int | None, score: float | None) -> Row:
    last = max([contest.rules.attempts, *entry.attempts])
    made = (entry.attempts.get(number) for number in range(1, last + 1))
    attempts = tuple(None if one is None else attempt_score(one, contest.rules) for one in made)
    return Row(entry.number, *_names(contest, entry.number), place, score, attempts)


def _names(contest: Contest, number: int) -> tuple[str, str]:
    entry = contest.entries[number]
    return contest.teams.get(entry.team, ""), entry.car
