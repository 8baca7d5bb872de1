"""A contest of invented teams with the demo's cars, in the middle of its last round but one.

The car that is called is the demo's live one, so its next run goes to the board by itself.
"""

from __future__ import annotations

from unspool.contest import By, Kind, Rules, rules_toml
from unspool.judging import Judge, Organiser
from unspool.render.words.contest import usual_rules
from unspool.store import Store
from unspool.virtual.demo.earlier_runs import SOURCE

NAME = "Corridor cup (all invented)"
WHO = "the demo"
# Team, car, weight in g, forecast, and the tape of each attempt, in m; None was a false start.
TEAMS: tuple[tuple[str, str, str, str, tuple[float | None, ...]], ...] = (
    ("Map room", "Dunlin", "1150", "13,2", (13.48, 13.39)),
    ("Courtyard", "Knot", "1320", "12", (11.72, 12.31)),
    ("Reading room", "Sandpiper", "1600", "13,4", (13.49,)),
    ("Attic", "Avocet", "980", "", (9.84,)),
    ("Cellar", "Plover", "1190", "10,5", (None,)),
)
# What the wheel measured in the demo's earlier runs, by the place of the run in their list, in m.
WHEEL = {("Dunlin", 1): (0, 13.47), ("Dunlin", 2): (1, 13.365), ("Sandpiper", 1): (4, 13.5)}


def add_contest(store: Store) -> None:
    """Adds it to a store that has no contest yet. The earlier runs must be there."""
    if store.contests.listed():
        return
    runs = [row.id for row in store.runs() if row.source == SOURCE]
    made = Organiser.make(store, WHO, NAME, rules_toml(_rules()))
    entries = [_enter(made, *of[:4]) for of in TEAMS]
    judge = Judge(store, made.id, WHO)
    for attempt in (1, 2):
        for entry, (_team, car, _weight, _forecast, tapes) in zip(entries, TEAMS, strict=True):
            if attempt <= len(tapes):
                _judged(judge, entry, attempt, tapes[attempt - 1])
                if (car, attempt) in WHEEL:
                    place, metres = WHEEL[car, attempt]
                    _recorded(judge, entry, attempt, runs[place], metres)
    judge.call_next()


def _rules() -> Rules:
    return usual_rules().model_copy(update={"by": By.TAPE_FIRST})


def _enter(made: Organiser, team: str, car: str, weight: str, forecast: str) -> int:
    entry = made.enter(team, car, weight)
    if forecast:
        made.forecast(entry, forecast)
    return entry


def _judged(judge: Judge, entry: int, attempt: int, tape: float | None) -> None:
    judge.call(entry, attempt)
    if tape is None:
        judge.penalty(entry, attempt, judge.contest.rules.penalties[-1].name)
    else:
        judge.tape(entry, attempt, f"{tape}")


def _recorded(judge: Judge, entry: int, attempt: int, run: str, metres: float) -> None:
    of_run = {"furthest_m": metres, "resting_m": metres, "time_s": None}
    said = {"entry": entry, "attempt": attempt, **of_run}
    subject = f"{entry}/{attempt}"
    judge.store.contests.add(judge.id, WHO, Kind.RUN, said, subject, run_id=run)
