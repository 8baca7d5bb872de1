"""Ties that a run-off can decide: places that several cars share after all other rules."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from unspool.contest.board import Board, board
from unspool.contest.rules import Ties
from unspool.contest.scoring import is_over
from unspool.contest.state import Contest, Entry


@dataclass(frozen=True)
class Tie:
    """entries: those that share the place, in the order of attempts."""

    class_name: str
    place: int
    entries: tuple[int, ...]


def ties(contest: Contest) -> tuple[Tie, ...]:
    """In classes whose cars have made all their attempts; none if the rules let them share."""
    if contest.rules.ties is Ties.SHARED:
        return ()
    over = (one for one in board(contest) if _is_over(contest, one))
    return tuple(tie for one in over for tie in _shared(contest, one))


def extra_number(contest: Contest, tie: Tie) -> int:
    """The number of the next extra attempt, the same for all that tie."""
    made = [n for entry in tie.entries for n in contest.entries[entry].attempts]
    return max([contest.rules.attempts, *made]) + 1


def _shared(contest: Contest, one: Board) -> Iterator[Tie]:
    order = [entry.number for entry in contest.competing()]
    places = [row.place for row in one.rows if row.place is not None]
    for place in sorted({p for p in places if places.count(p) > 1}):
        those = [row.entry for row in one.rows if row.place == place]
        yield Tie(one.class_name, place, tuple(sorted(those, key=order.index)))


def _is_over(contest: Contest, one: Board) -> bool:
    """Also the attempts of a run-off that is under way."""
    return all(_has_made(contest, contest.entries[row.entry]) for row in one.rows)


def _has_made(contest: Contest, entry: Entry) -> bool:
    extra = [number for number, those in contest.run_offs if entry.number in those]
    numbers = [*range(1, contest.rules.attempts + 1), *extra]
    return all(is_over(contest.attempt(entry.number, n), contest.rules) for n in numbers)
