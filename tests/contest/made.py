"""Contests for tests, made of events as a judge would note them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from unspool.contest import Contest, Event, Kind, Rules, contest_of, rules_toml


class Notes:
    """A log under the pen: each call notes one event and gives its number."""

    def __init__(self, rules: Rules | None = None) -> None:
        self.events: list[Event] = []
        if rules is not None:
            self.note(Kind.RULES, toml=rules_toml(rules))

    def note(self, kind: Kind, who: str = "Ada", at_us: int = 0, **data: Any) -> int:
        number = len(self.events) + 1
        self.events.append(Event(number, at_us or number, who, kind, data))
        return number

    def enter(self, team: str, car: str = "Sandpiper", **more: Any) -> int:
        return self.note(Kind.ENTRY, team=self.note(Kind.TEAM, name=team), car=car, **more)

    def tape(self, entry: int, attempt: int, metres: float, who: str = "Ada") -> int:
        return self.note(Kind.TAPE, who, entry=entry, attempt=attempt, metres=metres)

    def time(self, entry: int, attempt: int, seconds: float) -> int:
        return self.note(Kind.TIMED, entry=entry, attempt=attempt, seconds=seconds)

    @property
    def contest(self) -> Contest:
        return contest_of(self.events)


def measured(rules: Rules, teams: Mapping[str, Sequence[float | None]]) -> Contest:
    """A contest of those teams with their attempts' distances or times; None was void."""
    notes = Notes(rules)
    for team, values in teams.items():
        entry = notes.enter(team)
        for number, value in enumerate(values, 1):
            if value is None:
                off: dict[str, Any] = {"name": "pushed", "metres": 0.0, "seconds": 0.0}
                notes.note(Kind.PENALTY, entry=entry, attempt=number, void=True, **off)
            elif rules.least_wins:
                notes.time(entry, number, value)
            else:
                notes.tape(entry, number, value)
    return notes.contest
