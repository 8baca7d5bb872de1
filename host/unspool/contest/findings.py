"""What judges should look at before the results are final."""

from __future__ import annotations

from collections.abc import Iterator

from unspool.contest.codes import ContestCode
from unspool.contest.rules import Ties
from unspool.contest.run_offs import ties
from unspool.contest.scoring import is_over, wheel_value
from unspool.contest.state import Attempt, Contest, Entry
from unspool.finding import Finding, Value, note, warning


def findings(contest: Contest) -> tuple[Finding, ...]:
    found: list[Finding] = []
    for entry in contest.competing():
        if contest.rules.classes and not entry.class_in(contest.rules):
            found.append(warning(ContestCode.NO_CLASS, entry=contest.title(entry)))
        for attempt in entry.made():
            found += _of_attempt(contest, entry, attempt)
    return (*found, *_run_offs(contest))


def _of_attempt(contest: Contest, entry: Entry, attempt: Attempt) -> Iterator[Finding]:
    rules = contest.rules
    where: dict[str, Value] = {"entry": contest.title(entry), "attempt": attempt.number}
    for who, metres in attempt.doubted:
        if metres == attempt.tape_m:
            continue  # it counts by now
        said: dict[str, Value] = {"metres_m": metres, "who": who, "counts_m": attempt.tape_m or 0.0}
        yield warning(ContestCode.TWO_TAPES, **where, **said)
    if attempt.called and not is_over(attempt, rules):
        yield note(ContestCode.NOT_MEASURED, **where)
    wheel = wheel_value(attempt, rules)
    if rules.least_wins or wheel is None or attempt.tape_m is None:
        return
    if abs(wheel - attempt.tape_m) > rules.doubt_m:
        both: dict[str, Value] = {"tape_m": attempt.tape_m, "wheel_m": wheel}
        yield warning(ContestCode.TAPE_AND_WHEEL_DIFFER, **where, **both)


def _run_offs(contest: Contest) -> Iterator[Finding]:
    if contest.rules.ties is not Ties.RUN_OFF:
        return
    for one in ties(contest):
        tied = tuple(contest.title(contest.entries[number]) for number in one.entries)
        yield warning(ContestCode.RUN_OFF_NEEDED, place=one.place, entries=tied)
